"""Findings: what does not add up in a scheme, in plain words with what to do.

A finding is a question to the record, never a verdict on the organ. Silence by design
(a stop's own limits, halves, prepared stops) is none.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from inventory.organ.calls import CalledPipes, called_pipes
from inventory.organ.notes import note_name, spans_of
from inventory.organ.pitch_labels import find_contradictions
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Scheme
from inventory.organ.sentences import join_sentences, say, say_count
from inventory.organ.sums import needed_pipes
from inventory.organ.valves_needed import ValveSchedule, schedule_valves

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


@remember_recent(AT_ONCE)
def find_findings(scheme: Scheme) -> tuple[Finding, ...]:
    """Everything that does not add up, in the order of CODES, each code in the order of the scheme.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("r", 1, (36,)),), (Stop("s", "I", "Flute", "8"),),
    ...                 (Segment("s", (1, 2), "r", shift=0),))
    >>> [finding.code for finding in find_findings(scheme)]
    ['pipe-outside-rank', 'silent-keys', 'count-differs']
    """
    called = called_pipes(scheme)
    found = [
        *_pipes_outside(called),
        *_silent_keys(called),
        *_asked_twice(called),
        *_uncalled(called),
        *_contradicted_labels(called),
        *_counts(called),
        *_valves(scheme, schedule_valves(scheme)),
        *_keys_outside(scheme),
    ]
    return tuple(sorted(found, key=lambda finding: CODES.index(finding.code)))


def _named(scheme: Scheme, stop: str) -> str:
    found = scheme.stop[stop]
    footage = f" {found.footage}′" if found.footage and found.footage.rstrip("'′ ")[-1:].isdigit() else ""
    name = found.name if footage and found.name.endswith(footage.strip("′ ")) else f"{found.name}{footage}"
    return f"{name} ({stop})" if name != stop else stop


def _keys_asked(keys: list[int]) -> str:
    return say_count(len(keys), "%(n)s key", "%(n)s keys")


def _which_keys(keys: list[int], last: int) -> str:
    """Keys in words; a run that ends at the last key is the top."""
    if keys and keys == list(range(last - len(keys) + 1, last + 1)) and len(keys) < last:
        return say_count(len(keys), "%(n)s top key", "%(n)s top keys")
    return _keys_asked(keys)


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
        what = (
            [say_count(len(pipes), "pipe %(pipes)s", "pipes %(pipes)s", pipes=spans_of(pipes))]
            if pipes
            else []
        )
        what += (
            [say_count(gaps, "%(n)s note that lies in a gap", "%(n)s notes that lie in gaps")] if gaps else []
        )
        asked = say("%(one)s and %(other)s", one=what[0], other=what[1]) if len(what) > 1 else what[0]
        has = (
            say("has not been counted")
            if rank.pipes is None
            else say_count(rank.pipes, "has %(n)s pipe", "has %(n)s pipes")
        )
        yield Finding(
            "pipe-outside-rank",
            "warning",
            say(
                "%(stop)s: keys %(keys)s ask %(asked)s of rank %(rank)s, which %(has)s; check the segment, "
                "or count the rank again",
                stop=_named(scheme, segment.stop),
                keys=spans_of(keys),
                asked=asked,
                rank=rank.id,
                has=has,
            ),
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
        why = say("no pipe answers") if not unasked else say("no segment covers them")
        if unasked and len(unasked) < len(silent):
            why = say("no segment covers %(keys)s, and no pipe answers the rest", keys=spans_of(unasked))
        yield Finding(
            "silent-keys",
            "warning",
            say(
                "%(stop)s: %(which)s silent (%(keys)s, %(lowest)s to %(highest)s): %(why)s; try them at the keys, "
                "and give the stop its own first and last key if this is by design",
                stop=_named(scheme, stop.id),
                which=_which_keys(silent, last),
                keys=spans_of(silent),
                lowest=note_name(notes[silent[0] - 1]),
                highest=note_name(notes[silent[-1] - 1]),
                why=why,
            ),
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
            say_count(
                len(keys),
                "%(stop)s: %(n)s key asks the same pipe of rank %(rank)s twice (%(keys)s, segments %(places)s "
                "counted from 0); it counts once: leave one out, or correct the pitch of one",
                "%(stop)s: %(n)s keys ask the same pipe of rank %(rank)s twice (%(keys)s, segments %(places)s "
                "counted from 0); it counts once: leave one out, or correct the pitch of one",
                stop=_named(scheme, stop),
                rank=rank,
                keys=spans_of(list(keys)),
                places=spans_of(places),
            ),
            {"stop": stop, "rank": rank, "keys": sorted(keys), "segments": places},
        )


def _uncalled(called: CalledPipes) -> Iterator[Finding]:
    for rank, pipes in called.uncalled.items():
        recorded = called.scheme.rank[rank].pipes
        yield Finding(
            "uncalled-pipes",
            "note",
            say_count(
                len(pipes),
                "rank %(rank)s: %(n)s pipe of %(recorded)s called by no stop (%(pipes)s); look for a stop or coupler "
                "not yet recorded, or count again",
                "rank %(rank)s: %(n)s pipes of %(recorded)s called by no stop (%(pipes)s); look for a stop or coupler "
                "not yet recorded, or count again",
                rank=rank,
                recorded=recorded,
                pipes=spans_of(pipes),
            ),
            {"rank": rank, "pipes": pipes},
        )


def _contradicted_labels(called: CalledPipes) -> Iterator[Finding]:
    scheme = called.scheme
    for found in find_contradictions(called):
        stops = join_sentences([_named(scheme, stop) for stop in found.stops], ", ")
        yield Finding(
            "pitch-contradicts-label",
            "warning",
            say(
                "%(stops)s: %(words)s; check the label, the lowest note of rank %(rank)s and the segment",
                stops=stops,
                words=found.words,
                rank=found.rank,
            ),
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
                told
                for count, told in (
                    (need.below, say("%(count)s below", count=need.below)),
                    (need.above, say("%(count)s above", count=need.above)),
                    (need.between, say("%(count)s in gaps", count=need.between)),
                )
                if count
            ]
            yield Finding(
                "count-differs",
                "warning",
                say(
                    "rank %(rank)s: %(recorded)s pipes recorded, but its stops ask %(needed)s different ones "
                    "(%(where)s not recorded); count the rank again, or correct the segments",
                    rank=rank.id,
                    recorded=need.recorded,
                    needed=need.needed,
                    where=join_sentences(where, ", "),
                ),
                {"rank": rank.id, "recorded": need.recorded, "needed": need.needed},
            )
        if rank.missing and rank.pipes is not None:
            stand = rank.pipes - len(rank.missing)
            yield Finding(
                "count-differs",
                "note",
                say(
                    "rank %(rank)s: %(recorded)s pipes recorded, %(missing)s of them missing (%(which)s), so "
                    "%(stand)s stand; say with every count which is meant",
                    rank=rank.id,
                    recorded=rank.pipes,
                    missing=len(rank.missing),
                    which=spans_of(list(rank.missing)),
                    stand=stand,
                ),
                {"rank": rank.id, "recorded": rank.pipes, "missing": sorted(rank.missing)},
            )


def _valves(scheme: Scheme, valves: ValveSchedule) -> Iterator[Finding]:
    not_seen: dict[tuple[str, str], list[int]] = defaultdict(list)
    for branch in valves.not_seen:
        not_seen[branch.stop, branch.rank].append(branch.key)
    for (stop, rank), keys in not_seen.items():
        yield Finding(
            "non-return-not-recorded",
            "note",
            say_count(
                len(set(keys)),
                "%(stop)s: on %(n)s key (%(keys)s) wind could pass back through rank %(rank)s into a channel nobody "
                "plays, and no non-return valve is recorded; look for flaps when the upperboard is next lifted: "
                "not seen is not missing",
                "%(stop)s: on %(n)s keys (%(keys)s) wind could pass back through rank %(rank)s into a channel nobody "
                "plays, and no non-return valve is recorded; look for flaps when the upperboard is next lifted: "
                "not seen is not missing",
                stop=_named(scheme, stop),
                keys=spans_of(keys),
                rank=rank,
            ),
            {"stop": stop, "rank": rank, "keys": sorted(set(keys)), "valves": len(keys)},
        )


def _keys_outside(scheme: Scheme) -> Iterator[Finding]:
    for stop in scheme.stops:
        keys = scheme.keyboard_of(stop.id).keys
        if stop.keys and stop.keys[1] > keys:
            yield Finding(
                "key-outside-compass",
                "error",
                say(
                    "%(stop)s: its compass goes to key %(last)s, but %(keyboard)s has %(keys)s keys; "
                    "correct one of them",
                    stop=_named(scheme, stop.id),
                    last=stop.keys[1],
                    keyboard=stop.keyboard,
                    keys=keys,
                ),
                {"stop": stop.id, "keys": list(stop.keys)},
            )
    for place, segment in enumerate(scheme.segments):
        keyboard = scheme.keyboard_of(segment.stop)
        first, last = segment.keys
        if last > keyboard.channels:
            has = say("%(keys)s keys", keys=keyboard.keys)
            if keyboard.reach:
                has = say(
                    "%(keys)s keys and %(reach)s channels beyond", keys=keyboard.keys, reach=keyboard.reach
                )
            yield Finding(
                "key-outside-compass",
                "error",
                say(
                    "%(stop)s: segment %(place)s (from 0) goes to key %(last)s, but %(keyboard)s has %(has)s; "
                    "correct the keys, or record the channels beyond as reach",
                    stop=_named(scheme, segment.stop),
                    place=place,
                    last=last,
                    keyboard=keyboard.id,
                    has=has,
                ),
                {"segment": place, "stop": segment.stop, "keys": [first, last]},
            )
        own = scheme.stop[segment.stop].keys
        if own and (first < own[0] or min(last, keyboard.keys) > own[1]):
            yield Finding(
                "key-outside-compass",
                "error",
                say(
                    "%(stop)s: segment %(place)s (from 0) covers keys %(first)s–%(last)s, outside the stop's own "
                    "compass %(lowest)s–%(highest)s; correct one of them",
                    stop=_named(scheme, segment.stop),
                    place=place,
                    first=first,
                    last=last,
                    lowest=own[0],
                    highest=own[1],
                ),
                {"segment": place, "stop": segment.stop, "keys": [first, last]},
            )
