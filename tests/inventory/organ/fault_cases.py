"""Tiny random organs, random failures in them, and trials made on them: for checking the fault search."""

from __future__ import annotations

import random

from inventory.organ.schemes import Chest, Control, Coupler, Keyboard, Rank, Scheme, Segment, Stop
from inventory.organ.trials import Extra, Heard, Trial
from tests.inventory.organ.fault_enumerator import Brute, keys_open

FEATURES = (
    "two keyboards of different lowest note",
    "pipe with four paths",
    "mixture",
    "interleaved channels",
    "C and C sharp sides",
    "cones",
    "unit",
    "spring",
    "foldback",
    "knob",
    "pull-down",
    "missing pipe",
)


def random_case(rng: random.Random) -> tuple[Scheme, set[str]]:
    """A scheme small enough for brute force, and what it is an example of."""
    features: set[str] = set()
    two = rng.random() < 0.5
    keys = rng.randint(2, 3) if two else rng.randint(2, 4)
    low = rng.choice([36, 38])
    boards = [Keyboard("I", tuple(range(low, low + keys)))]
    if two:
        other = low + rng.choice([-1, 0, 1])
        boards.append(Keyboard("II", tuple(range(other, other + rng.randint(1, 2)))))
        if other != low:
            features.add("two keyboards of different lowest note")
    first = min(b.notes[0] for b in boards)
    ranks = [Rank("R", 5, tuple(range(first, first + 5)))]
    if rng.random() < 0.5:
        ranks.append(Rank("S", 5, tuple(range(first, first + 5))))
    if rng.random() < 0.1:
        ranks[0] = Rank("R", 5, ranks[0].notes, missing=frozenset({rng.randint(1, 5)}))
        features.add("missing pipe")
    stops, segments = [], []
    device = rng.choice([None, None, "flap-valves", "grooved-upperboard"])
    for n in range(rng.randint(2, 3)):
        board = boards[-1] if two and n == 1 else rng.choice(boards)
        stops.append(Stop(f"s{n}", board.id, f"Stop {n}"))
        interval = rng.choice([0, 0, 1, 2])
        last = len(board.notes)
        if last > 1 and rng.random() < 0.15:
            features.add("foldback")
            segments.append(Segment(f"s{n}", (1, last - 1), "R", interval=interval, device=device))
            segments.append(Segment(f"s{n}", (last, last), "R", interval=interval - 1, device=device))
        else:
            rank = ranks[-1].id if n == 2 else "R"
            segments.append(Segment(f"s{n}", (1, last), rank, interval=interval, device=device))
        if rng.random() < 0.2:
            features.add("mixture")
            segments.append(Segment(f"s{n}", (1, last), ranks[-1].id, interval=interval + 1))
    kind = rng.choice(["slider", "slider", "slider", "spring", "stop channel", "unit"])
    features |= {"stop channel": {"cones"}, "unit": {"unit"}, "spring": {"spring"}}.get(kind, set())
    channels = [(b.notes[k - 1], b.id, k) for b in boards for k in range(1, len(b.notes) + 1)]
    if rng.random() < 0.5:
        order = sorted(channels)
        if two:
            features.add("interleaved channels")
    else:
        order = sorted(channels, key=lambda c: (c[0] % 2, c[0] if c[0] % 2 == 0 else -c[0]))
        features.add("C and C sharp sides")
    chests = ()
    if rng.random() < 0.85:
        names = tuple(s.id for s in stops)
        chests = (Chest("chest", kind, names, tuple((b, k) for _, b, k in order)),)
    controls = ()
    if rng.random() < 0.15:
        controls = (Control("knob", (("s0",), ("s1",))),)
        features.add("knob")
    couplers = ()
    if two and rng.random() < 0.15:
        couplers = (Coupler("pull", "II", "I", 0, always=True),)
        features.add("pull-down")
    scheme = Scheme(tuple(boards), tuple(ranks), tuple(stops), tuple(segments), controls, chests, couplers)
    counted: dict[tuple[str, int], int] = {}
    for _, _, rank, pipe, *_ in _calls(scheme):
        counted[rank, pipe] = counted.get((rank, pipe), 0) + 1
    if max(counted.values(), default=0) >= 4:
        features.add("pipe with four paths")
    return scheme, features


def _calls(scheme: Scheme):
    from tests.inventory.organ.fault_enumerator import calls_of

    return calls_of(scheme)


def random_failures(rng: random.Random, brute: Brute) -> frozenset:
    """One to three failures of different parts."""
    size = rng.choices([1, 2, 3], [5, 4, 1])[0]
    while True:
        chosen = rng.sample(brute.universe, size)
        if len({part for part, _ in chosen}) == size:
            return frozenset(chosen)


def make_trials(rng: random.Random, brute: Brute, failures: frozenset) -> list[Trial]:
    """Single stops at each key, some trials of more, and what a listener writes down of them."""
    scheme = brute.scheme
    asked = [
        (frozenset({s.id}), frozenset({(s.keyboard, key)}))
        for s in scheme.stops
        for key in range(1, len(scheme.keyboard[s.keyboard].notes) + 1)
    ]
    asked = rng.sample(asked, rng.randint(max(1, len(asked) // 2), len(asked)))
    keys = [(b.id, k) for b in scheme.keyboards for k in range(1, len(b.notes) + 1)]
    for _ in range(rng.randint(1, 5)):
        drawn = frozenset(rng.sample([s.id for s in scheme.stops], rng.randint(1, len(scheme.stops))))
        asked.append((drawn, frozenset(rng.sample(keys, rng.randint(0, 2)))))
    return [observe(rng, brute, failures, drawn, held) for drawn, held in asked]


def observe(rng, brute, failures, drawn, held) -> Trial:
    """What is written down of one trial: faint sounds are missed half the time."""
    level = brute.hears(Trial(drawn, held), failures)
    open_keys = keys_open(brute.scheme, held)
    heard = []
    named = set()
    for stop in sorted(drawn):
        for board, key in sorted(open_keys):
            pipes = brute.pipes_of.get((stop, key), set()) - brute.gone
            if brute.board[stop] != board or not pipes or rng.random() < 0.15:
                continue
            levels = {level.get(pipe, 0) for pipe in pipes}
            manner = "speaks" if levels == {2} else "silent" if levels == {0} else "weak"
            heard.append(Heard(stop, key, manner))
            named |= pipes
    extra = None
    if rng.random() < 0.6:
        asked = brute.asked(Trial(drawn, held)) | named
        extra = tuple(
            Extra(p[1], p[2], rng.choice([None, "loud" if n == 2 else "faint"]))
            for p, n in sorted(level.items())
            if p not in asked and (n == 2 or rng.random() < 0.5)
        )
    return Trial(drawn, held, tuple(heard), extra)
