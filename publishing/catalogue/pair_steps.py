"""Guided steps for two stops on one row: octaves, common basses, two keyboards on the same pipes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.organ.sounding import Sound
from inventory.punctuation import labelled

from .guide import GuidedStep, SchemeGuide, calls_on_pipes, coinciding


class PairSteps(SchemeGuide):
    """Steps for a pair of stops that share pipes."""

    def _octaves(self, pattern: Mapping[str, Any]) -> Iterator[GuidedStep]:
        """Every C on the lower stop, on the higher one, on both; then two keys that meet in one pipe."""
        low, high = self._low_and_high(pattern)
        board = self.scheme.keyboard_of(low)
        keys = [
            key
            for key, note in enumerate(board.notes, start=1)
            if note % 12 == 0 and any((s, key) in self.by_key for s in (low, high))
        ]
        both = [key for key in keys if (low, key) in self.by_key and (high, key) in self.by_key]
        keys = both or keys
        held = [(board.id, key) for key in keys]
        if len(keys) > 1 and both:
            names = ", ".join(self.key_name(channel) for channel in held)
            one, other = self._sound([low], held), self._sound([high], held)
            together = self._sound([low, high], held)
            again = len(set(one.pipes) & set(other.pipes))
            yield GuidedStep(
                _("Draw %(stop)s alone and hold every C of %(board)s: %(names)s.")
                % {"stop": self.labels[low], "board": self._board(board.id), "names": names},
                _("%(sum)s: a pipe for every key, from %(first)s to %(last)s.")
                % {"sum": calls_on_pipes(one), **self._ends(list(one.pipes))},
                (low,), tuple(held),
            )  # fmt: skip
            yield GuidedStep(
                _("Push it in and draw %(stop)s, holding the same keys.") % {"stop": self.labels[high]},
                calls_on_pipes(other)
                + ". "
                + ngettext(
                    "%(n)s of these pipes spoke a moment ago, for another key.",
                    "%(n)s of these pipes spoke a moment ago, for other keys.",
                    again,
                )
                % {"n": again},
                (high,), tuple(held),
            )  # fmt: skip
            yield GuidedStep(
                _("Now draw both."),
                self._both_notice(low, high, together),
                (low, high), tuple(held),
            )  # fmt: skip
            yield from self._meeting(pattern, drawn_already=True)
        else:
            yield from self._meeting(pattern)

    def _both_notice(self, low: str, high: str, together: Sound) -> str:
        only = {
            stop: [p for p, calls in together.pipes.items() if {c.stop for c in calls} == {stop}]
            for stop in (low, high)
        }
        words = labelled(calls_on_pipes(together), coinciding(together.coincide)) + "."
        for stop, pipes in only.items():
            if pipes:
                words += " " + _("Only %(stop)s asks %(pipes)s.") % {
                    "stop": self.labels[stop],
                    "pipes": self._listed(pipes),
                }
        return words

    def _meeting(self, pattern: Mapping[str, Any], *, drawn_already: bool = False) -> Iterator[GuidedStep]:
        """Two keys of one keyboard whose calls meet in one pipe."""
        low, high = self._low_and_high(pattern)
        meeting = self._where_they_meet(pattern["rank"], low, high)
        if meeting is None:
            return
        pipe, key, other = meeting
        held = tuple(dict.fromkeys((self._channel(low, key), self._channel(high, other))))
        heard = self._sound([low, high], held)
        do = (
            _("Keep both drawn and hold only %(one)s and %(other)s.")
            if drawn_already
            else _("Draw %(low)s and %(high)s and hold %(one)s and %(other)s.")
        )
        yield GuidedStep(
            do
            % {
                "low": self.labels[low], "high": self.labels[high],
                "one": self.key_name(held[-1]), "other": self.key_name(held[0]),
            },
            _(
                "%(sum)s: %(pipe)s of the row is asked by %(low)s at %(key)s and by %(high)s at %(at)s. "
                "It sounds once, no louder for being asked twice."
            )
            % {
                "sum": calls_on_pipes(heard), "pipe": self.pipe_name(pipe), "low": self.labels[low],
                "key": self.key_name(held[0]), "high": self.labels[high], "at": self.key_name(held[-1]),
            },
            (low, high), held,
        )  # fmt: skip

    def _same_key(self, pattern: Mapping[str, Any]) -> Iterator[GuidedStep]:
        """One key where both stops ask one pipe, and a key where they do not."""
        one, other = pattern["stops"]
        pipes = {
            k: set(self.by_key.get((one, k), ())) for k in range(1, self.scheme.keyboard_of(one).keys + 1)
        }
        shared = [k for k, asked in pipes.items() if asked & set(self.by_key.get((other, k), ()))]
        if not shared:
            return
        held = (self._channel(one, shared[0]),)
        heard = self._sound([one, other], held)
        yield GuidedStep(
            _("Draw %(one)s and %(other)s and hold %(key)s.")
            % {"one": self.labels[one], "other": self.labels[other], "key": self.key_name(held[0])},
            _("%(sum)s: both ask %(pipe)s. Push either in and nothing changes.")
            % {"sum": calls_on_pipes(heard), "pipe": self._listed(sorted(heard.pipes))},
            (one, other), held,
        )  # fmt: skip
        apart = [
            k
            for k, asked in pipes.items()
            if k > shared[0] and asked and (other, k) in self.by_key and k not in shared
        ]
        if apart:
            held = (self._channel(one, apart[0]),)
            heard = self._sound([one, other], held)
            yield GuidedStep(
                _("Let it go and hold %(key)s.") % {"key": self.key_name(held[0])},
                _("%(sum)s: here each stop has a pipe of its own.") % {"sum": calls_on_pipes(heard)},
                (one, other), held,
            )  # fmt: skip

    def _two_boards(self, pattern: Mapping[str, Any]) -> Iterator[GuidedStep]:
        """The same pipe from two keyboards, one after the other and together."""
        one, other = pattern["stops"]
        meeting = self._where_they_meet(pattern["rank"], one, other)
        if meeting is None:
            return
        pipe, key, at = meeting
        held = (self._channel(one, key), self._channel(other, at))
        words = {
            "one": self.labels[one], "other": self.labels[other], "pipe": self.pipe_name(pipe),
            "key": self.key_name(held[0], board=True), "at": self.key_name(held[1], board=True),
        }  # fmt: skip
        yield GuidedStep(
            _("Draw %(one)s and hold %(key)s.") % words,
            _("%(sum)s: %(pipe)s speaks.")
            % {"sum": calls_on_pipes(self._sound([one], held[:1])), "pipe": words["pipe"]},
            (one,), held[:1],
        )  # fmt: skip
        heard = self._sound([one, other], held)
        yield GuidedStep(
            _("Add %(other)s and hold %(at)s as well.") % words,
            _("%(sum)s: %(coincide)s. %(other)s finds %(pipe)s speaking already; it grows no louder.")
            % {"sum": calls_on_pipes(heard), "coincide": coinciding(heard.coincide), **words},
            (one, other), held,
        )  # fmt: skip
        yield GuidedStep(
            _("Push %(one)s in, let %(key)s go and keep %(at)s.") % words,
            _("%(sum)s: the same pipe goes on, now for %(other)s alone.")
            % {"sum": calls_on_pipes(self._sound([other], held[1:])), **words},
            (other,), held[1:],
        )  # fmt: skip
