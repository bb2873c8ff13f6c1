"""The order of a chest's channels: rules that make one, and the rule an order as found nearly follows.

An order lists channels (keyboard, key) from left to right, seen from above. Every rule
sorts by *note*, never by key number, so short octaves fall into place; keys that sound
one note keep the order of their keys. The rules are common practice.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from inventory.organ.errors import SchemeError
from inventory.organ.nets import Key
from inventory.organ.schemes import Keyboard
from inventory.organ.sentences import say

Noted = tuple[int, Key]
"""A channel with its note."""
SEAM_NOTE = 48
"""Tenor C (MIDI): where a bass set out to both sides commonly gives way to a chromatic treble."""


def _chromatic(channels: list[Noted]) -> list[Noted]:
    return channels


def _side(channels: list[Noted], residue: int) -> list[Noted]:
    return [one for one in channels if one[0] % 2 == residue]


def _large_outside(channels: list[Noted]) -> list[Noted]:
    return _side(channels, 0) + _side(channels, 1)[::-1]


def _large_in_centre(channels: list[Noted]) -> list[Noted]:
    return _side(channels, 0)[::-1] + _side(channels, 1)


def _by_groups(step: int) -> Callable[[list[Noted]], list[Noted]]:
    return lambda channels: sorted(channels, key=lambda one: (one[0] % step, one[0]))


def _two_chests(channels: list[Noted]) -> list[Noted]:
    return _side(channels, 0) + _side(channels, 1)


def _bass_out(channels: list[Noted]) -> list[Noted]:
    bass = [one for one in channels if one[0] < SEAM_NOTE]
    treble = [one for one in channels if one[0] >= SEAM_NOTE]
    return _side(bass, 0) + treble + _side(bass, 1)[::-1]


_RULES: dict[str, Callable[[list[Noted]], list[Noted]]] = {
    "chromatic": _chromatic,
    "C and C sharp sides": _large_outside,
    "C and C sharp sides, large in the centre": _large_in_centre,
    "C chest and C sharp chest": _two_chests,
    "major thirds": _by_groups(4),
    "minor thirds": _by_groups(3),
    "octaves together": _by_groups(12),
    "bass outside, treble chromatic": _bass_out,
}
LAYOUT_WORDS = (
    say("chromatic"),
    say("C and C sharp sides"),
    say("C and C sharp sides, large in the centre"),
    say("C chest and C sharp chest"),
    say("major thirds"),
    say("minor thirds"),
    say("octaves together"),
    say("bass outside, treble chromatic"),
)
"""The same names, for those who put them into other languages."""
LAYOUTS: tuple[str, ...] = tuple(_RULES)
"""Names of the rules. *C and C sharp sides* alone has the large pipes outside (a V)."""


def order_channels(layout: str, keyboards: Sequence[Keyboard]) -> tuple[Key, ...]:
    """Channels of one or more keyboards in the order of a rule, left to right from above.

    Channels of several keyboards are interleaved: C of the first, C of the second, C♯ of
    the first. Channels beyond the last key are included. Raises SchemeError for a rule
    not in LAYOUTS. Source: common practice; hand-made orders in the tests.

    >>> order_channels("octaves together", [Keyboard("I", (36, 37, 48, 49))])
    (('I', 1), ('I', 3), ('I', 2), ('I', 4))
    """
    if layout not in _RULES:
        raise SchemeError(
            say(
                "layout %(layout)s is not known: use one of %(layouts)s",
                layout=f"{layout!r}",
                layouts=", ".join(LAYOUTS),
            ),
            "layout",
        )
    channels = [
        (note, place, key, keyboard.id)
        for place, keyboard in enumerate(keyboards)
        for key, note in enumerate(keyboard.channel_notes, start=1)
    ]
    noted = [(note, (name, key)) for note, _, key, name in sorted(channels)]
    return tuple(channel for _, channel in _RULES[layout](noted))


@dataclass(frozen=True)
class NearestLayout:
    """The rule an order as found nearly follows."""

    layout: str
    mirrored: bool
    """Whether the order follows the rule from right to left (or was written from below)."""
    moved: tuple[Key, ...]
    """Channels that break it: a smallest set which, moved, gives the rule."""
    keyboards: tuple[str, ...] = ()


def nearest_layout(found: Sequence[Key], keyboards: Sequence[Keyboard]) -> NearestLayout:
    """Which rule an order as found nearly follows, and the fewest channels that break it.

    The fewest moves to reach a rule's order are n − longest common subsequence. Only the
    channels found are compared, so blanks and missing channels count for nothing. Where
    rules tie, the one named first in LAYOUTS, unmirrored before mirrored.

    >>> keyboard = Keyboard("I", tuple(range(36, 44)))
    >>> near = nearest_layout([("I", k) for k in (1, 2, 8, 3, 4, 5, 6, 7)], [keyboard])
    >>> near.layout, near.moved
    ('chromatic', (('I', 8),))
    """
    here = set(found)
    best: NearestLayout | None = None
    names = tuple(keyboard.id for keyboard in keyboards)
    for layout in LAYOUTS:
        order = [channel for channel in order_channels(layout, keyboards) if channel in here]
        for mirrored in (False, True):
            place = {channel: n for n, channel in enumerate(reversed(order) if mirrored else order)}
            known = [channel for channel in found if channel in place]
            kept = _longest_rising([place[channel] for channel in known])
            stay = {known[n] for n in kept}
            moved = tuple(channel for channel in found if channel not in stay)
            if best is None or len(moved) < len(best.moved):
                best = NearestLayout(layout, mirrored, moved, names)
    assert best is not None
    return best


def _longest_rising(numbers: Sequence[int]) -> list[int]:
    """Places of a longest rising subsequence (all numbers differ): common subsequence of two orders."""
    tails: list[int] = []
    tail_places: list[int] = []
    before: list[int] = []
    for place, number in enumerate(numbers):
        at = bisect_left(tails, number)
        before.append(tail_places[at - 1] if at else -1)
        tails[at : at + 1] = [number]
        tail_places[at : at + 1] = [place]
    kept = []
    place = tail_places[-1] if tail_places else -1
    while place >= 0:
        kept.append(place)
        place = before[place]
    return kept[::-1]
