"""The pages of one view of the statistics: what they are made from tells when they must be made anew."""

from __future__ import annotations

from dataclasses import replace

from publishing.catalogue.statistics_page import ViewPages
from publishing.statistics.choosing import View
from publishing.statistics.examples import example_instrument
from publishing.statistics.frames import FrameBuilder


def test_the_overview_is_made_anew_when_an_instrument_changes_its_kind_of_chest():
    builder = FrameBuilder()
    for reference in ("ORG-1", "ORG-2", "ORG-3"):
        builder.add(replace(example_instrument(), reference=reference))
    frames = builder.finish()

    def made_from(third: str) -> bytes:
        kinds = frames.segments["reference"].map({"ORG-1": "slider", "ORG-2": "unit", "ORG-3": third})
        changed = replace(frames, segments=frames.segments.assign(chest_kind=kinds))
        return ViewPages(changed, {}, [View()], numbers=b"the same")._overview_from()

    assert made_from("slider") == made_from("slider") != made_from("unit")
