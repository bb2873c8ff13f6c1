"""A shortest plan of trials at the keys after which, if all goes as it should, every part is cleared.

A trial *tells* a failure where a sound chest and a chest with that failure would be heard
apart by an ear that is not asked too much:

- a note that should speak is judged only alone (or with what the same knob draws): with two
  pipes sounding nobody swears to one;
- a pipe that should not sound is listened for: loud in any trial, but as a murmur only
  where nothing sounds that need not.

A leaking flap is told by its twin drawn and a third stop to murmur through, so two- and
three-stop trials are part of every plan for shared pipes. The plan has the fewest trials
that tell every single failure (`set_covers`), in the order of the fewest knob changes
(`knob_orders`). It speaks of single failures: two at once may hide each other. And it is no
clearance to touch or open anything: what sounds right at the keys may yet be worn.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from inventory.organ import set_covers
from inventory.organ.behaviours import Behaviours, Played, Smallest
from inventory.organ.flows import Flows
from inventory.organ.knob_orders import knobs_of, order_registrations
from inventory.organ.listening import calls_by_pipe, silent_note
from inventory.organ.nets import FAINT, LOUD, NONE, Failure, Key, Net, Space, possible_failures
from inventory.organ.next_trial import count_knobs
from inventory.organ.schemes import Scheme
from inventory.organ.sounding import press_keys
from inventory.organ.trials import Heard, Trial
from inventory.organ.valves_needed import Plays, net_of

MOST_STOPS = 3
"""Knobs drawn in one trial at most: more is a tutti, in which nobody hears a single pipe."""
Levels = dict[tuple[Space, int], Smallest]


@dataclass(frozen=True)
class PlannedTrial:
    """What to draw and hold, what should speak, what should not, and what that clears."""

    stops: tuple[str, ...]
    keys: tuple[Key, ...]
    speaks: tuple[tuple[str, int], ...]
    """(stop, key) to be judged; empty where several sound and none can be sworn to."""
    listen_for: tuple[Space, ...]
    """Pipes that should stay silent: a sound there, loud or faint, is the sign."""
    clears: tuple[Failure, ...]
    """Single failures this trial is the first of the plan to tell."""


@dataclass(frozen=True)
class TrialPlan:
    """The plan, and what can be proved of its length."""

    trials: tuple[PlannedTrial, ...]
    at_least: int
    """No plan by these rules has fewer trials."""
    knob_changes: int
    knob_changes_at_least: int
    """No order of these registrations moves fewer knobs."""
    never_told: tuple[Failure, ...]
    """Failures that no trial whatever would show: parts that nothing played depends on."""
    left: tuple[Failure, ...]
    """Failures that only a trial beyond these rules would show: more knobs, keys only a coupler plays, or one
    pipe of a mixture that sounds anyway."""
    is_worked_out: bool = True
    """False for a plain list of notes (`plain_plans`): what it clears is not known."""

    @property
    def is_shortest(self) -> bool:
        """Whether it is proved that no plan by these rules is shorter."""
        return self.is_worked_out and len(self.trials) == self.at_least


def plan_trials(
    scheme: Scheme, *, most_stops: int = MOST_STOPS, most_steps: int = set_covers.MOST_STEPS
) -> TrialPlan:
    """The plan of a scheme; `most_stops` knobs drawn in one trial at most, 1 or more.

    `most_steps` branchings of the search for the fewest trials, 0 or more; where they do not suffice
    the plan still tells everything, and `at_least` says how short it might be.

    Source: the order of work (alone first, then neighbours, then shared pipes) is common practice; the
    plan itself follows from the net.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("R", 2),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 2), "R", shift=0),))
    >>> plan = plan_trials(scheme)
    >>> [(trial.stops, trial.keys) for trial in plan.trials], plan.is_shortest
    ([((), (('I', 1),)), (('A',), ()), (('A',), (('I', 1),)), (('A',), (('I', 2),))], True)
    """
    return _Planner(scheme, most_stops).plan(most_steps)


def expected_trials(scheme: Scheme, plan: TrialPlan) -> tuple[Trial, ...]:
    """The record of a plan gone through in which everything was as it should be.

    >>> expected_trials(Scheme((), (), (), ()), plan_trials(Scheme((), (), (), ())))
    ()
    """
    net = net_of(scheme)
    calls = calls_by_pipe(net)
    made = []
    for one in plan.trials:
        sounding = {
            pipe for call in _calls_made(scheme, net, one.stops, one.keys) for pipe in net.calls[call]
        }
        quiet = [silent_note(net, calls, pipe, sounding) for pipe in one.listen_for]
        heard = [Heard(*call, "speaks") for call in one.speaks]
        heard += [Heard(*call, "silent") for call in dict.fromkeys(quiet) if call]
        made.append(Trial(frozenset(one.stops), frozenset(one.keys), tuple(heard), ()))
    return tuple(made)


class _Planner:
    """Finds the trials worth making and what each tells, then covers and orders them."""

    def __init__(self, scheme: Scheme, most_stops: int) -> None:
        self._scheme, self._most = scheme, most_stops
        self._net = net_of(scheme)
        self._calls = calls_by_pipe(self._net)
        self._known = Behaviours(Flows(self._net), Plays(scheme).playable)
        self._kinds: list[Levels] = []
        """One entry for failures no trial tells apart: what they change."""
        self._members: list[list[Failure]] = []
        self._never: list[Failure] = []
        self._telling: dict[Played, dict[tuple[int, Space], None]] = defaultdict(dict)
        """By smallest telling trial: the kinds it may tell, and by which pipe."""
        self._cries: dict[Played, dict[tuple[int, Space], None]] = defaultdict(dict)
        """Those of them in which a pipe cries out loud: any larger trial tells them too."""
        self._sound: dict[tuple[Space, int], Smallest] = {}
        self._keys: dict[Played, tuple[Key, ...] | None] = {}

    def plan(self, most_steps: int) -> TrialPlan:
        self._gather()
        candidates = sorted(filter(self._is_easy, self._telling), key=self._preference)
        told = {played: self._told_by(played) for played in candidates}
        candidates = [played for played in candidates if told[played]]
        cover = set_covers.smallest_cover(
            [told[played].keys() for played in candidates], most_steps=most_steps
        )
        reached = {kind for played in candidates for kind in told[played]}
        left = [f for kind, members in enumerate(self._members) if kind not in reached for f in members]
        trials, changes, fewest = self._ordered([candidates[place] for place in cover.chosen], told)
        return TrialPlan(
            tuple(trials), cover.at_least, changes, fewest, tuple(sorted(self._never)), tuple(sorted(left))
        )

    def _gather(self) -> None:
        places: dict[frozenset[tuple[Space, int, Smallest]], int] = {}
        for failure in possible_failures(self._net):
            behaviour = self._known.of([failure])
            if not behaviour:
                self._never.append(failure)
                continue
            if behaviour not in places:
                places[behaviour] = len(self._kinds)
                # In order, so that of several pipes that tell the same the lowest is listened for, every time.
                ordered = sorted(behaviour, key=lambda change: (pipe_order(change[0]), change[1]))
                self._kinds.append({(pipe, level): sets for pipe, level, sets in ordered})
                self._members.append([])
            self._members[places[behaviour]].append(failure)
        for kind, changed in enumerate(self._kinds):
            for at, sets in changed.items():
                for played in sets ^ self._sound_list(at):
                    self._telling[played].setdefault((kind, at[0]))
                    if at[1] == LOUD and played in sets:
                        self._cries[played].setdefault((kind, at[0]))

    def _sound_list(self, at: tuple[Space, int]) -> Smallest:
        if at not in self._sound:
            nothing = self._known.of([])
            self._sound[at] = self._known.list_of(nothing, *at)
        return self._sound[at]

    def _is_easy(self, played: Played) -> bool:
        stops = [touch for touch in played if isinstance(touch, str)]
        return count_knobs(self._scheme, stops) <= self._most and self._keys_to_hold(played) is not None

    def _preference(self, played: Played) -> tuple[int, int, list[str], tuple[Key, ...]]:
        stops = sorted(touch for touch in played if isinstance(touch, str))
        keys = self._keys_to_hold(played) or ()
        return len(stops), len(keys), stops, keys

    def _keys_to_hold(self, played: Played) -> tuple[Key, ...] | None:
        """Fewest keys that open these channels; None where only a drawn coupler could."""
        if played not in self._keys:
            channels = {touch for touch in played if not isinstance(touch, str)}
            keys = {key for key in channels if key[1] <= self._scheme.keyboard[key[0]].keys}
            for key in sorted(keys, reverse=True):
                if press_keys(self._scheme, (), keys - {key}) == channels:
                    keys -= {key}
            opened = press_keys(self._scheme, (), keys)
            self._keys[played] = tuple(sorted(keys)) if opened == channels else None
        return self._keys[played]

    def _told_by(self, played: Played) -> dict[int, tuple[Space, ...]]:
        """Kinds of failure this trial tells, with the pipes to listen for (none: the note itself)."""
        stops = [touch for touch in played if isinstance(touch, str)]
        calls = _calls_made(self._scheme, self._net, stops, [t for t in played if not isinstance(t, str)])
        sounding = {pipe for call in calls for pipe in self._net.calls[call]}
        found: dict[int, tuple[Space, ...]] = {}
        for kind, pipe in self._telling[played]:
            now, sound = self._level(self._kinds[kind], pipe, played), self._level({}, pipe, played)
            if now < sound and self._is_alone(played, calls):
                found[kind] = ()
            elif now > sound == NONE and self._may_listen(pipe, sounding):
                found.setdefault(kind, (pipe,))
        is_alone = self._is_alone(played, calls)
        listens: dict[Space, bool] = {}
        for part in _smaller(played):
            for kind, pipe in self._cries.get(part, ()):
                # What cries out with less drawn and held cries out here; it tells where it is not asked.
                if kind in found:
                    continue
                if pipe not in listens:
                    listens[pipe] = self._may_listen(pipe, sounding)
                if listens[pipe]:
                    found[kind] = (pipe,)
            for kind, pipe in self._telling.get(part, ()) if is_alone else ():
                if pipe in sounding and found.get(kind) != ():
                    if self._level(self._kinds[kind], pipe, played) < self._level({}, pipe, played):
                        found[kind] = ()
        return found

    def _is_alone(self, played: Played, calls: Collection[tuple[str, int]]) -> bool:
        """Whether the ear is asked for one note, or for what one knob and one key ask together."""
        stops = [touch for touch in played if isinstance(touch, str)]
        one_knob = count_knobs(self._scheme, stops) == 1 and len(self._keys_to_hold(played) or ()) == 1
        return len(calls) == 1 or one_knob

    def _may_listen(self, pipe: Space, sounding: Collection[Space]) -> bool:
        return pipe not in sounding and silent_note(self._net, self._calls, pipe, sounding) is not None

    def _level(self, changed: Levels, pipe: Space, played: Played) -> int:
        for level in (LOUD, FAINT):
            sets = changed.get((pipe, level))
            if sets is None:
                sets = self._sound_list((pipe, level))
            if any(one <= played for one in sets):
                return level
        return NONE

    def _ordered(
        self, chosen: Collection[Played], told: Mapping[Played, Mapping[int, tuple[Space, ...]]]
    ) -> tuple[list[PlannedTrial], int, int]:
        by_stops: dict[tuple[str, ...], list[Played]] = defaultdict(list)
        for played in chosen:
            by_stops[tuple(sorted(touch for touch in played if isinstance(touch, str)))].append(played)
        registrations = sorted(by_stops, key=lambda stops: (len(stops), stops))
        # With every knob in there is nothing to move: such trials come first.
        drawn = [stops for stops in registrations if stops]
        order = order_registrations([knobs_of(self._scheme, stops) for stops in drawn])
        trials: list[PlannedTrial] = []
        cleared: set[int] = set()
        for stops in [*(() for stops in registrations if not stops), *(drawn[n] for n in order.order)]:
            for played in sorted(by_stops[stops], key=lambda one: self._keys_to_hold(one) or ()):
                trials.append(self._trial(stops, played, told[played], cleared))
                cleared |= told[played].keys()
        return trials, order.changes, order.at_least

    def _trial(
        self,
        stops: tuple[str, ...],
        played: Played,
        told: Mapping[int, tuple[Space, ...]],
        cleared: set[int],
    ) -> PlannedTrial:
        keys = self._keys_to_hold(played) or ()
        calls = _calls_made(self._scheme, self._net, stops, [t for t in played if not isinstance(t, str)])
        new = [kind for kind in told if kind not in cleared]
        listen = dict.fromkeys(pipe for kind in sorted(new) for pipe in told[kind])
        return PlannedTrial(
            stops,
            keys,
            tuple(calls) if self._is_alone(played, calls) else (),
            tuple(listen),
            tuple(failure for kind in sorted(new) for failure in self._members[kind]),
        )


def pipe_order(space: Space) -> tuple[str, int]:
    """Pipes in the order of rank and number; `space` is ``pipe:RANK:n``.

    >>> sorted(["pipe:R:10", "pipe:R:9"], key=pipe_order)
    ['pipe:R:9', 'pipe:R:10']
    """
    rank, _colon, number = space.rpartition(":")
    return rank, int(number)


def _smaller(played: Played) -> Iterator[Played]:
    """Every smaller trial within this one."""
    touches = sorted(played, key=str)
    for size in range(len(touches)):
        for part in combinations(touches, size):
            yield frozenset(part)


def _calls_made(
    scheme: Scheme, net: Net, stops: Collection[str], keys: Collection[Key]
) -> list[tuple[str, int]]:
    """(stop, key) that are asked and have a pipe standing, couplers that always pull included."""
    opened = press_keys(scheme, (), [k for k in keys if k[1] <= scheme.keyboard[k[0]].keys]) | set(keys)
    return [
        (stop, key)
        for stop in sorted(stops)
        for board, key in sorted(opened)
        if scheme.stop[stop].keyboard == board
        and any(pipe not in net.missing for pipe in net.calls.get((stop, key), ()))
    ]
