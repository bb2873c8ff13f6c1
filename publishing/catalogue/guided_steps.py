"""Guided steps written from a scheme: what to draw, what to hold, and what to notice, with the sums.

Each step is a registration and some keys that the page's player can set; its words are
computed here, so that it tells as much where nothing can be played: in print, without
JavaScript, to a screen reader.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _

from inventory.organ import patterns
from inventory.organ.errors import OrganError
from inventory.organ.schemes import Scheme

from .flap_step import find_murmur
from .guide import GuidedStep, calls_on_pipes, coinciding
from .pair_steps import PairSteps

MOST_STEPS = 9
ALIKE = {patterns.TRANSMISSION: patterns.DUPLEX, patterns.PARTIAL_BORROWING: patterns.COMMON_BASS}
"""Kinds whose steps would read alike: one of them is told."""


def guided_steps(
    scheme: Scheme,
    answer: Mapping[str, Any],
    labels: Mapping[str, str],
    boards: Mapping[str, str],
    couplers: Mapping[str, str] | None = None,
) -> list[GuidedStep]:
    """Steps for each kind of sharing in the scheme, the richest first, then a coupler, a flap held open."""
    guide = Guide(scheme, labels, boards, couplers or {})
    told: set[str] = set()
    steps: list[GuidedStep] = []
    found = [pattern for family in answer["families"] for pattern in family["patterns"]]
    for pattern in sorted(found, key=lambda one: (-_weight(one["pattern"]), -guide.keys_in_common(one))):
        name = ALIKE.get(pattern["pattern"], pattern["pattern"])
        if name in told or len(steps) >= MOST_STEPS - 1:
            continue
        made = list(guide.steps_for(pattern))
        if made:
            told.add(name)
            steps += made
    last = [guide.coupler_step(steps), guide.flap_step()]
    return steps[:MOST_STEPS] + [step for step in last if step is not None]


def _weight(pattern: str) -> int:
    """Which kinds are told first where a scheme has several."""
    order = (
        patterns.POLYPHONE, patterns.FOLDBACK_ON_OWN_PIPES, patterns.RESULTANT, patterns.PARTIAL_BORROWING,
        patterns.COMMON_BASS, patterns.DERIVED_MUTATION, patterns.TRANSMISSION_WITH_EXTENSION,
        patterns.TRANSMISSION, patterns.DUPLEX, patterns.OCTAVE_EXTENSION,
    )  # fmt: skip
    return order.index(pattern) if pattern in order else -1


class Guide(PairSteps):
    """Everything the steps of one scheme need to know."""

    def steps_for(self, pattern: Mapping[str, Any]) -> Iterator[GuidedStep]:
        """Steps for one pattern; none where a control keeps its stops apart or nothing sounds."""
        make: Callable[[Mapping[str, Any]], Iterator[GuidedStep]] | None = {
            patterns.OCTAVE_EXTENSION: self._octaves,
            patterns.DERIVED_MUTATION: self._meeting,
            patterns.COMMON_BASS: self._same_key,
            patterns.PARTIAL_BORROWING: self._same_key,
            patterns.DUPLEX: self._two_boards,
            patterns.TRANSMISSION: self._two_boards,
            patterns.TRANSMISSION_WITH_EXTENSION: self._two_boards,
            patterns.RESULTANT: self._resultant,
            patterns.FOLDBACK_ON_OWN_PIPES: self._foldback,
            patterns.POLYPHONE: self._polyphone,
        }.get(pattern["pattern"])
        if make is None or any(self.scheme.stop[s].state != "present" for s in pattern["stops"]):
            return
        try:
            yield from [step for step in make(pattern) if step.notice]
        except OrganError:
            return  # a control keeps these stops apart: nobody can play the step

    def _resultant(self, pattern: Mapping[str, Any]) -> Iterator[GuidedStep]:
        stop = pattern["stops"][0]
        key = next((k for (s, k), asked in sorted(self.by_key.items()) if s == stop and len(asked) > 1), None)
        if key is None:
            return
        held = (self._channel(stop, key),)
        heard = self._sound([stop], held)
        yield GuidedStep(
            _("Draw %(stop)s alone and hold %(key)s.")
            % {"stop": self.labels[stop], "key": self.key_name(held[0])},
            _("%(sum)s, a fifth apart: %(pipes)s. The ear adds the octave below.")
            % {"sum": calls_on_pipes(heard), "pipes": self._listed(sorted(heard.pipes))},
            (stop,), held,
        )  # fmt: skip

    def _foldback(self, pattern: Mapping[str, Any]) -> Iterator[GuidedStep]:
        stop = pattern["stops"][0]
        for pipe, calls in sorted(self.by_pipe.items(), reverse=True):
            keys = sorted(call.key for call in calls if call.stop == stop)
            if pipe[0] == pattern["rank"] and len(keys) > 1:
                held = (self._channel(stop, keys[0]), self._channel(stop, keys[-1]))
                heard = self._sound([stop], held)
                yield GuidedStep(
                    _("Draw %(stop)s alone and hold %(one)s and %(other)s.")
                    % {
                        "stop": self.labels[stop], "one": self.key_name(held[0]), "other": self.key_name(held[1]),
                    },
                    _("%(sum)s: at the top the stop folds back, and both keys ask %(pipe)s.")
                    % {"sum": calls_on_pipes(heard), "pipe": self.pipe_name(pipe)},
                    (stop,), held,
                )  # fmt: skip
                return

    def _polyphone(self, pattern: Mapping[str, Any]) -> Iterator[GuidedStep]:
        stop = pattern["stops"][0]
        for pipe, calls in sorted(self.by_pipe.items()):
            keys = sorted(call.key for call in calls if call.stop == stop)
            if pipe[0] == pattern["rank"] and len(self.scheme.rank[pipe[0]].tones.get(pipe[1], ())) > 1:
                if len(keys) < 2:
                    continue
                held = (self._channel(stop, keys[0]), self._channel(stop, keys[1]))
                yield GuidedStep(
                    _("Draw %(stop)s and hold %(one)s and %(other)s together.")
                    % {
                        "stop": self.labels[stop], "one": self.key_name(held[0]), "other": self.key_name(held[1]),
                    },
                    _("Both keys ask %(pipe)s for different notes: they cannot sound together.")
                    % {"pipe": self.pipe_name(pipe)},
                    (stop,), held,
                )  # fmt: skip
                return

    def coupler_step(self, before: Sequence[GuidedStep]) -> GuidedStep | None:
        """What a coupler adds to stops that share pipes: the one that makes most calls coincide, if any."""
        drawn = next(
            (step.drawn for step in reversed(before) if len(step.drawn) > 1 and not step.held_open), None
        )
        found: list[tuple[int, GuidedStep]] = []
        for coupler in self.scheme.couplers:
            if drawn is None or coupler.always:
                continue
            board = self.scheme.keyboard[coupler.origin]
            held = ((board.id, board.key_at_note.get(60, board.keys // 2 + 1)),)
            if held[0][1] > board.keys:
                continue
            try:
                plain, heard = self._sound(drawn, held), self._sound([*drawn, coupler.id], held)
            except OrganError:
                continue
            if heard.coincide <= plain.coincide:
                continue
            words = {
                "coupler": self.couplers.get(coupler.id, coupler.id),
                "stops": ", ".join(self.labels[one] for one in drawn),
                "key": self.key_name(held[0], board=True),
                "sum": calls_on_pipes(heard),
                "coincide": coinciding(heard.coincide),
                "before": calls_on_pipes(plain),
            }
            step = GuidedStep(
                _("Draw the coupler %(coupler)s to %(stops)s and hold %(key)s.") % words,
                _("%(sum)s: %(coincide)s. Without the coupler: %(before)s.") % words,
                (*drawn, coupler.id),
                held,
            )
            found.append((-heard.coincide, step))
        return min(found, key=lambda one: one[0])[1] if found else None

    def flap_step(self) -> GuidedStep | None:
        """A flap held open in the middle of the compass, and what murmurs for it."""
        murmur = find_murmur(self.scheme)
        if murmur is None:
            return None
        stop, key = murmur.valve.stop, murmur.valve.key
        several = len(self.scheme.keyboards) > 1
        words = {
            "stop": self.labels[stop],
            "key": self.key_name(self._channel(stop, key), board=several),
            "drawn": ", ".join(self.labels[one] for one in murmur.drawn),
            "held": ", ".join(self.key_name(channel, board=several) for channel in murmur.held),
            "pipe": self.pipe_name((murmur.valve.rank, murmur.valve.pipe)),
            "murmuring": self._listed(murmur.pipes),
        }
        if murmur.recorded:
            do = _("Hold the valve of %(stop)s at %(key)s open, draw %(drawn)s and hold %(held)s.")
            last = _("Closed, the valve keeps that wind out.")
        else:
            do = _(
                "Suppose nothing kept wind back behind %(stop)s at %(key)s; draw %(drawn)s and hold %(held)s."
            )
            last = _(
                "By the scheme a valve is needed there; none was seen, which does not mean that it is missing."
            )
        notice = _(
            "Wind that reaches %(pipe)s goes back that way, and what nobody asked for murmurs: %(murmuring)s."
        )
        return GuidedStep(
            do % words,
            f"{notice % words} {last}",
            murmur.drawn, murmur.held, f"valve:{stop}:{key}",
        )  # fmt: skip
