"""A scheme as the page plays it: calls and gates as runs, small enough to stand in the page itself.

The page's own functions (assets/sounding.js, assets/wind.js) unpack the runs and do what
`inventory.organ.sounding` and `inventory.organ.flows` do; the table of cases in
tests/publishing/catalogue/playing_cases.py holds both to the same answers, pipe by pipe.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from inventory.organ.calls import tone_asked
from inventory.organ.errors import PitchError
from inventory.organ.footages import interval_of, read_footage
from inventory.organ.nets import Gate, Net
from inventory.organ.schemes import Keyboard, Rank, Scheme, Stop, asked_pipes
from inventory.organ.valves_needed import net_of

_SHARPS = frozenset((1, 3, 6, 8, 10))
_ENDS_IN_A_NUMBER = re.compile(r":\d+$", re.ASCII)
SPACES = (
    "channel",
    "groove",
    "pipe",
    "slider",
    "pallet",
    "valve",
    "line",
    "contact",
    "switch",
    "wire",
    "cone",
)
"""Kinds of spaces and parts that stand in many names; the page's wind.js has the same in the same order."""
Run = list[Any]


def playing_data(scheme: Scheme) -> dict[str, Any]:
    """Everything the page needs to know what sounds: keyboards, stops, couplers, calls, the net."""
    ranks = {rank.id: place for place, rank in enumerate(scheme.ranks)}
    return {
        "keyboards": [_keyboard(keyboard) for keyboard in scheme.keyboards],
        "stops": [{"id": stop.id, "keyboard": stop.keyboard} for stop in scheme.stops],
        "couplers": [
            [one.id, one.origin, one.target, one.shift, int(one.moves == "channel"), int(one.always)]
            for one in scheme.couplers
        ],
        "controls": [[list(position) for position in control.positions] for control in scheme.controls],
        "ranks": [{"id": rank.id, "notes": _notes(rank)} for rank in scheme.ranks],
        "calls": {stop.id: runs for stop in scheme.stops if (runs := call_runs(scheme, stop, ranks))},
        "net": net_data(net_of(scheme)),
    }


def carried_data(scheme: Scheme) -> dict[str, Any]:
    """The same as a page carries it, with its net packed."""
    data = playing_data(scheme)
    ids = [one["id"] for one in (*data["stops"], *data["ranks"])]
    return data | {"net": packed_net(data["net"], ids)}


def _keyboard(keyboard: Keyboard) -> dict[str, Any]:
    """A keyboard with its notes, and which keys lie raised; the page knows the names of notes itself."""
    notes = keyboard.notes
    # In a short octave notes lie on keys of other shapes; those keys are drawn plain, in their order.
    plain = max((n for n in range(1, len(notes)) if notes[n] <= notes[n - 1]), default=-1)
    return {
        "id": keyboard.id,
        "kind": keyboard.kind,
        "notes": _runs(notes),
        "reach": keyboard.reach,
        "raised": "".join("01"[place > plain and note % 12 in _SHARPS] for place, note in enumerate(notes)),
    }


def _notes(rank: Rank) -> list[list[int | None]]:
    """Nominal notes of the pipes as runs; None where the pitch is not known."""
    return _runs(rank.note_of(pipe) for pipe in range(1, (rank.pipes or 0) + 1))


def _runs(notes: Iterable[int | None]) -> list[list[int | None]]:
    """Notes as runs [first note, how many], each a semitone above the one before, or all unknown."""
    runs: list[list[int | None]] = []
    for note in notes:
        last = runs[-1] if runs else None
        if last and (note == last[0] if note is None or last[0] is None else note == last[0] + last[1]):
            last[1] = (last[1] or 0) + 1
        else:
            runs.append([note, 1])
    return runs


def call_runs(scheme: Scheme, stop: Stop, ranks: Mapping[str, int]) -> list[Run]:
    """Calls of a stop that can sound, as runs: rank, key, pipe, note, how many, polyphone.

    Along a run key, pipe and note rise by one. Missing pipes and stops that are not there
    do not sound, so they are left out, as in `sounding.sound`.
    """
    if stop.state != "present":
        return []
    keyboard = scheme.keyboard[stop.keyboard]
    found: dict[tuple[str, int, int], tuple[int | None, int]] = {}
    for segment in scheme.segments:
        if segment.stop != stop.id:
            continue
        rank = scheme.rank[segment.rank]
        for key, pipe in asked_pipes(scheme, segment):
            if pipe is None or not rank.exists(pipe) or pipe in rank.missing:
                continue
            key_note = keyboard.channel_notes[key - 1]
            tone = tone_asked(scheme, segment, rank, key_note, pipe)
            note = tone if tone is not None else rank.note_of(pipe)
            if note is None:
                note = _note_by_label(stop, key_note)
            found[rank.id, key, pipe] = (note, int(tone is not None))
    runs: list[Run] = []
    for (rank_id, key, pipe), (note, polyphone) in sorted(found.items(), key=lambda item: _by_run(*item)):
        one = [ranks[rank_id], key, pipe, note, 1, polyphone]
        if runs and _follows(runs[-1], one):
            runs[-1][4] += 1
        else:
            runs.append(one)
    return runs


def _by_run(call: tuple[str, int, int], asked: tuple[int | None, int]) -> tuple[Any, ...]:
    """Order that puts calls of one run side by side, however many ranks and pipes a key asks."""
    rank, key, pipe = call
    return (rank, pipe - key, asked[0] is None, 0 if asked[0] is None else asked[0] - key, key, asked[1])


def _follows(run: Run, one: Run) -> bool:
    done = run[4]
    note = None if run[3] is None else run[3] + done
    return [run[0], run[1] + done, run[2] + done, note, 1, run[5]] == one


def _note_by_label(stop: Stop, key_note: int) -> int | None:
    """The note a label promises, for rows whose pitch nobody recorded."""
    try:
        return None if stop.footage is None else key_note + interval_of(read_footage(stop.footage))
    except PitchError:
        return None


def net_data(net: Net) -> dict[str, Any]:
    """The net as runs of gates whose numbers rise evenly, and pipes known to be gone.

    Neighbours are left out: a run between them needs no list, it names both.
    """
    return {"gates": list(gate_runs(net.gates)), "missing": sorted(net.missing)}


def packed_net(net: Mapping[str, Any], ids: Iterable[str]) -> dict[str, Any]:
    """The same net as a page carries it: names written once, and nothing that goes without saying.

    `ids` are those of stops, then of rows; the page has them anyway. In the names of gates they and the
    kinds of spaces stand as numbers (~3): no id holds a tilde. Runs are [from, to, part, opened by, how
    many, flags, live, steps], the last left out where they are 1, 0, nothing, and a step of 1 for every
    name that ends in a number. A third of what the runs would take.
    """
    numbers = {name: f"~{place}" for place, name in enumerate(dict.fromkeys([*SPACES, *ids]))}

    def short(name: str) -> str:
        parts = [(part, numbers.get(part, part)) for part in name.split(":")]
        return ":".join(min(whole, number, key=len) for whole, number in parts)

    def packed(run: Run) -> Run:
        origin, target, part, opened, flags, live, *rest = run
        count, steps = rest or (1, None)
        plain = [
            int(_ENDS_IN_A_NUMBER.search(name) is not None) for name in (origin, target, part, live, *opened)
        ]
        shown: Run = [short(origin), short(target), short(part), [short(touch) for touch in opened]]
        more: Run = [count, flags, short(live), None if steps == plain else steps]
        while more and more[-1] == (1, 0, "", None)[len(more) - 1]:
            more.pop()
        return shown + more

    return {"gates": [packed(run) for run in net["gates"]], "missing": net["missing"]}


def gate_runs(gates: Sequence[Gate]) -> Iterator[Run]:
    """Runs [from, to, part, opened by, flags, live, how many, steps] of gates alike but for their numbers.

    Names are those of the first gate; `steps` says of each name (from, to, part, live, then
    what opens it) how its last number moves from gate to gate. Flags: 1 one-way, 2 electric.
    """
    kinds: dict[tuple[Any, ...], list[tuple[list[str], list[int | None]]]] = {}
    for gate in gates:
        opened = sorted(
            touch if isinstance(touch, str) else f"{touch[0]}:{touch[1]}" for touch in gate.opened_by
        )
        names = [gate.origin, gate.target, gate.part or "", gate.live or "", *opened]
        parts = [_numbered(name) for name in names]
        kind = (tuple(stem for stem, _ in parts), gate.one_way, gate.electric)
        kinds.setdefault(kind, []).append((names, [number for _, number in parts]))
    for (_stems, one_way, electric), members in kinds.items():
        flags = int(one_way) + 2 * int(electric)
        members.sort(key=lambda member: _by_distance(member[1]))
        rows = [numbers for _names, numbers in members]
        place = 0
        while place < len(members):
            names, _start = members[place]
            count, steps = _run_length(rows, place)
            origin, target, part, live, *opened = names
            run: Run = [origin, target, part, opened, flags, live]
            if count > 1:
                run += [count, steps]
            yield run
            place += count


def _by_distance(numbers: Sequence[int | None]) -> tuple[list[int], int]:
    """Order that puts gates of one run side by side: those whose numbers lie equally far apart."""
    known = [number for number in numbers if number is not None]
    first = known[0] if known else 0
    return [number - first for number in known], first


@lru_cache(maxsize=16_384)
def _numbered(name: str) -> tuple[str, int | None]:
    """A name and its last number, where it ends in one."""
    stem, colon, number = name.rpartition(":")
    if colon and number.isascii() and number.isdigit() and str(int(number)) == number:
        return stem, int(number)
    return name, None


def _run_length(rows: Sequence[Sequence[int | None]], start: int) -> tuple[int, list[int]]:
    """How many rows go on evenly from one of them, and by what steps."""
    if len(rows) - start < 2:
        return 1, []
    steps = _steps(rows[start], rows[start + 1])
    end = start + 2
    while end < len(rows) and _steps(rows[end - 1], rows[end]) == steps:
        end += 1
    return end - start, steps


def _steps(one: Sequence[int | None], other: Sequence[int | None]) -> list[int]:
    return [(b or 0) - (a or 0) for a, b in zip(one, other, strict=True)]
