"""A keyboard as one stop sees it: keys with pipes of their own, shared pipes, or none."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.drawings.svg import (
    INK,
    PAPER,
    SHARED,
    SHARED_LINE,
    SOFT,
    Drawing,
    Sheet,
    text_width,
)
from inventory.organ.notes import note_name, spans_of
from inventory.organ.schemes import Scheme, answered_calls
from inventory.punctuation import semicolons

OWN, SHARES, SILENT, OUTSIDE = "own", "shared", "silent", "outside"
_SHARPS = frozenset((1, 3, 6, 8, 10))
_EDGE = 12.0


@dataclass(frozen=True)
class _Key:
    number: int
    note: int
    x: float
    width: float
    raised: bool


def key_states(scheme: Scheme, stop_id: str) -> dict[int, str]:
    """Say of each key of a stop's keyboard: own, shared, silent, or outside the stop's compass."""
    stops_at: dict[tuple[str, int], set[str]] = defaultdict(set)
    pipes_of: dict[int, set[tuple[str, int]]] = defaultdict(set)
    for call in answered_calls(scheme):
        stops_at[call.rank, call.pipe].add(call.stop)
        if call.stop == stop_id:
            pipes_of[call.key].add((call.rank, call.pipe))
    first, last = scheme.compass_of(stop_id)
    states = {}
    for key in range(1, scheme.keyboard_of(stop_id).keys + 1):
        standing = {(r, p) for r, p in pipes_of[key] if p not in scheme.rank[r].missing}
        if not first <= key <= last:
            states[key] = OUTSIDE
        elif not standing:
            states[key] = SILENT
        else:
            states[key] = SHARES if any(len(stops_at[pipe]) > 1 for pipe in pipes_of[key]) else OWN
    return states


def keyboard_strip(scheme: Scheme, stop_id: str, *, prefix: str = "keys", narrow: bool = False) -> Drawing:
    """Draw the keyboard of a stop, each key with the texture of what it reaches."""
    stop, keyboard = scheme.stop[stop_id], scheme.keyboard_of(stop_id)
    states = key_states(scheme, stop_id)
    sheet_width = 360.0 if narrow else 720.0
    high = 58.0 if narrow else 76.0
    keys = _places_of(keyboard.notes, sheet_width)
    counts = {
        state: sum(1 for s in states.values() if s == state) for state in (OWN, SHARES, SILENT, OUTSIDE)
    }
    words = {
        OWN: _("%d on pipes of its own") % counts[OWN],
        SHARES: _("%d on shared pipes") % counts[SHARES],
        SILENT: _("%d silent") % counts[SILENT],
        OUTSIDE: _("%d outside this stop") % counts[OUTSIDE],
    }
    shown = [state for state in words if counts[state]]
    lines = _legend_lines(shown, words, sheet_width)
    sheet = Sheet(sheet_width, high + 42 + 20 * max(1, len(lines)), prefix)
    sheet.hatch("shared", SHARED_LINE, SHARED, step=4)
    for raised in (False, True):
        for key in keys:
            if key.raised is raised:
                _draw_key(sheet, key, states[key.number], high)
    taken = -99.0
    for key in keys:
        middle = key.x + key.width / 2
        if key.note % 12 == 0 and middle - taken > 22:
            sheet.text(middle, high + 26, note_name(key.note), 13, "middle", font_style="italic")
            taken = middle
    for row, line in enumerate(lines):
        x = _EDGE
        for state in line:
            y = high + 46 + 20 * row
            _draw_key(sheet, _Key(0, 0, x, 20, False), state, 11, y - 10)
            sheet.text(x + 27, y, words[state], 12)
            x += 27 + text_width(words[state], 12) + 14

    title = _("%s: which keys have pipes of their own") % stop.name
    told = []
    for state in shown:
        keys = spans_of([k for k, s in states.items() if s == state])
        told.append(_("%(state)s: keys %(keys)s") % {"state": words[state], "keys": keys})
    description = _("Of %(n)d keys: %(told)s.") % {"n": keyboard.keys, "told": semicolons(told)}
    caption = _("Hatched keys reach pipes that another stop calls too; crossed keys reach none.")
    return sheet.finish(title, description, caption)


def _places_of(notes: Sequence[int], sheet_width: float) -> list[_Key]:
    room = sheet_width - 2 * _EDGE
    rising = all(a < b for a, b in zip(notes, notes[1:], strict=False))
    # Short octaves put notes on keys of other shapes; then every key is a plain field in key order.
    raised = [rising and note % 12 in _SHARPS for note in notes]
    flats = max(1, raised.count(False) + (1 if raised and raised[0] else 0))
    wide = min(room / flats, 24.0)
    x = (sheet_width - wide * flats) / 2
    if raised and raised[0]:
        x += wide
    keys = []
    for number, note in enumerate(notes, start=1):
        if raised[number - 1]:
            keys.append(_Key(number, note, x - wide * 0.3, wide * 0.6, True))
        else:
            keys.append(_Key(number, note, x, wide, False))
            x += wide
    # Two raised keys in a row (a gap where the key between is missing) must not lie on one another.
    for place, key in enumerate(keys[1:], start=1):
        before = keys[place - 1]
        if key.raised and before.raised:
            keys[place - 1] = _Key(before.number, before.note, before.x - wide * 0.02, wide * 0.29, True)
            keys[place] = _Key(key.number, key.note, key.x + wide * 0.33, wide * 0.29, True)
    return keys


def _draw_key(sheet: Sheet, key: _Key, state: str, high: float, y: float = 8.0) -> None:
    fills: Mapping[str, str] = {
        OWN: PAPER,
        SHARES: f"url(#{sheet.prefix}-shared)",
        SILENT: PAPER,
        OUTSIDE: PAPER,
    }
    tall = high * 0.6 if key.raised else high
    lined = {OWN: INK, SHARES: INK, SILENT: INK, OUTSIDE: SOFT}[state]
    sheet.rect(
        key.x, y, key.width, tall, fill=fills[state], stroke=lined, stroke_width=1.3 if key.raised else 0.9,
        stroke_dasharray="2 2" if state == OUTSIDE else None,
    )  # fmt: skip
    if state == SILENT:
        arm = min(3.6, key.width * 0.3)
        x, foot = key.x + key.width / 2, y + tall - min(9.0, tall / 2)
        sheet.line(x - arm, foot - arm, x + arm, foot + arm, stroke_width=1.2)
        sheet.line(x + arm, foot - arm, x - arm, foot + arm, stroke_width=1.2)


def _legend_lines(shown: Sequence[str], words: Mapping[str, str], sheet_width: float) -> list[list[str]]:
    lines: list[list[str]] = []
    used = sheet_width
    for state in shown:
        need = 27 + text_width(words[state], 12) + 14
        if used + need > sheet_width - _EDGE:
            lines.append([])
            used = _EDGE
        lines[-1].append(state)
        used += need
    return lines
