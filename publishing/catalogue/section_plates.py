"""One pipe in section, by the kind of chest it stands on: the plate that explains the idea."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from django.utils.translation import gettext as _

from inventory.drawings.cone_sections import ConeWay, cone_section_drawing
from inventory.drawings.evidence import NOTHING_SAID, Evidence, Grounds, evidence_in_words
from inventory.drawings.meeting_sections import MeetingWay, meeting_section_drawing
from inventory.drawings.section_parts import SectionPipe
from inventory.drawings.sections import section_drawing
from inventory.drawings.svg import Drawing
from inventory.drawings.unit_sections import UnitWay, unit_section_drawing
from inventory.organ.chest_kinds import Branch, branches_of
from inventory.organ.notes import note_name
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Call, Scheme, calls_by_rank
from inventory.punctuation import semicolons

FLAPS = "flap-valves"
CHECKED = ("flap-valves", "tube-merge-with-checks")
"""Devices with a valve over each way, as the section of a cone chest draws them."""
Both = tuple[Drawing, Drawing]


def section_drawings(scheme: Scheme, evidence: Evidence = NOTHING_SAID) -> dict[str, Both]:
    """Sections by the name of their file, wide and narrow; none where no shared pipe can be cut."""
    found: dict[str, Both | None] = {
        "section": _slider_section(scheme, evidence),
        "section-meeting": _meeting_section(scheme, evidence),
        "section-cones": _cone_section(scheme, evidence),
        "section-unit": _unit_section(scheme, evidence),
    }
    return {name: both for name, both in found.items() if both is not None}


def _told(scheme: Scheme, evidence: Evidence, both: Both, *calls: Call) -> Both:
    """The same drawings with what each way rests on added to their captions."""
    if not evidence:
        return both
    parts = []
    for call in calls:
        words = {
            "stop": scheme.stop[call.stop].name,
            "key": note_name(scheme.keyboard_of(call.stop).channel_notes[call.key - 1]),
            "evidence": evidence_in_words(evidence.get(call, Grounds())),
        }
        parts.append(_("%(stop)s at key %(key)s: %(evidence)s") % words)
    line = _("On what it rests: %(ways)s.") % {"ways": semicolons(parts)}
    one, other = (replace(drawing, caption=f"{drawing.caption} {line}") for drawing in both)
    return one, other


def _slider_section(scheme: Scheme, evidence: Evidence) -> Both | None:
    """One note of an octave extension with flap valves."""
    flapped = [s for s in scheme.segments if s.device == FLAPS]
    if not flapped:
        return None
    ranks = {segment.rank for segment in flapped}
    by_rank = {r: {(c.stop, c.key): c.pipe for c in calls_by_rank(scheme)[r]} for r in ranks}
    for low in flapped:
        by_key = by_rank[low.rank]
        for high in flapped:
            if high.rank != low.rank or scheme.stop[high.stop].keyboard != scheme.stop[low.stop].keyboard:
                continue
            for key in range(min(25, scheme.keyboard_of(low.stop).keys), 0, -1):
                one, other = by_key.get((low.stop, key)), by_key.get((high.stop, key))
                if one is None or other is None or other <= one:
                    continue
                parts = [
                    _cut(scheme, by_key, key, low.stop, one),
                    _cut(scheme, by_key, key, high.stop, other),
                ]
                if all(part.twin for part in parts):
                    name = note_name(scheme.keyboard_of(low.stop).notes[key - 1])
                    both = (
                        section_drawing(parts, name, prefix="section"),
                        section_drawing(parts, name, prefix="section-narrow", narrow=True),
                    )
                    ways = (Call(low.stop, key, low.rank, one), Call(high.stop, key, low.rank, other))
                    return _told(scheme, evidence, both, *ways)
    return None


def _cut(scheme: Scheme, by_key: dict[tuple[str, int], int], key: int, stop: str, pipe: int) -> SectionPipe:
    """A pipe of the section, with the other stop and key that reach it."""
    rank = next(s.rank for s in scheme.segments if s.stop == stop and s.device == FLAPS)
    twin = next(((s, k) for (s, k), p in by_key.items() if p == pipe and k != key and s != stop), None)
    words = None
    if twin is not None:
        note = scheme.keyboard_of(twin[0]).channel_notes[twin[1] - 1]
        words = _("%(stop)s, key %(key)s") % {"stop": scheme.stop[twin[0]].name, "key": note_name(note)}
    own = by_key.get((stop, key), pipe)
    longest = min(p for (_s, k), p in by_key.items() if k == key)
    return SectionPipe(
        stop=scheme.stop[stop].name,
        pipe=_pipe_name(scheme, rank, pipe),
        drawn=True,
        twin=words,
        relative_length=1.0 if own == longest else 0.5,
    )


def _pipe_name(scheme: Scheme, rank: str, pipe: int) -> str:
    note = scheme.rank[rank].note_of(pipe)
    name = _("pipe %(n)s") % {"n": pipe}
    return name if note is None else f"{name}, {note_name(note)}"


MEETING = (
    "grooved-upperboard",
    "double-pallet",
    "alternating-slider",
    "octave-grooves",
    "cross-bored-channel",
    FLAPS,
)
"""Devices that join two ways in a slider chest, as its section draws them."""


def _meeting_section(scheme: Scheme, evidence: Evidence) -> Both | None:
    """A pipe of a slider chest that two stops reach by a device somebody named, other than the octaves above."""
    used = {segment.device for segment in scheme.segments}
    wanted = [device for device in MEETING if device in used]
    if FLAPS in wanted and _slider_section(scheme, evidence) is not None:
        wanted.remove(FLAPS)  # the octaves are drawn above
    if not wanted:
        return None
    ways = _two_ways(scheme, "slider", wanted)
    if ways is None:
        return None
    pipe, one, other = ways
    one_channel = one.channel == other.channel
    valves = FLAPS in (one.device, other.device)
    # Where nobody saw a valve, the second slider is drawn shut: the drawing claims nothing of what is unknown.
    cuts = [
        MeetingWay(scheme.stop[one.call.stop].name, _key_of(scheme, one)),
        MeetingWay(
            scheme.stop[other.call.stop].name, _key_of(scheme, other), drawn=one_channel or valves,
            pressed=one_channel,
        ),
    ]  # fmt: skip
    both = (
        meeting_section_drawing(pipe, cuts, one_channel=one_channel, valves=valves, prefix="meeting"),
        meeting_section_drawing(
            pipe, cuts, one_channel=one_channel, valves=valves, prefix="meeting-narrow", narrow=True
        ),
    )
    return _told(scheme, evidence, both, one.call, other.call)


def _cone_section(scheme: Scheme, evidence: Evidence) -> Both | None:
    ways = _two_ways(scheme, "stop channel") if _has_chest(scheme, "stop channel") else None
    if ways is None:
        return None
    pipe, one, other = ways
    cones = [
        ConeWay(scheme.stop[b.call.stop].name, _key_of(scheme, b), pressed=_same_key(b, one))
        for b in (one, other)
    ]
    valves = one.device in CHECKED or other.device in CHECKED
    both = (
        cone_section_drawing(pipe, cones, valves=valves, prefix="cones"),
        cone_section_drawing(pipe, cones, valves=valves, prefix="cones-narrow", narrow=True),
    )
    return _told(scheme, evidence, both, one.call, other.call)


def _has_chest(scheme: Scheme, kind: str) -> bool:
    return any(chest.kind == kind for chest in scheme.chests)


def _unit_section(scheme: Scheme, evidence: Evidence) -> Both | None:
    ways = _two_ways(scheme, "unit") if _has_chest(scheme, "unit") else None
    if ways is None:
        return None
    pipe, one, other = ways
    contacts = [
        UnitWay(scheme.stop[b.call.stop].name, _key_of(scheme, b), pressed=_same_key(b, one))
        for b in (one, other)
    ]
    both = (
        unit_section_drawing(pipe, contacts, prefix="unit"),
        unit_section_drawing(pipe, contacts, prefix="unit-narrow", narrow=True),
    )
    return _told(scheme, evidence, both, one.call, other.call)


def _two_ways(scheme: Scheme, kind: str, devices: Collection[str] = ()) -> tuple[str, Branch, Branch] | None:
    """A pipe on chests of a kind that two stops call, near the middle of its row, and the two ways to it.

    With `devices`, only where one of the two is said to be reached by one of them.
    """
    found = []
    for (rank, pipe), one, other in _met(scheme).get(kind, ()):
        if not devices or {one.device, other.device} & {*devices}:
            note = scheme.rank[rank].note_of(pipe)
            away = abs((60 if note is None else note) - 60)
            found.append((away, rank, pipe, one, other))
    if not found:
        return None
    _away, rank, pipe, one, other = min(found, key=lambda item: item[:3])
    return _pipe_name(scheme, rank, pipe), one, other


@remember_recent(AT_ONCE)
def _met(scheme: Scheme) -> dict[str, list[tuple[tuple[str, int], Branch, Branch]]]:
    """By kind of chest: every pipe that two stops call from their keys, with the first ways of both."""
    by_pipe: dict[tuple[str, str, int], list[Branch]] = {}
    for branch in branches_of(scheme):
        if branch.call.key <= scheme.keyboard_of(branch.call.stop).keys:
            by_pipe.setdefault((branch.kind, branch.call.rank, branch.call.pipe), []).append(branch)
    found: dict[str, list[tuple[tuple[str, int], Branch, Branch]]] = {}
    for (kind, rank, pipe), branches in by_pipe.items():
        one = branches[0]
        other = next((b for b in branches if b.call.stop != one.call.stop), None)
        if other is not None:
            found.setdefault(kind, []).append(((rank, pipe), one, other))
    return found


def _same_key(branch: Branch, one: Branch) -> bool:
    """Whether the key held for the first way lifts or closes this one too."""
    return branch.keyboard == one.keyboard and branch.call.key == one.call.key


def _key_of(scheme: Scheme, branch: Branch) -> str:
    return note_name(scheme.keyboard[branch.keyboard].channel_notes[branch.call.key - 1])
