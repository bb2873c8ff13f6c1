"""The answers of `evaluate_scheme` and `sound` as documents (DESIGN §8), ready for json.dumps."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import cached_property
from typing import Any

from inventory.organ.calls import CalledPipes, called_pipes
from inventory.organ.families import Family, find_families
from inventory.organ.findings import find_findings
from inventory.organ.patterns import Pattern
from inventory.organ.schemes import Scheme
from inventory.organ.sounding import Channel, Sound, sound
from inventory.organ.sums import StopSums, sum_scheme
from inventory.organ.valves_needed import schedule_valves


def evaluate_answer(scheme: Scheme) -> dict[str, Any]:
    """Everything `evaluate_scheme --json` says of a scheme.

    >>> evaluate_answer(Scheme((), (), (), ()))["economy"] is None
    True
    """
    return dict(LateAnswer(scheme))


class LateAnswer(Mapping[str, Any]):
    """The answer of `evaluate_answer`, each part worked out when it is first asked for.

    A reader of one part does not pay for the rest, and it travels to another process as its scheme.

    >>> LateAnswer(Scheme((), (), (), ()))["families"]
    []
    """

    def __init__(self, scheme: Scheme) -> None:
        self._scheme = scheme

    @cached_property
    def _sharing(self) -> dict[str, Any]:
        return evaluate_sharing(called_pipes(self._scheme))

    @cached_property
    def _valves(self) -> dict[str, int]:
        valves = schedule_valves(self._scheme)
        return {
            "needed": len(valves.needed),
            "recorded": len(valves.recorded),
            "not_seen": len(valves.not_seen),
        }

    @cached_property
    def _findings(self) -> list[dict[str, Any]]:
        return [
            {"code": f.code, "severity": f.severity, "message": f.message, "where": f.where}
            for f in find_findings(self._scheme)
        ]

    def __getitem__(self, name: str) -> Any:
        if name == "valves":
            return self._valves
        return self._findings if name == "findings" else self._sharing[name]

    def __iter__(self) -> Iterator[str]:
        return iter((*self._sharing, "valves", "findings"))

    def __len__(self) -> int:
        return len(self._sharing) + 2

    def __bool__(self) -> bool:
        return True

    def __reduce__(self) -> tuple[type[LateAnswer], tuple[Scheme]]:
        return LateAnswer, (self._scheme,)


def evaluate_sharing(called: CalledPipes) -> dict[str, Any]:
    """What `evaluate_scheme` says of calls, stops and families, without valves and findings: what statistics need.

    >>> evaluate_sharing(CalledPipes(Scheme((), (), (), ())))["families"]
    []
    """
    sums = sum_scheme(called.scheme, called)
    return {
        "calls": sums.calls,
        "pipes_recorded": sums.pipes_recorded,
        "pipes_called": sums.pipes_called,
        "pipes_shared": sums.pipes_shared,
        "pipes_own": sums.pipes_own,
        "pipes_repeated": sums.pipes_repeated,
        "pipes_uncalled": sums.pipes_uncalled,
        "depth": sums.depth,
        "economy": sums.economy,
        "stops": [_stop(stop) for stop in sums.stops],
        "families": [_family(family) for family in find_families(called)],
    }


def _stop(stop: StopSums) -> dict[str, Any]:
    return {
        "id": stop.stop,
        "keys": stop.keys,
        "own": stop.own,
        "shared": stop.shared,
        "silent": stop.silent,
        "sharing": stop.sharing,
        "partners": [{"stop": p.stop, "interval": p.interval, "keys": p.keys} for p in stop.partners],
    }


def _family(family: Family) -> dict[str, Any]:
    signature = family.signature
    return {
        "stops": list(family.stops),
        "ranks": list(family.ranks),
        "patterns": [_pattern(pattern) for pattern in family.patterns],
        "signature": {"idea": signature.idea, "execution": signature.execution, "size": signature.size},
    }


def _pattern(pattern: Pattern) -> dict[str, Any]:
    return {
        "pattern": pattern.pattern,
        "stops": list(pattern.stops),
        "rank": pattern.rank,
        "interval": pattern.interval,
        "keys": pattern.keys,
        "devices": list(pattern.devices),
    }


def sound_answer(scheme: Scheme, drawn: Collection[str], held: Iterable[Channel]) -> dict[str, Any]:
    """Everything `sound --json` says: calls, calls that coincide, and the pipes with their calls.

    Raises SchemeError as `sounding.sound` does.

    >>> sound_answer(Scheme((), (), (), ()), [], [])
    {'calls': 0, 'coincide': 0, 'cannot_sound_together': 0, 'pipes': []}
    """
    return describe_sound(sound(scheme, drawn, held))


def describe_sound(heard: Sound) -> dict[str, Any]:
    """A sound already made, as its document.

    >>> describe_sound(Sound({}, 0, 0, frozenset()))["pipes"]
    []
    """
    return {
        "calls": heard.calls,
        "coincide": heard.coincide,
        "cannot_sound_together": heard.cannot_sound_together,
        "pipes": [
            {"rank": rank, "pipe": pipe, "calls": [{"stop": call.stop, "key": call.key} for call in calls]}
            for (rank, pipe), calls in heard.pipes.items()
        ],
    }
