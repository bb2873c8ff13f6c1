"""The page of statistics: sections of figures, each with n, denominator, interval and a way to its records."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.translation import gettext as _

from inventory.drawings.charts import ShareRow, share_bars
from publishing.disclosure.values import DeviceValue
from publishing.statistics import measures
from publishing.statistics.frames import Frames
from publishing.statistics.measures import Share

from .plates import Plate
from .rendering import named, word
from .shared_pipes_page import anchor_of, pattern_name


def statistics_context(frames: Frames, devices: Mapping[str, DeviceValue]) -> dict[str, Any]:
    """What the template `statistics.html` prints."""
    overall = measures.sharing_share(frames)
    sharing_words = {"independent": _("independent"), "part": _("part-shared"), "whole": _("wholly shared")}
    return {
        "title": _("Statistics"),
        "description": _("%(count)s of %(of)s published instruments share pipes between stops%(range)s.")
        % {"count": overall.count, "of": overall.of, "range": _range(overall)},
        "sections": [
            _section(
                "makers",
                _("By maker of the sharing"),
                measures.sharing_by_maker(frames),
                lambda s: s.name,
                lambda s: f"makers/{s.key}.html",
                [_("Maker"), _("sharing"), _("of"), _("share"), _("95 % interval")],
                foot=_("Makers with fewer than %(n)s instruments are marked and listed by name, not ranked.")
                % {"n": measures.SMALL},
                chart=True,
            ),
            _section(
                "stops",
                _("Stops"),
                measures.stops_by_sharing(frames),
                lambda s: sharing_words[s.name],
                lambda _s: "shared-pipes.html",
                [_("Stops"), _("stops"), _("of"), _("share"), _("95 % interval")],
                foot=_(
                    "Part-shared: some of the stop's keys that speak ask a pipe that another stop asks too."
                ),
                chart=True,
            ),
            _section(
                "patterns",
                _("What is shared"),
                measures.instruments_by_pattern(frames),
                lambda s: pattern_name(s.name),
                lambda s: f"shared-pipes.html#{anchor_of(s.name)}",
                [_("Pattern"), _("instruments"), _("of sharing"), _("share"), _("95 % interval")],
                foot=_("An instrument may show several patterns. Patterns are computed from the schemes."),
            ),
            _section(
                "devices",
                _("How it is done"),
                measures.devices_recorded(frames),
                lambda s: word(devices[s.key].names) if s.key in devices else _("not known"),
                lambda s: f"shared-pipes.html#device-{s.key}" if s.key in devices else "shared-pipes.html",
                [_("Device"), _("instruments"), _("of sharing"), _("share"), _("95 % interval")],
                foot=_("Devices are recorded, not computed: not known means that nobody has looked."),
            ),
            _section(
                "pipes",
                _("Pipes by the number of stops that call them"),
                measures.pipes_by_callers(frames),
                lambda s: _("called by %(n)s") % {"n": s.name},
                lambda _s: "shared-pipes.html",
                [_("Pipes"), _("pipes"), _("of"), _("share"), _("95 % interval")],
                foot=_(
                    "Computed from the schemes; pipes of one rank are alike in this, so the interval is a courtesy."
                ),
            ),
            _section(
                "evidence",
                _("On what it rests"),
                measures.segments_by_evidence(frames),
                lambda s: named(s.name, "Evidence"),
                lambda _s: "shared-pipes.html",
                [_("Evidence"), _("segments"), _("of"), _("share"), _("95 % interval")],
            ),
            _economy(frames),
        ],
    }


def _section(
    anchor: str,
    title: str,
    shares: list[Share],
    name: Callable[[Share], str],
    href: Callable[[Share], str],
    heads: list[str],
    foot: str = "",
    chart: bool = False,
    interval: bool = True,
) -> dict[str, Any]:
    drawing = None
    if chart and any(s.of for s in shares):
        rows = [ShareRow(name(s), s.share, s.low, s.high, s.count, s.of, s.is_small) for s in shares]
        drawing = Plate(
            share_bars(rows, title, prefix=f"chart-{anchor}"),
            share_bars(rows, title, prefix=f"chart-{anchor}-narrow", narrow=True),
        )
    return {
        "anchor": anchor,
        "title": title,
        "words": "",
        "drawing": drawing,
        "heads": heads,
        "rows": [
            {
                "name": name(s) + (_(" (few)") if s.is_small else ""),
                "href": href(s),
                "cells": [
                    s.count,
                    s.of,
                    percent(s.share) if not s.is_small else "–",
                    *([interval_words(s)] if interval else []),
                ],
            }
            for s in shares
            if s.of
        ],
        "foot": foot,
    }


def _economy(frames: Frames) -> dict[str, Any]:
    table = measures.calls_per_pipe(frames)
    return {
        "anchor": "economy",
        "title": _("Calls per pipe"),
        "words": _(
            "How many calls one pipe answers, instrument by instrument (n = %(n)s sharing instruments)."
        )
        % {"n": len(table)},
        "drawing": None,
        "heads": [
            _("Instrument"),
            _("calls"),
            _("pipes called"),
            _("shared pipes"),
            _("calls per pipe"),
            _("economy"),
        ],
        "rows": [
            {
                "name": row.name,
                "href": f"instruments/{row.reference}.html#sharing",
                "cells": [
                    row.calls,
                    row.pipes_called,
                    row.pipes_shared,
                    f"{row.calls / row.pipes_called:.2f}",
                    f"{row.economy:.3f}",
                ],
            }
            for row in table.set_index("reference", drop=False).itertuples(index=False)
        ],
        "foot": _("Economy is 1 − pipes called ÷ calls: 0 where every call has a pipe of its own."),
    }


def percent(share: float | None) -> str:
    """A share for people: whole per cents."""
    if share is None:
        return "–"
    return _("under 1 %") if 0 < share < 0.01 else f"{share * 100:.0f} %"


def interval_words(share: Share) -> str:
    """The interval for people."""
    if share.low is None or share.high is None:
        return "–"
    return f"{share.low * 100:.0f}–{share.high * 100:.0f} %"


def _range(share: Share) -> str:
    return f" ({percent(share.share)}, {_('95 % interval')} {interval_words(share)})" if share.of else ""
