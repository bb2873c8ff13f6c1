"""The rows of one instrument in every table: made from its frozen value alone, so that an edit touches them alone."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inventory.organ.answers import evaluate_sharing
from inventory.organ.calls import CalledPipes, called_pipes
from inventory.organ.patterns import (
    COMMON_BASS,
    DERIVED_MUTATION,
    FOLDBACK_ON_OWN_PIPES,
    FOLDBACK_WITH_PIPES_OF_ITS_OWN,
    OCTAVE_EXTENSION,
    UNIFIED,
)
from inventory.organ.schemes import Scheme, asked_pipes
from publishing.disclosure.values import PublicInstrument, SpecificationValue

from .choosing import Chosen, View, choose_specification
from .layers import counting_layer
from .mistuning import mean_mistuning
from .repertoires import full_registration

Row = tuple[Any, ...]
EVIDENCE = ("seen", "sounded", "source", "inferred")
"""Strongest first."""
NAMES = ("segments", "stops", "instruments", "patterns", "signatures", "pipes")


@dataclass(frozen=True)
class InstrumentRows:
    """What one instrument puts into each table."""

    tables: Mapping[str, tuple[Row, ...]]


def rows_of(organ: PublicInstrument, view: View) -> InstrumentRows:
    """The rows of one instrument in one view.

    >>> from publishing.statistics.examples import example_instrument
    >>> {name: len(rows) for name, rows in rows_of(example_instrument(), View()).tables.items()}
    {'segments': 2, 'stops': 2, 'instruments': 1, 'patterns': 1, 'signatures': 1, 'pipes': 2}
    """
    return rows_of_chosen(organ, choose_specification(organ, view))


def rows_of_chosen(organ: PublicInstrument, chosen: Chosen | None) -> InstrumentRows:
    """The rows of one instrument once it is settled which specification counts.

    >>> from publishing.statistics.examples import example_instrument
    >>> len(rows_of_chosen(example_instrument(), None).tables["instruments"])
    1
    """
    if chosen is None:
        return InstrumentRows({name: () for name in NAMES} | {"instruments": (_empty_row(organ),)})
    specification = chosen.specification
    called = called_pipes(specification.scheme)
    answer = specification.answer or evaluate_sharing(called)
    asked = _asked(called)
    segments, shared_calls = _segment_rows(organ.reference, specification, called, asked)
    families = answer["families"]
    depths = Counter(called.depths.values())
    return InstrumentRows(
        {
            "segments": tuple(segments),
            "stops": tuple(_stop_rows(organ, specification, answer, called, asked)),
            "instruments": (_instrument_row(organ, chosen, answer, called, shared_calls),),
            "patterns": tuple(
                (organ.reference, number, p["pattern"], p["interval"], p["keys"] or 0)
                for number, family in enumerate(families, start=1)
                for p in family["patterns"]
            ),
            "signatures": tuple(
                (organ.reference, number, *(family["signature"][tier] for tier in ("idea", "execution", "size")))
                for number, family in enumerate(families, start=1)
            ),
            "pipes": tuple((organ.reference, depth, pipes) for depth, pipes in sorted(depths.items())),
        }
    )  # fmt: skip


Asked = list[list[tuple[int, int]]]
"""For each segment: (key, pipe that answers; 0 for none), keys of the keyboard only."""


def _asked(called: CalledPipes) -> Asked:
    scheme = called.scheme
    asked: Asked = []
    for place, segment in enumerate(scheme.segments):
        if scheme.stop[segment.stop].state == "prepared":  # asks nothing; its keys are told all the same
            keys = scheme.keyboard_of(segment.stop).keys
            asked.append([(key, 0) for key, _pipe in asked_pipes(scheme, segment) if key <= keys])
        else:
            asks = called.asks_of_segment.get(place, ())
            asked.append([(a.key, a.pipe if a.answered and a.pipe else 0) for a in asks if not a.beyond])
    return asked


def _segment_rows(
    reference: str, specification: SpecificationValue, called: CalledPipes, asked: Asked
) -> tuple[list[Row], list[int]]:
    scheme = specification.scheme
    kinds = {chest.id: chest.kind for chest in scheme.chests}
    shared_ranks = {rank for rank, _pipe in called.shared}
    rows, shared_calls = [], []
    for number, (segment, keys) in enumerate(zip(specification.segments, asked, strict=True), start=1):
        live = [pipe for _key, pipe in keys if pipe]
        shared = sum(1 for pipe in live if (segment.rank, pipe) in called.shared)
        shared_calls.append(shared)
        rows.append(
            (
                reference, specification.code, number, segment.stop, scheme.keyboard_of(segment.stop).kind,
                segment.rank, segment.first_key, segment.last_key, segment.interval,
                " ".join(str(pipe) for _key, pipe in keys), segment.device,
                kinds.get(segment.chest, ""), segment.evidence, segment.layer, len(live), shared,
                segment.rank in shared_ranks,
            )
        )  # fmt: skip
    return rows, shared_calls


def _stop_rows(
    organ: PublicInstrument,
    specification: SpecificationValue,
    answer: Mapping[str, Any],
    called: CalledPipes,
    asked: Asked,
) -> list[Row]:
    patterns: dict[str, set[str]] = defaultdict(set)
    higher: set[str] = set()
    derived: set[str] = set()
    for family in answer["families"]:
        for pattern in family["patterns"]:
            for stop in pattern["stops"]:
                patterns[stop].add(pattern["pattern"])
            if pattern["pattern"] in (OCTAVE_EXTENSION, DERIVED_MUTATION):
                # For one pipe the second stop's key lies lower: the second stop is the higher one.
                one = pattern["stops"][1 if pattern["interval"] < 0 else 0]
                higher.add(one)
                if pattern["pattern"] == DERIVED_MUTATION:
                    derived.add(one)
    values = {stop.code: stop for stop in specification.stops}
    scheme = specification.scheme
    return [
        (
            organ.reference, sums["id"], scheme.keyboard_of(sums["id"]).kind, values[sums["id"]].footage,
            (values[sums["id"]].family or {}).get("en", ""), sums["keys"], sums["own"], sums["shared"],
            sums["silent"], sums["sharing"], _unification(patterns[sums["id"]], sums["sharing"]),
            _treble(scheme, sums["id"], patterns[sums["id"]], asked) if sums["id"] in higher else "",
            mean_mistuning(organ.temperament, values[sums["id"]].footage) if sums["id"] in derived else None,
            len({ask.rank for ask in called.by_stop[sums["id"]]}),
        )
        for sums in answer["stops"]
    ]  # fmt: skip


def _unification(patterns: set[str], sharing: str) -> str:
    """Unified, common bass, other sharing or independent: each stop is one of them."""
    if sharing == "independent":
        return "independent"
    if patterns & UNIFIED:
        return "unified"
    return "common bass" if patterns & {COMMON_BASS} == patterns & {COMMON_BASS, "partial borrowing"} and (
        COMMON_BASS in patterns
    ) else "other sharing"  # fmt: skip


def _treble(scheme: Scheme, stop: str, patterns: set[str], asked: Asked) -> str:
    """How the top of a borrowed stop is completed: the first that applies."""
    if FOLDBACK_ON_OWN_PIPES in patterns:
        return "same foldback"
    if FOLDBACK_WITH_PIPES_OF_ITS_OWN in patterns:
        return "own foldback"
    _first, last = scheme.compass_of(stop)
    answered = any(
        key == last and pipe
        for segment, keys in zip(scheme.segments, asked, strict=True)
        if segment.stop == stop
        for key, pipe in keys
    )
    return "added" if answered else "silent"


def _instrument_row(
    organ: PublicInstrument,
    chosen: Chosen,
    answer: Mapping[str, Any],
    called: CalledPipes,
    shared_calls: list[int],
) -> Row:
    specification, scheme = chosen.specification, called.scheme
    counted = counting_layer(organ, zip(specification.segments, shared_calls, strict=True))
    rests = {s.evidence for s, calls in zip(specification.segments, shared_calls, strict=True) if calls}
    weakest = [one for one in EVIDENCE if one in rests][-1:] if "" not in rests else []
    unified = any(p["pattern"] in UNIFIED for family in answer["families"] for p in family["patterns"])
    calls, coincide = full_registration(called, answer["families"])
    first, last = counted.years or (None, None)
    return (
        organ.reference, organ.name, specification.code, chosen.how, counted.maker, counted.maker_name,
        counted.layer, first, last, *_place(organ), (organ.action or {}).get("en", ""), organ.status,
        max((survey.level for survey in organ.surveys), default=None), "".join(weakest),
        bool(answer["pipes_shared"]), unified, answer["calls"], answer["pipes_called"], answer["pipes_shared"],
        answer["depth"], len(answer["stops"]), len(scheme.ranks),
        sum(1 for board in scheme.keyboards if board.kind == "manual"),
        sum(1 for board in scheme.keyboards if board.kind == "pedal"), len(answer["families"]),
        organ.temperament, calls, coincide,
    )  # fmt: skip


def _empty_row(organ: PublicInstrument) -> Row:
    """An instrument of which no specification counts in this view: in no denominator, and said to be left out."""
    counted = counting_layer(organ, ())
    first, last = counted.years or (None, None)
    return (
        organ.reference, organ.name, "", "", counted.maker, counted.maker_name, counted.layer, first, last,
        *_place(organ), (organ.action or {}).get("en", ""), organ.status,
        max((survey.level for survey in organ.surveys), default=None), "", False, False, 0, 0, 0, 0, 0, 0, 0, 0, 0,
        organ.temperament, 0.0, 0.0,
    )  # fmt: skip


def _place(organ: PublicInstrument) -> tuple[str, str]:
    """The place below the outermost one (of regions and islands, the widest that still tells places apart).

    A building within another place is no group: it tells of one instrument.
    """
    if organ.place is None:
        return "", ""
    within = organ.place.within
    chain = within if within and organ.place.kind == "building" else (organ.place.link, *within)
    at = chain[-2] if len(chain) > 1 else chain[-1]
    return at.reference, at.name
