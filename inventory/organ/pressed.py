"""Which channels open when keys are held and couplers are drawn or always on."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from inventory.organ.nets import Key
from inventory.organ.schemes import Scheme


def channels_played(scheme: Scheme, couplers: Collection[str], keys: Iterable[Key]) -> frozenset[Key]:
    """Channels (keyboard, key) that open: keys held, and what couplers take them to.

    A coupler acts on the *key* (couplers of its target follow) or the *channel* (they do
    not); none acts twice in a chain; permanent ones need not be drawn. Channels beyond
    the last key answer, and no coupler starts from them, for they have no key.

    >>> from inventory.organ.schemes import Coupler, Keyboard
    >>> keyboards = (Keyboard("I", tuple(range(36, 60)), reach=12), Keyboard("P", tuple(range(36, 48))))
    >>> scheme = Scheme(keyboards, (), (), (), couplers=(Coupler("P/I", "P", "I", 0, always=True),))
    >>> sorted(channels_played(scheme, (), [("P", 3)]))
    [('I', 3), ('P', 3)]
    """
    acting = [c for c in scheme.couplers if c.always or c.id in couplers]
    played: set[Key] = set(keys)
    waiting = [(key, frozenset[str]()) for key in played]
    seen = set(waiting)
    while waiting:
        (keyboard, key), used = waiting.pop()
        if key > scheme.keyboard[keyboard].keys:
            continue
        note = scheme.keyboard[keyboard].channel_notes[key - 1]
        for coupler in acting:
            if coupler.origin != keyboard or coupler.id in used:
                continue
            answer = scheme.keyboard[coupler.target].key_at_note.get(note + coupler.shift)
            if answer is None:
                continue
            played.add((coupler.target, answer))
            step = ((coupler.target, answer), used | {coupler.id})
            if coupler.moves == "key" and step not in seen:
                seen.add(step)
                waiting.append(step)
    return frozenset(played)
