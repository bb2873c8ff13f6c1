"""A brute-force answer to trials: tries every set of failures, and shares no code with the search.

Written from DESIGN §4 alone: its own nets (tuples and dicts), its own levels by plain
relaxation, its own valve rule by filling stripped nets, its own reading of trials. Only
the frozen values Scheme and Trial are common. Slow on purpose; for tiny schemes.
"""

from __future__ import annotations

from itertools import chain, combinations

LEVEL = {"loud": 2, "faint": 1}
RELAYS = {"unit-chest", "duplex-stop-actions", "stop-relay", "data-relay"}
CHECKED = {"flap-valves", "second-cone", "tube-merge-with-checks"}


def calls_of(scheme):
    """[(stop, key, rank, pipe, kind, device)]"""
    keyboards = {k.id: k for k in scheme.keyboards}
    ranks = {r.id: r for r in scheme.ranks}
    stops = {s.id: s for s in scheme.stops}
    kinds = {c.id: c.kind for c in scheme.chests}
    found, seen = [], set()
    for segment in scheme.segments:
        stop, rank = stops[segment.stop], ranks[segment.rank]
        kind = kinds.get(segment.chest)
        if kind is None:
            kind = next((c.kind for c in scheme.chests if stop.id in (c.stops or ())), "slider")
        for key in range(segment.keys[0], segment.keys[1] + 1):
            if segment.pipes is not None:
                pipe = segment.pipes[key - segment.keys[0]]
            elif segment.interval is not None:
                note = keyboards[stop.keyboard].notes[key - 1] + segment.interval
                pipe = rank.notes.index(note) + 1 if note in rank.notes else 0
            else:
                pipe = key + segment.shift
            if 1 <= pipe <= rank.pipes and (stop.id, key, rank.id, pipe) not in seen:
                seen.add((stop.id, key, rank.id, pipe))
                found.append((stop.id, key, rank.id, pipe, kind, segment.device))
    return found


def gates_of(scheme, valves):
    """[(from, to, needs, one way, part, live, electric)], in order, without repeats."""
    board = {s.id: s.keyboard for s in scheme.stops}
    gates = []
    calls = calls_of(scheme)
    for stop, key, rank, pipe, kind, device in calls:
        several = sum((c[0], c[1]) == (stop, key) for c in calls) > 1
        goal, kb = ("pipe", rank, pipe), board[stop]
        valve = device in CHECKED or (stop, key, rank, pipe) in valves
        part = ("valve", stop, key)
        groove = ("groove", stop, key)
        if kind in ("slider", "spring"):
            channel = ("channel", kb, key)
            over = ("slider", stop) if kind == "slider" else ("pallet", stop, key)
            gates.append(("wind", channel, {(kb, key)}, False, ("pallet", kb, key), None, False))
            gates.append((channel, groove, {stop}, False, over, None, False))
            gates.append(
                (
                    groove,
                    goal,
                    set(),
                    valve or several or device in RELAYS,
                    part if valve else None,
                    None,
                    False,
                )
            )
        elif kind == "stop channel":
            row = ("stopchannel", stop)
            gates.append(("wind", row, {stop}, False, ("stopvalve", stop), None, False))
            cone = ("cone", stop, key)
            if valve:
                gates.append((row, groove, {(kb, key)}, False, cone, None, False))
                gates.append((groove, goal, set(), True, part, None, False))
            else:
                gates.append((row, goal, {(kb, key)}, device in RELAYS, cone, None, False))
        else:
            wire, line = ("wire", stop, key), ("line", rank, pipe)
            gates.append(("supply", wire, {(kb, key)}, False, ("contact", stop, key), None, True))
            gates.append((wire, line, {stop}, True, ("switch", stop), None, True))
            gates.append(("wind", goal, set(), False, ("pipevalve", rank, pipe), line, False))
    return [gate for n, gate in enumerate(gates) if gate not in gates[:n]]


def neighbours_of(scheme, spaces):
    board = {s.id: s.keyboard for s in scheme.stops}
    pairs = set()
    for chest in scheme.chests:
        stops = chest.stops or ()
        if chest.kind == "stop channel":
            pairs |= {
                (("stopchannel", a), ("stopchannel", b)) for a, b in zip(stops, stops[1:], strict=False)
            }
        elif chest.kind in ("slider", "spring"):
            channels = chest.channels or ()
            for (kb, key), (kb2, key2) in zip(channels, channels[1:], strict=False):
                pairs.add((("channel", kb, key), ("channel", kb2, key2)))
                pairs |= {(("groove", s, key), ("groove", s, key2)) for s in stops if board[s] == kb == kb2}
            for a, b in zip(stops, stops[1:], strict=False):
                if board[a] == board[b]:
                    pairs |= {(("groove", a, k), ("groove", b, k)) for k in range(1, 60)}
    return sorted(
        {frozenset(pair) for pair in pairs if pair[0] in spaces and pair[1] in spaces},
        key=lambda p: sorted(p),
    )


def levels_of(gates, pairs, touches, failures):
    """Level of every space, by relaxing until nothing changes. `failures`: {part or pair: way}."""
    level = {"wind": 2, "supply": 2}
    moving = True

    def offer(space, amount):
        if failures.get(space) == "dead":
            return False
        if amount > level.get(space, 0):
            level[space] = amount
            return True
        return False

    while moving:
        moving = False
        for origin, target, needs, one_way, part, live, electric in gates:
            forward = 2 if needs <= touches else 0
            if live is not None:
                forward = level.get(live, 0)
            back = 0 if one_way or live is not None else forward
            fails = failures.get(part) if part is not None else None
            if fails == "shut":
                forward = back = 0
            elif fails == "open":
                forward = 2
                back = 0 if electric else (1 if one_way else 2)
            elif fails == "slight":
                forward = max(forward, 1)
                back = back if one_way else max(back, 1)
            moving |= offer(target, min(forward, level.get(origin, 0)))
            if origin not in ("wind", "supply"):
                moving |= offer(origin, min(back, level.get(target, 0)))
        for pair in pairs:
            if failures.get(pair) == "runs":
                one, other = tuple(pair)
                moving |= offer(one, min(1, level.get(other, 0)))
                moving |= offer(other, min(1, level.get(one, 0)))
    return level


def subsets(items):
    items = list(items)
    return chain.from_iterable(combinations(items, n) for n in range(len(items) + 1))


def can_be_drawn(scheme, stops):
    for control in scheme.controls:
        positions = [set(p) for p in control.positions] + [set()]
        mine = {s for p in control.positions for s in p}
        if set(stops) & mine not in positions:
            return False
    return True


def keys_open(scheme, held):
    """Channels that open: the keys held, and what permanent couplers pull (one step, key for note)."""
    notes = {k.id: list(k.notes) for k in scheme.keyboards}
    found = set(held)
    for coupler in scheme.couplers:
        for kb, key in held:
            note = notes[kb][key - 1] + coupler.shift
            if coupler.origin == kb and note in notes[coupler.target]:
                found.add((coupler.target, notes[coupler.target].index(note) + 1))
    return frozenset(found)


def states_of(scheme):
    """Everything a player can do: sets of stops and open channels."""
    keys = [(k.id, n) for k in scheme.keyboards for n in range(1, len(k.notes) + 1)]
    held = {keys_open(scheme, some) for some in subsets(keys)}
    drawn = [some for some in subsets(s.id for s in scheme.stops) if can_be_drawn(scheme, some)]
    return [frozenset(some) | keys for some in drawn for keys in held]


def valves_needed_of(scheme):
    """Fill the net without any one-way gate in every state: who lets wind into a channel nobody plays?"""
    bare = [
        (a, b, needs, one_way and part is None, part, live, electric)
        for a, b, needs, one_way, part, live, electric in gates_of(scheme, set())
        if part is None or part[0] != "valve"
    ]
    board = {s.id: s.keyboard for s in scheme.stops}
    for stop, key, rank, pipe, kind, device in calls_of(scheme):
        if device in CHECKED:
            origin = ("groove", stop, key)
            if kind == "stop channel":
                origin = ("stopchannel", stop)
                bare = [g for g in bare if g[1] != ("groove", stop, key)]
                bare.append((origin, ("pipe", rank, pipe), {(board[stop], key)}, False, None, None, False))
            elif kind in ("slider", "spring"):
                bare.append((origin, ("pipe", rank, pipe), set(), False, None, None, False))
    needed = set()
    for touches in states_of(scheme):
        # Wind from played channels only reaches pipes directly; then look through each way back.
        level = levels_of(bare, [], touches, {})
        for stop, key, rank, pipe, kind, device in calls_of(scheme):
            if kind == "unit" or device in RELAYS or not level.get(("pipe", rank, pipe)):
                continue
            channel = (board[stop], key)
            if kind == "stop channel":
                let_in = channel in touches and stop not in touches
            else:
                let_in = stop in touches and channel not in touches
            if let_in and _direct(scheme, board, touches, rank, pipe):
                needed.add((stop, key, rank, pipe))
    return needed


def _direct(scheme, board, touches, rank, pipe):
    return any(
        stop in touches and (board[stop], key) in touches
        for stop, key, of_rank, number, _, _ in calls_of(scheme)
        if (of_rank, number) == (rank, pipe)
    )


class Brute:
    """Every answer by trying everything."""

    def __init__(self, scheme):
        self.scheme = scheme
        self.gates = gates_of(scheme, valves_needed_of(scheme))
        self.spaces = {end for gate in self.gates for end in gate[:2]}
        self.pairs = neighbours_of(scheme, self.spaces)
        self.gone = {("pipe", r.id, n) for r in scheme.ranks for n in r.missing}
        self.universe = self._universe()
        self.pipes_of = {}
        for stop, key, rank, pipe, _, _ in calls_of(scheme):
            self.pipes_of.setdefault((stop, key), set()).add(("pipe", rank, pipe))
        self.board = {s.id: s.keyboard for s in scheme.stops}

    def _universe(self):
        found = set()
        for _, _, needs, one_way, part, live, electric in self.gates:
            if part is None:
                continue
            found.add((part, "shut"))
            if needs or live or one_way:
                found.add((part, "open"))
            if (needs or live) and not electric:
                found.add((part, "slight"))
        dying = ("channel", "groove", "stopchannel", "line", "pipe")
        found |= {(s, "dead") for s in self.spaces if s[0] in dying and s not in self.gone}
        return sorted(found, key=str) + [(pair, "runs") for pair in self.pairs]

    def touches(self, trial):
        return frozenset(s for s in trial.drawn if s in self.board) | keys_open(self.scheme, trial.keys)

    def hears(self, trial, failures):
        level = levels_of(self.gates, self.pairs, self.touches(trial), dict(failures))
        return {space: n for space, n in level.items() if space[0] == "pipe" and space not in self.gone}

    def asked(self, trial):
        touches = self.touches(trial)
        return {
            pipe
            for (stop, key), pipes in self.pipes_of.items()
            if stop in touches and (self.board[stop], key) in touches
            for pipe in pipes
        }

    def predicts(self, trial, failures):
        level = self.hears(trial, failures)
        named = self.asked(trial)
        for stop, key, manner in trial.heard:
            pipes = self.pipes_of.get((stop, key), set())
            named |= pipes
            heard = [level.get(pipe, 0) for pipe in pipes - self.gone]
            if manner == "speaks" and (not heard or min(heard) < 2):
                return False
            if manner == "silent" and any(heard):
                return False
        for rank, pipe, strength in trial.extra or ():
            named.add(("pipe", rank, pipe))
            now = level.get(("pipe", rank, pipe), 0)
            if not now or (strength and LEVEL[strength] != now):
                return False
        if trial.extra is not None:
            return not any(n == 2 and pipe not in named for pipe, n in level.items())
        return True

    def explanations(self, trials, most=3):
        """All smallest sets of failures that predict all trials; None if there is none up to `most`."""
        hot = list(trials)
        for size in range(most + 1):
            found = []
            for failures in combinations(self.universe, size):
                if len({part for part, _ in failures}) < size:
                    continue
                for place, trial in enumerate(hot):
                    if not self.predicts(trial, failures):
                        hot.insert(0, hot.pop(place))
                        break
                else:
                    found.append(frozenset(failures))
            if found:
                return found
        return None

    def behaviour(self, failures):
        """What a set of failures does in everything a player can do."""
        return tuple(
            tuple(
                sorted(
                    (p, n)
                    for p, n in levels_of(self.gates, self.pairs, touches, dict(failures)).items()
                    if p[0] == "pipe" and p not in self.gone
                )
            )
            for touches in states_of(self.scheme)
        )


def name_of(part):
    """Name of a part in the exchange format."""
    if isinstance(part, frozenset):
        return "|".join(":".join(map(str, space)) for space in sorted(part))
    return ":".join(map(str, part))
