"""Trials that no failure whatever can reconcile, found before any search.

Three kinds, each certain: a trial at odds with itself; a sound where the scheme has no
pipe that could make it; and a pipe that was heard in one trial but not in another in
which everything played before was played too, for more keys and stops never take wind away.
"""

from __future__ import annotations

from collections.abc import Sequence

from inventory.organ.nets import LOUD, Net
from inventory.organ.trials import Bounds


def contradicting_trials(net: Net, bounds: Sequence[Bounds]) -> list[int]:
    """Places (from 0) of trials that contradict themselves, the scheme or each other.

    >>> from inventory.organ.trials import Bounds
    >>> played = frozenset({"A", ("I", 1)})
    >>> heard = Bounds(played, {"pipe:R:1": 2}, {}, quiet=False)
    >>> not_heard = Bounds(played, {}, {"pipe:R:1": 0}, quiet=False)
    >>> from inventory.organ.nets import Gate
    >>> contradicting_trials(Net((Gate("wind", "pipe:R:1"),)), [heard, not_heard])
    [0, 1]
    """
    found: set[int] = set()
    silenced: dict[str, list[tuple[int, int]]] = {}
    for trial, one in enumerate(bounds):
        if one.contradicts_itself or any(
            pipe not in net.pipes or pipe in net.missing for pipe, least in one.least.items() if least
        ):
            found.add(trial)
        for pipe, most in one.most.items():
            silenced.setdefault(pipe, []).append((trial, most))
    quiet = [trial for trial, one in enumerate(bounds) if one.quiet]
    for trial, one in enumerate(bounds):
        for pipe, least in one.least.items():
            against = [other for other, most in silenced.get(pipe, ()) if most < least]
            if least == LOUD and pipe not in one.asked:
                against += [other for other in quiet if pipe not in bounds[other].named]
            for other in against:
                if one.touches <= bounds[other].touches:
                    found |= {trial, other}
    return sorted(found)
