"""What every guided step needs: names of keys and pipes, sums in words, and where two stops meet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.organ.notes import note_name
from inventory.organ.schemes import Call, Scheme, answered_calls
from inventory.organ.sounding import Channel, Sound, sound

Pipe = tuple[str, int]


@dataclass(frozen=True)
class GuidedStep:
    """One thing to do and what comes of it."""

    do: str
    notice: str
    drawn: tuple[str, ...]
    held: tuple[Channel, ...]
    held_open: str = ""
    """Part that is held open (``valve:STOP:key``); empty for a sound chest."""

    @property
    def keys(self) -> list[str]:
        """Keys as the page names them: I:25."""
        return [f"{keyboard}:{key}" for keyboard, key in self.held]


class SchemeGuide:
    """One scheme, asked by key and by pipe, in the words of its labels."""

    def __init__(
        self,
        scheme: Scheme,
        labels: Mapping[str, str],
        boards: Mapping[str, str],
        couplers: Mapping[str, str],
    ) -> None:
        self.scheme, self.labels, self.boards, self.couplers = scheme, labels, boards, couplers
        self.calls = sorted(answered_calls(scheme))
        self.by_key: dict[tuple[str, int], list[Pipe]] = {}
        self.by_pipe: dict[Pipe, list[Call]] = {}
        for call in self.calls:
            self.by_key.setdefault((call.stop, call.key), []).append((call.rank, call.pipe))
            self.by_pipe.setdefault((call.rank, call.pipe), []).append(call)

    def _sound(self, drawn: Sequence[str], held: Sequence[Channel]) -> Sound:
        return sound(self.scheme, drawn, held)

    def _channel(self, stop: str, key: int) -> Channel:
        return (self.scheme.stop[stop].keyboard, key)

    def key_name(self, channel: Channel, *, board: bool = False) -> str:
        """A key by its note, with the keyboard where two are in play."""
        keyboard, key = channel
        name = note_name(self.scheme.keyboard[keyboard].channel_notes[key - 1])
        return f"{name} ({self.boards.get(keyboard, keyboard)})" if board else name

    def pipe_name(self, pipe: Pipe) -> str:
        """A pipe by its number and nominal note."""
        note = self.scheme.rank[pipe[0]].note_of(pipe[1])
        number = _("pipe %(n)s") % {"n": pipe[1]}
        return number if note is None else f"{number} ({note_name(note)})"

    def _listed(self, pipes: Sequence[Pipe]) -> str:
        names = [self.pipe_name(pipe) for pipe in pipes]
        if len(names) > 4:
            names = [*names[:3], "…", names[-1]]
        return ", ".join(names)

    def _board(self, keyboard: str) -> str:
        return self.boards.get(keyboard, keyboard)

    def _ends(self, pipes: Sequence[Pipe]) -> dict[str, str]:
        ordered = sorted(pipes)
        return {"first": self.pipe_name(ordered[0]), "last": self.pipe_name(ordered[-1])}

    def _where_they_meet(self, rank: str, one: str, other: str) -> tuple[Pipe, int, int] | None:
        """A shared pipe near the middle of the row that both stops ask, with the key of each."""
        found = []
        for pipe, calls in self.by_pipe.items():
            keys = [next((c.key for c in calls if c.stop == stop), None) for stop in (one, other)]
            key, at = keys
            if pipe[0] == rank and pipe[1] not in self.scheme.rank[rank].missing and key and at:
                boards = [self.scheme.keyboard_of(stop) for stop in (one, other)]
                if key <= boards[0].keys and at <= boards[1].keys:
                    c_first = boards[1].notes[at - 1] % 12 != 0
                    found.append((c_first, abs(boards[1].notes[at - 1] - 60), pipe, key, at))
        if not found:
            return None
        _not_c, _away, pipe, key, at = min(found)
        return pipe, key, at

    def _low_and_high(self, pattern: Mapping[str, Any]) -> tuple[str, str]:
        """The two stops, the lower at the same key first."""
        first, second = pattern["stops"]
        return (second, first) if (pattern["interval"] or 0) > 0 else (first, second)

    def keys_in_common(self, pattern: Mapping[str, Any]) -> int:
        """Keys at which every stop of a pattern has a pipe: halves that never meet come last."""
        stops = [{key for name, key in self.by_key if name == stop} for stop in pattern["stops"]]
        return len(set.intersection(*stops))


def calls_on_pipes(heard: Sound) -> str:
    """4 calls on 3 pipes."""
    calls = ngettext("%(n)s call", "%(n)s calls", heard.calls) % {"n": heard.calls}
    pipes = ngettext("%(n)s pipe", "%(n)s pipes", len(heard.pipes)) % {"n": len(heard.pipes)}
    return _("%(calls)s on %(pipes)s") % {"calls": calls, "pipes": pipes}


def coinciding(calls: int) -> str:
    """How many calls find their pipe speaking already."""
    if not calls:
        return _("none coincides")
    return ngettext("%(n)s coincides", "%(n)s coincide", calls) % {"n": calls}
