"""Findings: what does not add up in a scheme, in plain words with what to do.

A finding is a question to the record, never a verdict on the organ. Silence by design
(a stop's own limits, halves, prepared stops) is none.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from inventory.organ.calls import CalledPipes
from inventory.organ.notes import note_name, spans_of
from inventory.organ.pitch_labels import find_contradictions
from inventory.organ.schemes import Scheme
from inventory.organ.sums import needed_pipes
from inventory.organ.valves_needed import schedule_valves

CODES = (
    "pipe-outside-rank",
    "silent-keys",
    "asked-twice",
    "uncalled-pipes",
    "pitch-contradicts-label",
    "count-differs",
    "non-return-not-recorded",
    "key-outside-compass",
)


@dataclass(frozen=True)
class Finding:
    """One thing that does not add up."""

    code: str
    severity: str
    """``error``: the record contradicts itself; ``warning``: likely a slip, or a note that cannot
    sound; ``note``: to be looked at on the next visit."""
    message: str
    """What, where, what to do."""
    where: dict[str, Any] = field(default_factory=dict)
    """The same place for programs: stop, rank, segment (from 0), keys, pipes."""


def find_findings(scheme: Scheme, called: CalledPipes | None = None) -> list[Finding]:
    """Everything that does not add up, in the order of CODES, each code in the order of the scheme.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("r", 1, (36,)),), (Stop("s", "I", "Flute", "8"),),
    ...                 (Segment("s", (1, 2), "r", shift=0),))
    >>> [finding.code for finding in find_findings(scheme)]
    ['pipe-outside-rank', 'silent-keys', 'count-differs']
    """
    called = called or CalledPipes(scheme)
    found = [
        *_pipes_outside(called),
        *_silent_keys(called),
        *_asked_twice(called),
        *_uncalled(called),
        *_contradicted_labels(called),
        *_counts(called),
        *_valves(called),
        *_keys_outside(scheme),
    ]
    return sorted(found, key=lambda finding: CODES.index(finding.code))


def _named(scheme: Scheme, stop: str) -> str:
    found = scheme.stop[stop]
    footage = f" {found.footage}′" if found.footage and found.footage.rstrip("'′ ")[-1:].isdigit() else ""
    name = found.name if footage and found.name.endswith(footage.strip("′ ")) else f"{found.name}{footage}"
    return f"{name} ({stop})" if name != stop else stop


def _count(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"


def _which_keys(keys: list[int], last: int) -> str:
    """Keys in words; a run that ends at the last key is the top."""
    if keys and keys == list(range(last - len(keys) + 1, last + 1)) and len(keys) < last:
        return _count(len(keys), "top key", "top keys")
    return _count(len(keys), "key", "keys")


def _pipes_outside(called: CalledPipes) -> Iterator[Finding]:
    scheme = called.scheme
    for place, segment in enumerate(scheme.segments):
        asks = [a for a in called.asks_of_segment.get(place, ()) if not a.answered and not a.beyond]
        if not asks:
            continue
        rank = scheme.rank[segment.rank]
        keys = sorted({ask.key for ask in asks})
        pipes = sorted({ask.pipe for ask in asks if ask.pipe is not None})
        gaps = sum(1 for ask in asks if ask.pipe is None)
        what = [f"pipe {spans_of(pipes)}" if len(pipes) == 1 else f"pipes {spans_of(pipes)}"] if pipes else []
        what += [_count(gaps, "note that lies in a gap", "notes that lie in gaps")] if gaps else []
        has = "has not been counted" if rank.pipes is None else f"has {_count(rank.pipes, 'pipe', 'pipes')}"
        yield Finding(
            "pipe-outside-rank",
            "warning",
            f"{_named(scheme, segment.stop)}: keys {spans_of(keys)} ask {' and '.join(what)} of rank {rank.id}, "
            f"which {has}; check the segment, or count the rank again",
            {"segment": place, "stop": segment.stop, "rank": rank.id, "keys": keys, "pipes": pipes},
        )


def _silent_keys(called: CalledPipes) -> Iterator[Finding]:
    scheme = called.scheme
    covered: dict[str, set[int]] = defaultdict(set)
    for ask in called.asks:
        covered[ask.stop].add(ask.key)
    for stop in scheme.stops:
        if stop.state == "prepared":
            continue
        first, last = scheme.compass_of(stop.id)
        silent = [key for key in range(first, last + 1) if key not in called.keys_by_stop[stop.id]]
        if not silent:
            continue
        unasked = [key for key in silent if key not in covered[stop.id]]
        notes = scheme.keyboard_of(stop.id).notes
        names = f"{note_name(notes[silent[0] - 1])} to {note_name(notes[silent[-1] - 1])}"
        why = "no pipe answers" if not unasked else "no segment covers them"
        if unasked and len(unasked) < len(silent):
            why = f"no segment covers {spans_of(unasked)}, and no pipe answers the rest"
        yield Finding(
            "silent-keys",
            "warning",
            f"{_named(scheme, stop.id)}: {_which_keys(silent, last)} silent ({spans_of(silent)}, {names}): {why}; "
            "try them at the keys, and give the stop its own first and last key if this is by design",
            {"stop": stop.id, "keys": silent},
        )


def _asked_twice(called: CalledPipes) -> Iterator[Finding]:
    scheme = called.scheme
    segments: dict[tuple[str, str], dict[int, set[int]]] = defaultdict(lambda: defaultdict(set))
    asked: dict[tuple[str, int, str, int], list[int]] = defaultdict(list)
    for ask in called.asks:
        if ask.pipe is not None:
            asked[ask.stop, ask.key, ask.rank, ask.pipe].append(ask.segment)
    for (stop, key, rank, _pipe), places in asked.items():
        if len(places) > 1:
            segments[stop, rank][key].update(places)
    for (stop, rank), keys in segments.items():
        places = sorted(set().union(*keys.values()))
        yield Finding(
            "asked-twice",
            "warning",
            f"{_named(scheme, stop)}: {_count(len(keys), 'key asks', 'keys ask')} the same pipe of rank {rank} twice "
            f"({spans_of(list(keys))}, segments {spans_of(places)} counted from 0); it counts once: "
            "leave one out, or correct the pitch of one",
            {"stop": stop, "rank": rank, "keys": sorted(keys), "segments": places},
        )


def _uncalled(called: CalledPipes) -> Iterator[Finding]:
    for rank, pipes in called.uncalled.items():
        recorded = called.scheme.rank[rank].pipes
        yield Finding(
            "uncalled-pipes",
            "note",
            f"rank {rank}: {_count(len(pipes), 'pipe', 'pipes')} of {recorded} called by no stop ({spans_of(pipes)}); "
            "look for a stop or coupler not yet recorded, or count again",
            {"rank": rank, "pipes": pipes},
        )


def _contradicted_labels(called: CalledPipes) -> Iterator[Finding]:
    scheme = called.scheme
    for found in find_contradictions(called):
        stops = " and ".join(_named(scheme, stop) for stop in found.stops)
        yield Finding(
            "pitch-contradicts-label",
            "warning",
            f"{stops}: {found.words}; check the label, the lowest note of rank {found.rank} and the segment",
            {
                "stops": list(found.stops),
                "rank": found.rank,
                "segments": list(found.segments),
                "keys": found.keys,
            },
        )


def _counts(called: CalledPipes) -> Iterator[Finding]:
    for rank in called.scheme.ranks:
        need = needed_pipes(called, rank.id)
        if need.recorded is not None and need.below + need.above + need.between:
            where = [
                f"{count} {words}"
                for count, words in ((need.below, "below"), (need.above, "above"), (need.between, "in gaps"))
                if count
            ]
            yield Finding(
                "count-differs",
                "warning",
                f"rank {rank.id}: {need.recorded} pipes recorded, but its stops ask {need.needed} different ones "
                f"({', '.join(where)} not recorded); count the rank again, or correct the segments",
                {"rank": rank.id, "recorded": need.recorded, "needed": need.needed},
            )
        if rank.missing and rank.pipes is not None:
            stand = rank.pipes - len(rank.missing)
            yield Finding(
                "count-differs",
                "note",
                f"rank {rank.id}: {rank.pipes} pipes recorded, {len(rank.missing)} of them missing "
                f"({spans_of(list(rank.missing))}), so {stand} stand; say with every count which is meant",
                {"rank": rank.id, "recorded": rank.pipes, "missing": sorted(rank.missing)},
            )


def _valves(called: CalledPipes) -> Iterator[Finding]:
    not_seen: dict[tuple[str, str], list[int]] = defaultdict(list)
    for branch in schedule_valves(called.scheme).not_seen:
        not_seen[branch.stop, branch.rank].append(branch.key)
    for (stop, rank), keys in not_seen.items():
        yield Finding(
            "non-return-not-recorded",
            "note",
            f"{_named(called.scheme, stop)}: on {_count(len(set(keys)), 'key', 'keys')} ({spans_of(keys)}) wind could "
            f"pass back through rank {rank} into a channel nobody plays, and no non-return valve is recorded; "
            "look for flaps when the upperboard is next lifted: not seen is not missing",
            {"stop": stop, "rank": rank, "keys": sorted(set(keys)), "valves": len(keys)},
        )


def _keys_outside(scheme: Scheme) -> Iterator[Finding]:
    for stop in scheme.stops:
        keys = scheme.keyboard_of(stop.id).keys
        if stop.keys and stop.keys[1] > keys:
            yield Finding(
                "key-outside-compass",
                "error",
                f"{_named(scheme, stop.id)}: its compass goes to key {stop.keys[1]}, but {stop.keyboard} has {keys} "
                "keys; correct one of them",
                {"stop": stop.id, "keys": list(stop.keys)},
            )
    for place, segment in enumerate(scheme.segments):
        keyboard = scheme.keyboard_of(segment.stop)
        first, last = segment.keys
        if last > keyboard.channels:
            reach = f" and {keyboard.reach} channels beyond" if keyboard.reach else ""
            yield Finding(
                "key-outside-compass",
                "error",
                f"{_named(scheme, segment.stop)}: segment {place} (from 0) goes to key {last}, but {keyboard.id} has "
                f"{keyboard.keys} keys{reach}; correct the keys, or record the channels beyond as reach",
                {"segment": place, "stop": segment.stop, "keys": [first, last]},
            )
        own = scheme.stop[segment.stop].keys
        if own and (first < own[0] or min(last, keyboard.keys) > own[1]):
            yield Finding(
                "key-outside-compass",
                "error",
                f"{_named(scheme, segment.stop)}: segment {place} (from 0) covers keys {first}–{last}, outside the "
                f"stop's own compass {own[0]}–{own[1]}; correct one of them",
                {"segment": place, "stop": segment.stop, "keys": [first, last]},
            )
