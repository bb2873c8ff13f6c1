"""The section “Play it” of an instrument's page: steps, knobs, keys, rows, and the words its script shows."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.languages import say_once
from inventory.organ.notes import PITCH_CLASS_NAMES, note_name
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Scheme, answered_calls
from inventory.organ.valves_needed import net_of
from publishing.disclosure.values import PublicInstrument, SpecificationValue

from .guided_steps import guided_steps
from .plates import row_names, shared_rows
from .playing import carried_data, playing_data
from .playing_pitch import tuning_of
from .scheme_words import compass_in_words, labels_of

VOICES = {
    "principal": "principal", "mixture": "principal", "mutation": "principal", "cornet": "principal",
    "flute": "flute", "tapered": "flute", "percussion": "flute",
    "stopped": "stopped", "chimney": "stopped", "pedal-bass": "stopped",
    "string": "string", "undulating": "string", "reed": "reed", "regal": "reed",
}  # fmt: skip
"""Family of a stop (vocabulary) -> the spectrum that stands for it."""
PLAIN = "principal"


def player_context(organ: PublicInstrument, specification: SpecificationValue) -> dict[str, Any] | None:
    """What `_player.html` prints; None where no two stops share pipes, so that there is nothing to show."""
    if not specification.answer["families"]:
        return None
    scheme = specification.scheme
    labels = labels_of(specification)
    boards = {board.code: board.name or board.code for board in specification.keyboards}
    played, has_valves = _played(scheme)
    tuning, pitch_words = tuning_of(organ.pitch, organ.temperament)
    words = spoken_words()
    rows = row_names(specification)
    voices = voices_of(specification)
    data = played | {
        "ranks": [
            rank | _row_words(rows[rank["id"]], labels.get(rank["id"]), voices.get(rank["id"], PLAIN))
            for rank in played["ranks"]
        ],
        "stops": [stop | {"label": labels[stop["id"]]} for stop in played["stops"]],
        "keyboards": [board | {"name": boards[board["id"]]} for board in played["keyboards"]],
        "tuning": tuning, "words": words_needed(words, has_valves), "noteNames": list(PITCH_CLASS_NAMES),
    }  # fmt: skip
    shared = {rank for family in specification.answer["families"] for rank in family["ranks"]}
    shared &= set(shared_rows(scheme))
    called = {call.rank for call in answered_calls(scheme)}
    listed = [{"id": rank.id, "name": rows[rank.id]} for rank in scheme.ranks if rank.id in called]
    return {
        "steps": guided_steps(scheme, specification.answer, labels, boards, coupler_names(specification)),
        "groups": knob_groups(specification, labels, boards, set(data["calls"])),
        "boards": [
            _board(scheme, value.code, boards, compass_in_words(specification, value.code))
            for value in reversed_boards(specification)
        ],
        "shared_rows": [row for row in listed if row["id"] in shared],
        "own_rows": [row for row in listed if row["id"] not in shared],
        "has_valves": has_valves,
        "pitch_words": pitch_words,
        "words": words,
        # Nothing in a page's data may end its script element.
        "json": json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c"),
    }


@remember_recent(AT_ONCE)
def _played(scheme: Scheme) -> tuple[dict[str, Any], bool]:
    """What is played, alike in every language, and whether a valve is among it; nobody may change it."""
    if any((gate.part or "").startswith("valve:") for gate in net_of(scheme).gates):
        return carried_data(scheme), True
    # Where wind goes beyond the calls is asked only with a valve held open.
    data = playing_data(scheme)
    del data["net"]
    return data, False


def voices_of(specification: SpecificationValue) -> dict[str, str]:
    """Spectrum of each row, by the family of the first stop that asks it."""
    families = {stop.code: stop.family_code for stop in specification.stops}
    voices: dict[str, str] = {}
    for segment in specification.scheme.segments:
        voices.setdefault(segment.rank, VOICES.get(families.get(segment.stop, ""), PLAIN))
    return voices


def knob_groups(
    specification: SpecificationValue,
    labels: Mapping[str, str],
    boards: Mapping[str, str],
    sounding: set[str],
) -> list[dict[str, Any]]:
    """Knobs by keyboard, those that share pipes before the others, positions of one knob together; couplers last."""
    scheme = specification.scheme
    control_of = {
        stop: control
        for control in scheme.controls
        for position in control.positions
        for stop in position
        if sum(bool(one) for one in control.positions) > 1
    }
    groups: dict[str, list[list[dict[str, Any]]]] = {}
    placed: set[str] = set()
    for stop in scheme.stops:
        if stop.id in placed:
            continue
        control = control_of.get(stop.id)
        members = [stop.id] if control is None else [one for p in control.positions for one in p]
        members = [one for one in dict.fromkeys(members) if one not in placed]
        placed.update(members)
        groups.setdefault(stop.keyboard, []).append(
            [{"id": one, "label": labels[one], "sounds": one in sounding} for one in members]
        )
    sharing = {stop for family in specification.answer["families"] for stop in family["stops"]}
    told = [
        {
            "name": boards[keyboard],
            "sharing": [one for one in controls if any(knob["id"] in sharing for knob in one)],
            "others": [one for one in controls if not any(knob["id"] in sharing for knob in one)],
        }
        for keyboard, controls in groups.items()
    ]
    couplers = [
        [{"id": coupler, "label": label, "sounds": True}]
        for coupler, label in coupler_names(specification).items()
        if not next(one for one in scheme.couplers if one.id == coupler).always
    ]
    return [*told, *([{"name": _("Couplers"), "sharing": couplers, "others": []}] if couplers else [])]


def coupler_names(specification: SpecificationValue) -> dict[str, str]:
    """Labels of the couplers by id: rows and scheme are joined by what a coupler does."""
    named = {(start, to, shift, always): label for label, start, to, shift, always in specification.couplers}
    return {
        one.id: named.get((one.origin, one.target, one.shift, one.always), one.id)
        for one in specification.scheme.couplers
    }


def reversed_boards(specification: SpecificationValue) -> list[Any]:
    """Keyboards as they lie: the upper manuals above, pedals lowest."""
    manuals = [board for board in specification.keyboards if board.kind != "pedal"]
    return manuals[::-1] + [board for board in specification.keyboards if board.kind == "pedal"]


def _board(scheme: Scheme, code: str, boards: Mapping[str, str], compass: str) -> dict[str, Any]:
    keyboard = scheme.keyboard[code]
    lowest, highest = min(keyboard.notes), max(keyboard.notes)
    starts = [note for note in range(lowest, highest) if note % 12 == 0] or [lowest]
    first = code == scheme.keyboards[0].id
    wanted = 48 if 48 in starts else starts[0]
    return {
        "id": code,
        "name": boards[code],
        "kind": keyboard.kind,
        "compass": compass,
        "starts": [
            {"note": note, "name": note_name(note), "first": first and note == wanted} for note in starts
        ],
    }


def _row_words(name: str, label: str | None, voice: str) -> dict[str, str]:
    """Name and spectrum of a row, but for what the page takes as given: the label of that stop, a principal."""
    told = {"name": name if name != label else "", "voice": voice if voice != PLAIN else ""}
    return {key: words for key, words in told.items() if words}


OF_VALVES = ("murmur", "nothing murmurs", "pipe", "unpitched", "valve", "valve unpitched")


def words_needed(words: Mapping[str, Any], has_valves: bool) -> dict[str, Any]:
    """Without the words of valves held open where there are none."""
    return {key: said for key, said in words.items() if has_valves or key not in OF_VALVES}


@say_once
def spoken_words() -> dict[str, Any]:
    """Every word the script shows, in the language of the page; {n} and the like are filled there."""

    def counted(words: Callable[[int], str]) -> dict[str, str]:
        return {"one": words(1), "other": words(2)}

    return {
        "silent": _("Nothing sounds yet: draw a stop and hold a key."),
        "stops": counted(lambda n: ngettext("{n} stop", "{n} stops", n)),
        "keys": counted(lambda n: ngettext("{n} key", "{n} keys", n)),
        "calls": counted(lambda n: ngettext("{n} call", "{n} calls", n)),
        "pipes": counted(lambda n: ngettext("{n} pipe", "{n} pipes", n)),
        "coincide": counted(lambda n: ngettext("{n} coincides", "{n} coincide", n)),
        "none": _("none coincides"),
        "sum": _("{stops}, {keys}: {calls} on {pipes}; {coincide}."),
        "meet": _("Pipe {pipe} ({note}) of the row {row} is asked by {callers}."),
        "meet unpitched": _("Pipe {pipe} of the row {row} is asked by {callers}."),
        "caller": _("{stop} at {key}"),
        "and": _(" and "),
        "more": counted(lambda n: ngettext("So it is with {n} more.", "So it is with {n} more.", n)),
        "apart": counted(
            lambda n: ngettext(
                "{n} pair of notes asks one pipe and cannot sound together.",
                "{n} pairs of notes ask one pipe and cannot sound together.",
                n,
            )
        ),
        "murmur": counted(
            lambda n: ngettext(
                "{n} pipe murmurs that nobody asks: {pipes}.",
                "{n} pipes murmur that nobody asks: {pipes}.",
                n,
            )
        ),
        "nothing murmurs": _("The open valve lets nothing murmur here."),
        "pipe": _("pipe {pipe} ({note}) of the row {row}"),
        "unpitched": _("pipe {pipe} of the row {row}"),
        "board": _("{note} ({board})"),
        "key": _("{note}, key {n}"),
        "valve": _("{stop} at {key}: pipe {pipe} ({note})"),
        "valve unpitched": _("{stop} at {key}: pipe {pipe}"),
        "step": _("Step {n} of {all}."),
    }
