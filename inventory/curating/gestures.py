"""Common ideas of sharing as one gesture each: they fill the tables of a scheme; nothing is saved."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.organ.errors import OrganError
from inventory.organ.footages import interval_of, read_footage
from inventory.organ.notes import note_name
from inventory.organ.schemes import Scheme

from .cells import BadCell, read_note_cell, read_whole
from .grids import Line, Table
from .stoplist_tables import Tables

LOWEST_ABOVE_B = 48
"""c of the 8′ octave: the bass in common ends at the B below it."""

GESTURES = (
    ("octave-up", gettext_lazy("This stop is that stop’s rank an octave up")),
    ("bass-common", gettext_lazy("Bass in common with that stop, up to B")),
    ("fold-back", gettext_lazy("This stop’s top octave folds back")),
    ("pedal-takes", gettext_lazy("Pedal: this stop takes its pipes from that one")),
    ("own-rank", gettext_lazy("This stop has a rank of its own")),
)


class GestureError(ValueError):
    """The gesture does not fit; the message says what is missing."""


class Gestures:
    """The tables of a scheme, filled by gestures."""

    def __init__(self, scheme: Scheme, tables: Tables) -> None:
        self.scheme = scheme
        self.ranks: Table = tables["rank"]
        self.segments: Table = tables["segment"]

    def make(self, what: str, stop: str, host: str) -> str:
        """Do one gesture; answers what was done, in words."""
        takes: dict[str, Callable[[str, str], str]] = {
            "octave-up": self.octave_up,
            "bass-common": self.bass_common,
            "fold-back": lambda one, _other: self.fold_back(one),
            "pedal-takes": self.pedal_takes,
            "own-rank": lambda one, _other: self.own_rank(one),
        }
        if what not in takes:
            raise GestureError(_("There is no such gesture."))
        if stop not in self.scheme.stop:
            raise GestureError(_("Choose “this stop” first."))
        if what in ("octave-up", "bass-common", "pedal-takes") and (
            host not in self.scheme.stop or host == stop
        ):
            raise GestureError(_("Choose “that stop” too, another one than “this stop”."))
        return takes[what](stop, host)

    def octave_up(self, stop: str, host: str) -> str:
        """The stop asks the host's pipes twelve semitones up; a computed rank grows as far as is asked."""
        self._clear(stop)
        ranks = self._follow(stop, host, 12)
        return _("%(stop)s is now %(rank)s an octave up.") % {"stop": self._name(stop), "rank": ranks}

    def pedal_takes(self, stop: str, host: str) -> str:
        """The pedal stop asks the host's pipes at its own footage."""
        if self.scheme.keyboard_of(stop).kind != "pedal":
            raise GestureError(_("“This stop” is not in the pedal."))
        self._clear(stop)
        ranks = self._follow(stop, host, self._feet(stop) - self._feet(host))
        return _("%(stop)s now takes its pipes from %(rank)s.") % {"stop": self._name(stop), "rank": ranks}

    def bass_common(self, stop: str, host: str) -> str:
        """Up to B the stop asks the host's pipes; above it has its own."""
        notes = self.scheme.keyboard_of(stop).notes
        first, last = self.scheme.compass_of(stop)
        bass = [key for key in range(first, last + 1) if notes[key - 1] < LOWEST_ABOVE_B]
        if not bass:
            raise GestureError(_("The compass of this stop has no keys below c."))
        end = max(bass)
        if not self._lines(stop) and end < last:
            self._make_rank(stop, end + 1, last)
        for line in self._lines(stop):
            begins, ends = self._keys(line)
            if ends <= end:
                self.segments.lines.remove(line)
            elif begins <= end:
                line.values["first_key"] = str(end + 1)
        ranks = self._follow(stop, host, 0, (first, end))
        return _("%(stop)s now has keys %(first)d–%(last)d in common with %(rank)s.") % {
            "stop": self._name(stop), "first": first, "last": end, "rank": ranks
        }  # fmt: skip

    def fold_back(self, stop: str) -> str:
        """The top twelve keys ask an octave lower."""
        if not self._lines(stop):
            self._make_rank(stop, *self.scheme.compass_of(stop))
        last = self.scheme.compass_of(stop)[1]
        line = next((one for one in self._lines(stop) if self._keys(one)[1] >= last), None)
        if line is None or line.values["pipes"]:
            raise GestureError(_("No segment of this stop reaches its last key by semitones or by key +."))
        begins = self._keys(line)[0]
        if last - 11 <= begins:
            raise GestureError(_("The top segment has fewer than thirteen keys; divide it by hand."))
        top = self.segments.add(line, **line.values)
        line.values["last_key"] = str(last - 12)
        top.values.update(first_key=str(last - 11), last_key=str(last))
        self._move(top, -12)
        rank = self.ranks.find(line.values["rank"])
        if rank is not None and rank.is_new:
            self._fit(rank)
        return _("Keys %(first)d–%(last)d of %(stop)s fold back an octave.") % {
            "first": last - 11, "last": last, "stop": self._name(stop)
        }  # fmt: skip

    def own_rank(self, stop: str) -> str:
        """A rank for this stop alone, a pipe for each key."""
        self._clear(stop)
        rank = self._make_rank(stop, *self.scheme.compass_of(stop))
        return _("%(stop)s has a rank of %(pipes)s pipes of its own.") % {
            "stop": self._name(stop), "pipes": rank.values["pipes"]
        }  # fmt: skip

    def _follow(self, stop: str, host: str, up: int, keys: tuple[int, int] | None = None) -> str:
        """The stop asks what the host asks at the same notes, moved up; answers the ranks' names."""
        if not self._lines(host):
            self._make_rank(host, *self.scheme.compass_of(host))
        first, last = keys or self.scheme.compass_of(stop)
        mine, theirs = self.scheme.keyboard_of(stop).notes, self.scheme.keyboard_of(host).notes
        names = []
        for line in self._lines(host):
            if line.values["pipes"] or (line.values["shift"] and mine != theirs):
                raise GestureError(_("That stop asks pipe by pipe or by key number; write this one by hand."))
            begins, ends = self._keys(line)
            low, high = theirs[begins - 1], theirs[min(ends, len(theirs)) - 1]
            found = [key for key in range(first, last + 1) if low <= mine[key - 1] <= high]
            if not found:
                continue
            made = self.segments.add(self._last_of(stop), **line.values)
            made.values.update(
                stop=stop, first_key=str(min(found)), last_key=str(max(found)), evidence="inferred"
            )
            self._move(made, up)
            rank = self.ranks.find(line.values["rank"])
            if rank is not None:
                names.append(rank.values["name"])
                if rank.values["counted"] == "computed":
                    self._fit(rank)
        if not names:
            raise GestureError(_("The two stops have no notes in common."))
        return ", ".join(dict.fromkeys(names))

    def _make_rank(self, stop: str, first: int, last: int) -> Line:
        notes, up = self.scheme.keyboard_of(stop).notes[first - 1 : last], self._feet(stop)
        low, high = min(notes) + up, max(notes) + up
        rank = self.ranks.add(
            name=self._name(stop), pipes=str(high - low + 1), counted="computed", low_note=note_name(low)
        )
        self.segments.add(
            self._last_of(stop), stop=stop, first_key=str(first), last_key=str(last), rank=rank.uid,
            interval=str(up), evidence="inferred",
        )  # fmt: skip
        return rank

    def _fit(self, rank: Line) -> None:
        """A rank that is only computed has as many pipes as are asked; a counted one is left alone."""
        try:
            low = read_note_cell(rank.values["low_note"])
            tops = [self._top(line, low) for line in self.segments.lines if line.values["rank"] == rank.uid]
        except BadCell:
            return
        highest = max((top for top in tops if top is not None), default=None)
        if highest is not None:
            rank.values["pipes"] = str(max(1, highest))

    def _top(self, line: Line, low: int | None) -> int | None:
        notes = self.scheme.keyboard_of(line.values["stop"]).notes
        first, last = self._keys(line)
        if line.values["interval"] and low is not None:
            return (
                max(notes[first - 1 : last], default=low)
                + (read_whole(line.values["interval"]) or 0)
                - low
                + 1
            )
        if line.values["shift"]:
            return last + (read_whole(line.values["shift"]) or 0)
        pipes = [read_whole(one) or 0 for one in line.values["pipes"].replace(",", " ").split()]
        return max(pipes, default=None)

    def _move(self, line: Line, up: int) -> None:
        way = "shift" if line.values["shift"] else "interval"
        line.values[way] = str((read_whole(line.values[way]) or 0) + up)

    def _keys(self, line: Line) -> tuple[int, int]:
        try:
            first, last = read_whole(line.values["first_key"]), read_whole(line.values["last_key"])
        except BadCell as bad:
            raise GestureError(str(bad)) from None
        if not first or not last or first > last:
            raise GestureError(_("A segment of these stops has no keys yet; write them first."))
        return first, last

    def _lines(self, stop: str) -> Sequence[Line]:
        return [line for line in self.segments.lines if line.values["stop"] == stop]

    def _last_of(self, stop: str) -> Line | None:
        lines = self._lines(stop)
        return lines[-1] if lines else None

    def _clear(self, stop: str) -> None:
        for line in self._lines(stop):
            self.segments.lines.remove(line)

    def _name(self, stop: str) -> str:
        return self.scheme.stop[stop].name or stop

    def _feet(self, stop: str) -> int:
        footage = self.scheme.stop[stop].footage
        try:
            return interval_of(read_footage(footage)) if footage else 0
        except OrganError:
            return 0
