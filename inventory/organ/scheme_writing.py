"""A Scheme as the dictionary of its exchange file: canonical, read back unchanged."""

from __future__ import annotations

from typing import Any

from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop


def scheme_to_dict(scheme: Scheme) -> dict[str, Any]:
    """The scheme in the format of DESIGN §8, ready for json.dumps; defaults left out.

    Order of every list is kept; reading the result gives an equal scheme.

    >>> from inventory.organ.schemes import Scheme
    >>> scheme_to_dict(Scheme((Keyboard("I", (36, 37)),), (Rank("r", None),), (), ()))["keyboards"]
    [{'id': 'I', 'low': 36, 'keys': 2, 'kind': 'manual'}]
    """
    written: dict[str, Any] = {
        "keyboards": [_keyboard(k) for k in scheme.keyboards],
        "ranks": [_rank(r) for r in scheme.ranks],
        "stops": [_stop(s) for s in scheme.stops],
        "segments": [_segment(s) for s in scheme.segments],
    }
    if scheme.controls:
        written["controls"] = [
            {"id": c.id, "positions": [list(position) for position in c.positions]} for c in scheme.controls
        ]
    if scheme.chests:
        written["chests"] = [
            _filled(
                {
                    "id": c.id,
                    "kind": c.kind,
                    "stops": None if c.stops is None else list(c.stops),
                    "channels": None if c.channels is None else [f"{kb}:{key}" for kb, key in c.channels],
                    "layout": c.layout,
                }
            )
            for c in scheme.chests
        ]
    if scheme.couplers:
        written["couplers"] = [
            {
                "id": c.id,
                "from": c.origin,
                "to": c.target,
                "shift": c.shift,
                "moves": c.moves,
                "always": c.always,
            }
            for c in scheme.couplers
        ]
    return written


def _filled(fields: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in fields.items() if value is not None}


def _keyboard(keyboard: Keyboard) -> dict[str, Any]:
    low = keyboard.notes[0] if keyboard.notes else 36
    written: dict[str, Any] = {"id": keyboard.id, "low": low, "keys": keyboard.keys, "kind": keyboard.kind}
    if keyboard.has_gaps:
        written["notes"] = list(keyboard.notes)
    if keyboard.reach:
        # A reach above the number of keys would be read as the number of the highest channel.
        written["reach"] = keyboard.channels if keyboard.reach > keyboard.keys else keyboard.reach
    return written


def _rank(rank: Rank) -> dict[str, Any]:
    written: dict[str, Any] = {"id": rank.id, "pipes": rank.pipes}
    if rank.notes and not rank.has_gaps and rank.pipes is not None:
        written["low"] = rank.notes[0]
    elif rank.notes is not None:
        written["notes"] = list(rank.notes)
    elif rank.low is not None:
        written["low"] = rank.low
    if rank.counted:
        written["counted"] = rank.counted
    if rank.missing:
        written["missing"] = sorted(rank.missing)
    if rank.tones:
        written["tones"] = {str(pipe): list(rank.tones[pipe]) for pipe in sorted(rank.tones)}
    if rank.makes != "pipes":
        written["makes"] = rank.makes
    return written


def _stop(stop: Stop) -> dict[str, Any]:
    written: dict[str, Any] = {
        "id": stop.id,
        "keyboard": stop.keyboard,
        "name": stop.name,
        "footage": stop.footage,
    }
    if stop.keys is not None:
        written["keys"] = list(stop.keys)
    if stop.state != "present":
        written["state"] = stop.state
    return written


def _segment(segment: Segment) -> dict[str, Any]:
    return _filled(
        {
            "stop": segment.stop,
            "keys": list(segment.keys),
            "rank": segment.rank,
            "shift": segment.shift,
            "interval": segment.interval,
            "pipes": None if segment.pipes is None else list(segment.pipes),
            "device": segment.device,
            "chest": segment.chest,
            "evidence": segment.evidence,
        }
    )
