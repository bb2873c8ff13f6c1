"""The drawings of one instrument: rows of pipes, toeboards from above, and the action in section."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from inventory.drawings.evidence import Evidence
from inventory.drawings.ranks import rank_drawing
from inventory.drawings.svg import Drawing
from inventory.drawings.toeboards import toeboard_drawing
from inventory.organ.calls import called_pipes
from inventory.organ.layouts import LAYOUTS
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Scheme
from publishing.disclosure.values import SpecificationValue

from .evidence_words import evidence_of
from .scheme_words import labels_of
from .section_plates import section_drawings

MOST_ROWS = 6
MOST_BOARDS = 3
INLINE_BYTES, BYTES_OF_A_LINE = 26_000, 700
"""Room for drawings held in the page itself, where the player lights them up, less what each line of the
scheme takes in tables and player: a whole page, with all it loads but photographs, stays below 150 kB.
Drawings for which there is no room are shown as files."""
PIPE_CHESTS = ("slider", "spring")
"""Chests whose pipes stand over keyed channels, so that a toeboard shows their order."""


@dataclass(frozen=True)
class Plate:
    """A drawing for a desk and for a telephone; the page's width chooses."""

    wide: Drawing
    narrow: Drawing
    name: str = ""
    """Of its file: rank-1, toeboard-1, section."""
    apart: bool = False
    """Whether the page shows the file instead of holding the drawing: large ones would make it heavy."""


def plates(specification: SpecificationValue) -> list[Plate]:
    """Rows that stops share, the boards they stand on, and one pipe in section, in this order."""
    if not specification.answer["families"]:
        return []  # every stop on pipes of its own: nothing to explain, and nothing is worked out
    scheme, evidence = named_scheme(specification), _evidence(specification)
    names = row_names(specification)
    shared = [names[rank] for rank in shared_rows(specification.scheme)]
    rows, sections = _row_plates(scheme, shared, evidence), _section_plates(scheme, evidence)
    room = INLINE_BYTES - BYTES_OF_A_LINE * len(specification.segments)
    kept: dict[str, Plate] = {}
    for plate in [*rows, *sections]:
        weight = len(plate.wide.svg.encode()) + len(plate.narrow.svg.encode())
        room -= weight
        kept[plate.name] = plate if room >= 0 else replace(plate, apart=True)
    return [
        *(kept[plate.name] for plate in rows),
        *_board_plates(scheme, specification, evidence),
        *(kept[plate.name] for plate in sections),
    ]


@remember_recent(AT_ONCE)
def named_scheme(specification: SpecificationValue) -> Scheme:
    """The scheme with the names a reader knows in place of codes: rows by name, stops as labelled.

    Labels carry their footage already, so it is left out of the stops, lest it be written twice.
    """
    labels, names, scheme = labels_of(specification), row_names(specification), specification.scheme
    return replace(
        scheme,
        ranks=tuple(replace(rank, id=names.get(rank.id, rank.id)) for rank in scheme.ranks),
        stops=tuple(
            replace(stop, name=labels.get(stop.id, stop.name), footage=None) for stop in scheme.stops
        ),
        segments=tuple(replace(one, rank=names.get(one.rank, one.rank)) for one in scheme.segments),
    )


@remember_recent(AT_ONCE)
def _evidence(specification: SpecificationValue) -> Evidence:
    return evidence_of(specification, named_scheme(specification))


def row_names(specification: SpecificationValue) -> dict[str, str]:
    """Names of the rows, with the code where two would read alike."""
    names = {rank.code: rank.name or rank.code for rank in specification.ranks}
    twice = {name for name in names.values() if list(names.values()).count(name) > 1}
    return {code: f"{name} ({code})" if name in twice else name for code, name in names.items()}


@remember_recent(AT_ONCE)
def shared_rows(scheme: Scheme) -> tuple[str, ...]:
    """Ids of the rows with a pipe that two stops call, in the order of the record."""
    found = {rank for rank, _pipe in called_pipes(scheme).shared}
    return tuple(rank.id for rank in scheme.ranks if rank.id in found)


def _row_plates(scheme: Scheme, shared: Sequence[str], evidence: Evidence) -> list[Plate]:
    return [
        Plate(
            rank_drawing(scheme, rank, evidence=evidence, prefix=f"rank-{number}"),
            rank_drawing(scheme, rank, evidence=evidence, prefix=f"rank-{number}-narrow", narrow=True),
            f"rank-{number}",
        )
        for number, rank in enumerate(shared[:MOST_ROWS], start=1)
    ]


def _board_plates(scheme: Scheme, specification: SpecificationValue, evidence: Evidence) -> list[Plate]:
    """One board a chest, with the stops on it that share pipes, in the order of its sliders."""
    views = [viewed for *_rest, viewed in specification.chests]
    sharing = {stop for family in specification.answer["families"] for stop in family["stops"]}
    drawn: list[Plate] = []
    for chest, viewed in zip(scheme.chests, views, strict=True):
        stops = [stop for stop in chest.stops or () if stop in sharing and _calls(scheme, stop)]
        if chest.kind not in PIPE_CHESTS or len(stops) < 2 or len(drawn) >= MOST_BOARDS:
            continue
        wide, narrow = (
            toeboard_drawing(
                scheme, stops, channels=chest.channels, prefix="toeboard", narrow=narrow,
                layout=chest.layout if chest.layout in LAYOUTS else None, evidence=evidence,
                from_back=viewed == "back",
            )
            for narrow in (False, True)
        )  # fmt: skip
        drawn.append(Plate(wide, narrow, f"toeboard-{len(drawn) + 1}", apart=True))
    return drawn


def _calls(scheme: Scheme, stop: str) -> bool:
    return any(segment.stop == stop for segment in scheme.segments)


def _section_plates(scheme: Scheme, evidence: Evidence) -> list[Plate]:
    drawings: Mapping[str, tuple[Drawing, Drawing]] = section_drawings(scheme, evidence)
    return [Plate(wide, narrow, name) for name, (wide, narrow) in drawings.items()]
