"""A simulated organ: what a careful ear writes down of one trial, given what has failed.

It hears everything, murmurs included, and names the strength of each sound: the best case
for the tracer, and the measure by which plans and tracing are tried.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Container, Mapping

from inventory.organ.flows import Flows
from inventory.organ.nets import LOUD, NONE, Failure, Key, Net, Space
from inventory.organ.schemes import Scheme
from inventory.organ.trials import Extra, Heard, Trial, bounds_of


def listen(
    scheme: Scheme,
    flows: Flows,
    failures: Collection[Failure],
    drawn: Collection[str],
    keys: Collection[Key],
    *,
    attend: Collection[Space] = (),
) -> Trial:
    """The trial as it would be written down: every note asked for, and everything else that sounds.

    Parameters: `flows` of the scheme's net; `drawn` stops or couplers; `keys` held (or none);
    `attend` pipes listened for by name: their silence is written down too, by a note of theirs
    that does not sound. A note *speaks* when all its pipes are loud, is *silent* when none sounds, else *weak*. Pipes
    known to be gone are left out.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> from inventory.organ.valves_needed import net_of
    >>> scheme = Scheme((Keyboard("I", (36,)),), (Rank("R", 1),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 1), "R", shift=0),))
    >>> broken = [Failure("pipe:R:1", "dead")]
    >>> listen(scheme, Flows(net_of(scheme)), broken, ["A"], [("I", 1)]).heard[0].manner
    'silent'
    """
    bare = Trial(frozenset(drawn), frozenset(keys), (), ())
    asked = bounds_of(scheme, flows.net, bare)
    levels = flows.spread(asked.touches, flows.changes(failures))[0]
    heard = []
    for stop in sorted(touch for touch in asked.touches if isinstance(touch, str)):
        board = scheme.stop[stop].keyboard
        for name, key in sorted(touch for touch in asked.touches if not isinstance(touch, str)):
            pipes = _standing(flows, flows.net.calls.get((stop, key), ())) if name == board else []
            if pipes:
                found = {levels.get(pipe, NONE) for pipe in pipes}
                manner = "speaks" if found == {LOUD} else "silent" if found == {NONE} else "weak"
                heard.append(Heard(stop, key, manner))
    extra = []
    for pipe in _standing(flows, sorted(space for space in levels if space.startswith("pipe:"))):
        if pipe not in asked.asked:
            _kind, rank, number = pipe.split(":")
            extra.append(Extra(rank, int(number), "loud" if levels[pipe] == LOUD else "faint"))
    calls = calls_by_pipe(flows.net)
    quiet = [silent_note(flows.net, calls, pipe, levels) for pipe in attend if pipe not in asked.asked]
    heard += [Heard(*note, "silent") for note in dict.fromkeys(quiet) if note is not None]
    return Trial(bare.drawn, bare.keys, tuple(heard), tuple(extra))


def calls_by_pipe(net: Net) -> dict[Space, list[tuple[str, int]]]:
    """The notes (stop, key) that ask each pipe.

    >>> calls_by_pipe(Net((), calls={("A", 1): ("pipe:R:1",)}))
    {'pipe:R:1': [('A', 1)]}
    """
    found: dict[Space, list[tuple[str, int]]] = defaultdict(list)
    for call, pipes in net.calls.items():
        for pipe in pipes:
            found[pipe].append(call)
    return dict(found)


def silent_note(
    net: Net, calls: Mapping[Space, list[tuple[str, int]]], pipe: Space, sounding: Container[Space]
) -> tuple[str, int] | None:
    """A note by which a listener can write that a pipe stays silent: none of its pipes sounds; or None.

    >>> net = Net((), calls={("A", 1): ("pipe:R:1",)})
    >>> silent_note(net, calls_by_pipe(net), "pipe:R:1", ()), silent_note(net, {}, "pipe:R:1", ())
    (('A', 1), None)
    """
    for call in calls.get(pipe, ()):
        if not any(other in sounding for other in net.calls[call]):
            return call
    return None


def _standing(flows: Flows, pipes: Collection[Space]) -> list[Space]:
    return [pipe for pipe in pipes if pipe not in flows.net.missing]
