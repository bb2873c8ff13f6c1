"""A small invented instrument for the examples in the documentation of the statistics."""

from __future__ import annotations

from inventory.organ.answers import evaluate_answer
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
from publishing.disclosure.values import (
    KeyboardValue,
    LayerValue,
    Link,
    PublicInstrument,
    RankValue,
    SegmentValue,
    SpecificationValue,
    StopValue,
    When,
)


def example_scheme() -> Scheme:
    """One manual of 61 keys, one rank of 73 pipes, drawn at 8′ and 4′ (the sums stand in DESIGN §4).

    >>> len(example_scheme().segments)
    2
    """
    return Scheme(
        (Keyboard("I", tuple(range(36, 97))),),
        (Rank("r", 73, tuple(range(36, 109))),),
        (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
        (Segment("a", (1, 61), "r", interval=0), Segment("b", (1, 61), "r", interval=12)),
    )


def example_instrument(reference: str = "ORG-1", *, shares: bool = True) -> PublicInstrument:
    """An instrument of 1849/1851; with `shares=False` its 4′ stop is silent and nothing is shared.

    >>> example_instrument().current.answer["pipes_shared"]
    49
    """
    full = example_scheme()
    kept = full.segments if shares else full.segments[:1]
    scheme = Scheme(full.keyboards, full.ranks, full.stops, kept)
    segments = tuple(
        SegmentValue(s.stop, 1, 61, "r", s.interval, None, "flap-valves", "seen", "certain", "built", "")
        for s in scheme.segments
    )
    stops = tuple(
        StopValue(s.id, "I", "", f"{s.name} {s.footage}", s.name, s.footage or "", {"en": "flute"}, "flute", "",
                  "present", None, "", "")
        for s in scheme.stops
    )  # fmt: skip
    specification = SpecificationValue(
        "found", "As found", When("2001", "2001", 2001, 2001, 2001), "as found", True,
        (KeyboardValue("I", "Manual", "manual", "61 keys", 61),), (), stops, (),
        (RankValue("r", "Flute", 73, "physical", 36, "", ()),), segments, (), (), (), (("Chest", "slider", "", ""),),
        scheme, answer=evaluate_answer(scheme),
    )  # fmt: skip
    built = When("1849/1851", "1849 to 1851", 1849, 1849, 1851)
    maker = Link("makers", "MKR-1", "A maker")
    return PublicInstrument(
        reference=reference, version=1, released_on="", name="An organ", status="in use", status_since=None,
        place=None, summary="", action={"en": "tracker action"}, pitch=None, temperament="equal",
        wind_pressure_mm="", layers=(LayerValue("built", "As built", built, maker, "signed", "certain", ""),),
        events=(), parts=(), specifications=(specification,), surveys=(), pictures=(), citations=(), claims=(),
        ties=(), link=Link("instruments", reference, "An organ"),
    )  # fmt: skip
