"""A toeboard from above: the pipes in the order of the channels, and the ways that feed them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext as _

from inventory.drawings.evidence import (
    DASHES,
    NOTHING_SAID,
    Evidence,
    Grounds,
    evidence_in_words,
    weakest,
)
from inventory.drawings.svg import (
    INK,
    LEATHER,
    METAL,
    PAPER,
    RULE,
    SHARED,
    SHARED_LINE,
    SOFT,
    WOOD,
    WOOD_LINE,
    Drawing,
    Sheet,
    shorten,
    text_width,
)
from inventory.organ.layouts import order_channels
from inventory.organ.notes import note_name
from inventory.organ.schemes import Call, Scheme, answered_calls, asked_pipes

Channel = tuple[str, int]
_EDGE = 16.0
_STRIP = 27.0


@dataclass(frozen=True)
class _Board:
    """Columns of the board: where each channel and each pipe stands, and how wide a pipe is drawn."""

    channel_x: dict[Channel, float]
    pipe_x: dict[tuple[str, int], float]
    mm: float
    """Pixels of one millimetre of nominal diameter."""
    left: float
    right: float


def nominal_diameter_mm(note: int | None) -> float:
    """Inner diameter at the usual scale: 155.5 mm at 8′ C, halving at the 17th pipe."""
    return 155.5 * 2 ** (-((36 if note is None else note) - 36) / 16)


def toeboard_drawing(
    scheme: Scheme,
    stops: Sequence[str],
    *,
    channels: Sequence[Channel] | None = None,
    layout: str | None = None,
    evidence: Evidence = NOTHING_SAID,
    from_back: bool = False,
    prefix: str = "toeboard",
    narrow: bool = False,
) -> Drawing:
    """Draw the board of these stops (front to back) from above, channels left to right.

    `channels` is the order as recorded; without it the keys stand as `layout` (one of
    `layouts.LAYOUTS`, chromatic unless said) would set them, and the caption says so.
    With `from_back` the board is drawn as somebody behind the organ recorded it: its back at
    the bottom of the sheet, the order of the channels still from left to right as given.
    """
    if not stops:
        raise ValueError("no stops given: name at least one stop of the chest, front to back")
    recorded = channels is not None
    if channels is None:
        played = {scheme.stop[stop].keyboard for stop in stops}
        channels = order_channels(layout or "chromatic", [k for k in scheme.keyboards if k.id in played])
    calls = sorted(c for c in answered_calls(scheme) if c.stop in stops)
    ranks = list(dict.fromkeys(c.rank for s in stops for c in calls if c.stop == s))
    fed: dict[str, list[str]] = {
        r: [s for s in stops if any(c.stop == s and c.rank == r for c in calls)] for r in ranks
    }
    board = _place(scheme, channels, layout or "", fed, calls, 360.0 if narrow else 720.0)

    bands = {r: _band_height(scheme, board, r, len(fed[r])) for r in ranks}
    top = 26.0
    bottom = top + sum(bands.values())
    sheet = Sheet(360.0 if narrow else 720.0, bottom + (94 if narrow else 78), prefix)
    hatch = sheet.hatch("shared", SHARED_LINE, SHARED, step=3.5)
    sheet.rect(
        board.left - 8, top, board.right - board.left + 16, bottom - top,
        fill=WOOD, fill_opacity="0.45", stroke=INK, stroke_width=1,
    )  # fmt: skip
    far, near = (_("front"), _("back")) if from_back else (_("back"), _("front"))
    sheet.text(sheet.width / 2, top - 9, far, 12, "middle", fill=SOFT, font_style="italic")
    y = top
    # What is nearest to the reader is at the bottom of the sheet: the front, unless seen from behind.
    downwards = ranks if from_back else ranks[::-1]
    for rank_id in downwards:
        _draw_band(sheet, scheme, board, rank_id, fed[rank_id], calls, y, hatch, evidence)
        y += bands[rank_id]
        if rank_id != downwards[-1]:
            sheet.line(board.left - 8, y, board.right + 8, y, stroke=WOOD_LINE, stroke_width=0.8)
    _draw_channels(sheet, scheme, board, channels, bottom)
    sheet.text(sheet.width / 2, bottom + 42, near, 12, "middle", fill=SOFT, font_style="italic")
    flaps = any(_flapped(scheme, rank_id) for rank_id in ranks)
    _draw_legend(sheet, flaps, bottom + 66, hatch)

    names = ", ".join(scheme.stop[s].name for s in stops)
    title = _("Toeboard from above: %s") % names
    description = ngettext(
        "%(channels)d channels from left to right; one row of pipes.",
        "%(channels)d channels from left to right; %(ranks)d rows of pipes.",
        len(ranks),
    ) % {"channels": len(channels), "ranks": len(ranks)}
    if len(ranks) > 1:
        description += " " + (
            _("The back one stands lowest on the sheet.")
            if from_back
            else _("The front one stands lowest on the sheet.")
        )
    layout = layout or (None if recorded else "chromatic")
    if layout:
        description += " " + _("Layout: %s.") % gettext(layout)
    told = {_rests(evidence, calls, stop, rank_id) for rank_id in ranks for stop in fed[rank_id]}
    for rank_id in ranks:
        feeding = ", ".join(scheme.stop[s].name for s in fed[rank_id])
        description += " " + _("Row %(rank)s is fed by %(stops)s.") % {"rank": rank_id, "stops": feeding}
        for stop in fed[rank_id] if len(told) > 1 else ():
            words = evidence_in_words(_rests(evidence, calls, stop, rank_id))
            description += " " + _("%(stop)s: %(evidence)s.") % {
                "stop": scheme.stop[stop].name,
                "evidence": words,
            }
    if evidence and len(told) == 1:
        description += " " + _("On what all that rests: %s.") % evidence_in_words(*told)
    caption = (
        _("Seen from above and from behind: the back of the organ at the bottom, as it was recorded.")
        if from_back
        else _("Seen from above, the front of the organ at the bottom.")
    ) + " "
    if not recorded:
        caption += _("The order of the channels is not recorded here; it is drawn by the layout named.") + " "
    caption += _("Circles at nominal scale from pitch, not measured. Dotted lines are grooves in the board.")
    if evidence:
        caption += " " + _("The line round each slider says on what its grooves rest; words stand beside it.")
    if any(spot_x not in board.channel_x.values() for spot_x in board.pipe_x.values()):
        caption += " " + _("Pipes over no channel of their own are set where the layout suggests.")
    return sheet.finish(title, description, caption)


def _place(
    scheme: Scheme,
    channels: Sequence[Channel],
    layout: str,
    fed: dict[str, list[str]],
    calls: Sequence[Call],
    width: float,
) -> _Board:
    slot_of: dict[tuple[str, int], Channel | int] = {}
    known = set(channels)
    for call in calls:
        channel = (scheme.stop[call.stop].keyboard, call.key)
        # The first stop of a row is its host: its pipes stand over their own channels.
        if call.stop == fed[call.rank][0] and channel in known:
            slot_of.setdefault((call.rank, call.pipe), channel)
    slots: list[Channel | int] = list(channels)
    for call in sorted(calls, key=lambda c: c.pipe):
        spot = (call.rank, call.pipe)
        if spot in slot_of:
            continue
        # A pipe over no channel of its own: beside its kin of the layout, else at the end.
        note = scheme.rank[call.rank].note_of(call.pipe)
        slot = call.pipe if note is None else note
        if slot not in slots:
            step = _step_of(layout)
            kin, elder = (slot_of.get((call.rank, call.pipe - n * step)) if step else None for n in (1, 2))
            if kin is None:
                slots.append(slot)
            else:
                rising = elder is None or slots.index(elder) < slots.index(kin)
                slots.insert(slots.index(kin) + (1 if rising else 0), slot)
        slot_of[spot] = slot
    wide = dict.fromkeys(slots, 28.0)
    for (rank_id, pipe), slot in slot_of.items():
        wide[slot] = max(wide[slot], nominal_diameter_mm(scheme.rank[rank_id].note_of(pipe)) + 10)
    mm = min((width - 2 * _EDGE) / max(sum(wide.values()), 1.0), 0.3)
    left = x = (width - mm * sum(wide.values())) / 2
    middle: dict[Channel | int, float] = {}
    for slot in slots:
        middle[slot] = x + wide[slot] * mm / 2
        x += wide[slot] * mm
    pipe_x = {spot: middle[slot] for spot, slot in slot_of.items()}
    return _Board({c: middle[c] for c in channels}, pipe_x, mm, left, x)


def _step_of(layout: str) -> int:
    """Semitones between neighbours of a layout; 0 where the order is simply chromatic."""
    for word, step in (("octaves", 12), ("major thirds", 4), ("minor thirds", 3), ("sharp", 2)):
        if word in layout:
            return step
    return 0


def _radius(scheme: Scheme, board: _Board, rank_id: str, pipe: int) -> float:
    return max(nominal_diameter_mm(scheme.rank[rank_id].note_of(pipe)) * board.mm / 2, 1.3)


def _band_height(scheme: Scheme, board: _Board, rank_id: str, stops: int) -> float:
    largest = max(_radius(scheme, board, r, p) for r, p in board.pipe_x if r == rank_id)
    return 2 * largest + 42 + _STRIP * stops


def _draw_band(
    sheet: Sheet,
    scheme: Scheme,
    board: _Board,
    rank_id: str,
    stops: Sequence[str],
    calls: Sequence[Call],
    top: float,
    hatch: str,
    evidence: Evidence,
) -> None:
    own = [c for c in calls if c.rank == rank_id]
    largest = max(_radius(scheme, board, rank_id, c.pipe) for c in own)
    line = top + 24 + largest
    first_strip = line + largest + 14
    callers: dict[int, set[str]] = defaultdict(set)
    for call in own:
        callers[call.pipe].add(call.stop)
    sheet.text(board.right, top + 16, rank_id, 12, "end", font_style="italic")
    rests = {stop: _rests(evidence, own, stop, rank_id) for stop in stops}
    for n, stop in enumerate(stops):
        y = first_strip + _STRIP * n
        sheet.rect(
            board.left - 4, y - 5, board.right - board.left + 8, 10, fill=PAPER,
            stroke=SOFT if evidence else RULE, stroke_width=0.8, stroke_dasharray=DASHES[rests[stop].evidence]
            if evidence else None,
        )  # fmt: skip
    flapped = _flapped(scheme, rank_id)
    for n, stop in enumerate(stops):
        y = first_strip + _STRIP * n
        plain: list[str | float] = []
        at_c: list[str | float] = []
        holes: list[str | float] = []
        for call in (c for c in own if c.stop == stop):
            channel = board.channel_x.get((scheme.stop[stop].keyboard, call.key))
            if channel is None:
                continue
            way = ["M", channel, y, "L", board.pipe_x[rank_id, call.pipe], line]
            note = scheme.keyboard_of(stop).notes[call.key - 1]
            (at_c if note % 12 == 0 else plain).extend(way)
            holes += ["M", channel, y, "h 0.01"]
        if holes:  # dots as round ends of strokes without length: one path for all
            sheet.path(holes, stroke=INK, stroke_width=3.4, stroke_linecap="round")
        if plain:
            sheet.path(plain, stroke=SOFT, stroke_width=0.5, stroke_dasharray="1 2")
        if at_c:
            sheet.path(at_c, stroke=INK, stroke_width=0.9, stroke_dasharray="1.5 1.5")
    flaps_at = {p: len([s for s in n if (s, p) in flapped]) if len(n) > 1 else 0 for p, n in callers.items()}
    leather: list[str | float] = []
    for pipe, names in sorted(callers.items()):
        x, radius = board.pipe_x[rank_id, pipe], _radius(scheme, board, rank_id, pipe)
        missing = pipe in scheme.rank[rank_id].missing
        fill = hatch if len(names) > 1 else METAL
        sheet.circle(
            x, line, radius, fill=PAPER if missing else fill, stroke=INK, stroke_width=0.9,
            stroke_dasharray="1.5 1.5" if missing else None,
        )  # fmt: skip
        for n in range(flaps_at[pipe]):
            leather += ["M", x - 1.4 + 3.2 * n, line + radius + 1.2, "v 5"]
    if leather:
        sheet.path(leather, stroke=LEATHER, stroke_width=2.4)
    for n, stop in enumerate(stops):
        halo = {"paint_order": "stroke", "stroke": PAPER, "stroke_width": 3.0}
        name = scheme.stop[stop].name
        footage = scheme.stop[stop].footage
        words = f"{name} {footage}′" if footage and footage not in name else name
        if evidence:
            words += " · " + evidence_in_words(rests[stop], short=sheet.width < 500)
        words = shorten(words, 11.5, sheet.width - board.left - 6)
        sheet.text(board.left, first_strip + _STRIP * n + 17, words, 11.5, **halo)


def _rests(evidence: Evidence, calls: Sequence[Call], stop: str, rank_id: str) -> Grounds:
    """What a slider's grooves to one row rest on, all of them."""
    return weakest(evidence.get(c, Grounds()) for c in calls if c.stop == stop and c.rank == rank_id)


def _flapped(scheme: Scheme, rank_id: str) -> set[tuple[str, int]]:
    found = set()
    for segment in scheme.segments:
        if segment.rank == rank_id and "flap" in (segment.device or ""):
            found |= {(segment.stop, pipe) for _key, pipe in asked_pipes(scheme, segment) if pipe is not None}
    return found


def _draw_channels(
    sheet: Sheet, scheme: Scheme, board: _Board, channels: Sequence[Channel], y: float
) -> None:
    notes = [scheme.keyboard[keyboard].channel_notes[key - 1] for keyboard, key in channels]
    starts = [n for n in range(1, len(notes)) if notes[n] < notes[n - 1] - 2]
    # Many groups: name where each begins. Otherwise name the Cs, as on a keyboard.
    named = starts if len(starts) > 3 else [n for n, note in enumerate(notes) if note % 12 == 0] + starts
    worth = {place: order for order, place in enumerate(dict.fromkeys([0, len(channels) - 1, *named]))}
    for channel in channels:
        x = board.channel_x[channel]
        sheet.line(x, y, x, y + 4, stroke=SOFT, stroke_width=0.7)
    taken: list[float] = []
    for place in sorted(worth, key=worth.__getitem__):
        x = board.channel_x[channels[place]]
        if all(abs(x - t) > 21 for t in taken):
            taken.append(x)
            sheet.line(x, y, x, y + 8, stroke=INK, stroke_width=0.8)
            sheet.text(x, y + 22, note_name(notes[place]), 13, "middle", font_style="italic")


def _draw_legend(sheet: Sheet, flaps: bool, y: float, hatch: str) -> None:
    x = _EDGE
    entries = [_("shared pipe"), _("hole in the slider")] + ([_("flap valve recorded")] if flaps else [])
    for place, words in enumerate(entries):
        need = 18 + text_width(words, 12)
        if x + need > sheet.width - _EDGE:
            x, y = _EDGE, y + 18
        if place == 0:
            sheet.circle(x + 6, y - 4, 6, fill=hatch, stroke=INK, stroke_width=0.9)
        elif place == 1:
            sheet.circle(x + 6, y - 4, 1.7, fill=INK)
        else:
            sheet.rect(x + 5, y - 7, 2.4, 5, fill=LEATHER)
        sheet.text(x + 18, y, words, 12)
        x += need + 10
