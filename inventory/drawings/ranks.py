"""The row of pipes of one rank, and which of them each stop calls."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.drawings.evidence import (
    DASHES,
    NOTHING_SAID,
    Evidence,
    Grounds,
    by_grounds,
    draw_doubt,
    draw_legend,
    evidence_in_words,
    height_of_legend,
)
from inventory.drawings.svg import (
    INK,
    METAL,
    PAPER,
    RULE,
    SHARED,
    SHARED_LINE,
    SOFT,
    Drawing,
    Sheet,
    clean,
    runs_of,
    text_width,
)
from inventory.organ.notes import note_name, spans_of
from inventory.organ.schemes import Call, Rank, Scheme, calls_by_rank
from inventory.punctuation import labelled, semicolons

WIDE, NARROW = 720, 360
_EDGE = 14.0


@dataclass(frozen=True)
class _Row:
    """Where the pipes stand on the sheet: one slot for each, mouths and toes on two lines."""

    left: float
    slot: float
    mouth_y: float
    toe_y: float
    tallest: float

    def x(self, pipe: int) -> float:
        """Middle of a pipe's slot."""
        return self.left + (pipe - 0.5) * self.slot


def rank_drawing(
    scheme: Scheme,
    rank_id: str,
    *,
    evidence: Evidence = NOTHING_SAID,
    prefix: str = "rank",
    narrow: bool = False,
) -> Drawing:
    """Draw the pipes of a rank at nominal scale, with a bar for every stop that calls them.

    The line round each bar says on what that part of it rests, where `evidence` says so.
    """
    rank = scheme.rank[rank_id]
    calls = calls_by_rank(scheme)[rank_id]
    callers, played = _callers_of(calls)
    calling = {call.stop for call in calls}
    rests = {
        stop.id: by_grounds(evidence, [call for call in calls if call.stop == stop.id])
        for stop in scheme.stops
        if stop.id in calling
    }
    told = {grounds for pipes in rests.values() for grounds in pipes} if evidence else set()
    count = rank.pipes if rank.pipes is not None else max(callers, default=1)
    shared = {pipe for pipe, stops in callers.items() if len(stops) > 1}
    uncalled = set(range(1, count + 1)) - callers.keys()
    own = set(callers) - shared
    stops = [stop for stop in scheme.stops if stop.id in calling]

    width = NARROW if narrow else WIDE
    legend_height = 54.0
    slot = min((width - 2 * _EDGE) / max(count, 1), 22.0)
    room = 150.0 if narrow else 236.0
    # The tall basses leave the upper right free; a row of few pipes does not.
    over = count >= 26 and rank.note_of(1) is not None
    top = 10.0 if over else 16.0 + legend_height
    row = _Row((width - slot * count) / 2, slot, top + room, top + room + 24, room - 6)
    bars_y = row.toe_y + 62
    foot = bars_y + 33 * max(len(stops), 1) + 2
    sheet = Sheet(width, foot + height_of_legend(told, width), prefix)

    hatch = sheet.hatch("shared", SHARED_LINE, SHARED, step=4)
    _draw_pipes(sheet, row, rank, own, shared, uncalled, apart=not narrow)
    for first, last in runs_of(shared):
        sheet.rect(
            row.x(first) - slot / 2, row.toe_y + 4, (last - first + 1) * slot, 8,
            fill=hatch, stroke=SHARED_LINE, stroke_width=0.8,
        )  # fmt: skip
    _draw_scale(sheet, row, rank, count)
    for place, stop in enumerate(stops):
        pipes = {pipe for pipe, names in callers.items() if stop.id in names}
        twice = {pipe for pipe in pipes if played[stop.id, pipe] > 1}
        label = (
            f"{stop.name} {stop.footage}′" if stop.footage and stop.footage not in stop.name else stop.name
        )
        label += " · " + _("pipes %s") % spans_of(sorted(pipes))
        if twice:
            label += " · " + _("%s at two keys or more") % spans_of(sorted(twice))
        _draw_bar(sheet, row, bars_y + 33 * place, label, rests[stop.id], shared, hatch)
    draw_legend(sheet, told, foot + 13)
    _draw_legend(sheet, over, hatch, len(shared), len(own), len(uncalled))

    known = rank.note_of(1) is not None
    title = _("Rank %s: the row of pipes and the stops that call them") % rank_id
    described = ngettext("%d pipe is drawn.", "%d pipes are drawn.", count) % count
    counts = {"shared": len(shared), "own": len(own), "uncalled": len(uncalled)}
    described += " " + _("Shared by two stops or more: %(shared)d; of one stop only: %(own)d.") % counts
    if uncalled:
        described += " " + _("Called by no stop: %(uncalled)d.") % counts
    for stop in stops:
        pipes = {pipe for pipe, names in callers.items() if stop.id in names}
        described += " " + _("%(stop)s calls pipes %(pipes)s.") % {
            "stop": stop.name,
            "pipes": spans_of(sorted(pipes)),
        }
        if len(told) > 1:
            parts = [
                labelled(spans_of(sorted(some)), evidence_in_words(grounds))
                for grounds, some in rests[stop.id].items()
            ]
            described += " " + _("On what that rests: %s.") % semicolons(parts)
    if len(told) == 1:
        described += " " + _("On what all that rests: %s.") % evidence_in_words(*told)
    caption = _(
        "Nominal scale from pitch: lengths halve at every octave; widths only suggest the "
        "narrowing. Nothing here was measured on this organ."
    )
    if not known:
        caption = _("The pitch of this rank is not known: all pipes are drawn at one length.")
    if rank.pipes is None:
        caption += " " + _("The pipes were not counted: the row ends at the highest pipe called.")
    if told:
        caption += " " + _("The line round each bar says on what it rests.")
    return sheet.finish(title, described, caption)


def _callers_of(calls: Sequence[Call]) -> tuple[dict[int, set[str]], Counter[tuple[str, int]]]:
    callers: dict[int, set[str]] = defaultdict(set)
    played: Counter[tuple[str, int]] = Counter()
    for call in calls:
        callers[call.pipe].add(call.stop)
        played[call.stop, call.pipe] += 1
    return dict(callers), played


def _draw_pipes(
    sheet: Sheet,
    row: _Row,
    rank: Rank,
    own: set[int],
    shared: set[int],
    uncalled: set[int],
    *,
    apart: bool = True,
) -> None:
    """Draw every pipe; with `apart` each is an element of its own, which a page can light up."""
    low = rank.note_of(1)
    lowest = min(rank.notes) if rank.notes else low
    sheet.open_group(data_rank=clean(rank.id))
    for pipes, fill, dash in ((own, METAL, None), (shared, SHARED, None), (uncalled, PAPER, "2 2")):
        for gone in (False, True):
            bodies: dict[int, list[str | float]] = {}
            mouths: list[str | float] = []
            for pipe in sorted(pipes):
                if (pipe in rank.missing) is not gone:
                    continue
                note = rank.note_of(pipe)
                above = 0 if note is None or lowest is None else note - lowest
                high = row.tallest * (0.62 if lowest is None else 2 ** (-above / 12))
                half = max(row.slot * 0.43 * (0.8 if lowest is None else 2 ** (-above / 32)), 0.6)
                x = row.x(pipe)
                body: list[str | float] = ["M", x - half, row.mouth_y, "V", row.mouth_y - high]
                body += ["H", x + half, "V", row.mouth_y]
                if rank.makes == "pipes":
                    body += ["L", x + 0.6, row.toe_y, "H", x - 0.6]
                    if half > 2.2:
                        lip = row.mouth_y - min(high * 0.5, half * 0.9)
                        mouths += ["M", x - half, row.mouth_y, "H", x + half]
                        mouths += ["M", x - half * 0.55, row.mouth_y, "L", x, lip]
                        mouths += ["L", x + half * 0.55, row.mouth_y]
                bodies[pipe] = [*body, "Z"]
            if bodies:
                dashes = "1 2" if gone else dash
                ink = SOFT if gone or dash else INK
                fine = 0.9 if row.slot > 5 else 0.6
                _draw_bodies(
                    sheet, bodies, apart, fill="none" if gone else fill, stroke=ink,
                    stroke_width=fine, stroke_dasharray=dashes,
                )  # fmt: skip
                if mouths:
                    sheet.path(mouths, stroke=ink, stroke_width=0.6)
    sheet.close_group()


def _draw_bodies(
    sheet: Sheet, bodies: dict[int, list[str | float]], apart: bool, **look: str | float | None
) -> None:
    if not apart:
        # One path for each look keeps a row of 130 pipes small in the page.
        sheet.path([step for body in bodies.values() for step in body], **look)
        return
    sheet.open_group(**look)
    for pipe, body in bodies.items():
        sheet.path(body, fill=None, data_pipe=pipe)
    sheet.close_group()


def _draw_scale(sheet: Sheet, row: _Row, rank: Rank, count: int) -> None:
    y = row.toe_y + 14
    sheet.line(row.left, y, row.left + row.slot * count, y, stroke=RULE, stroke_width=0.8)
    named = [p for p in range(1, count + 1) if (note := rank.note_of(p)) is not None and note % 12 == 0]
    if not named:
        named = [p for p in (1, count) if p >= 1]
    taken = -99.0
    for pipe in sorted(set(named)):
        x, note = row.x(pipe), rank.note_of(pipe)
        sheet.line(x, y, x, y + 5, stroke=SOFT, stroke_width=0.8)
        if x - taken < 26:
            continue
        taken = x
        if note is not None:
            sheet.text(x, y + 17, note_name(note), 13, "middle")
        sheet.text(x, y + 31, str(pipe), 11, "middle", fill=SOFT)


def _draw_bar(
    sheet: Sheet,
    row: _Row,
    y: float,
    label: str,
    rests: dict[Grounds, set[int]],
    shared: set[int],
    hatch: str,
) -> None:
    start = row.x(min(pipe for pipes in rests.values() for pipe in pipes)) - row.slot / 2
    # A stop of the treble alone: its words begin further left rather than run off the sheet.
    sheet.text(max(min(start, sheet.width - 6 - text_width(label, 12)), 6.0), y + 12, label, 12)
    for grounds, pipes in rests.items():
        dash = DASHES[grounds.evidence] if grounds.evidence else None
        for some, fill, line in ((pipes, PAPER, None), (pipes & shared, hatch, None), (pipes, "none", INK)):
            for first, last in runs_of(some):
                sheet.rect(
                    row.x(first) - row.slot / 2, y + 17, (last - first + 1) * row.slot, 8, fill=fill,
                    stroke=line, stroke_width=(1.2 if dash else 0.9) if line else None,
                    stroke_dasharray=dash if line else None,
                )  # fmt: skip
        if not grounds.certain:
            for first, last in runs_of(pipes):
                draw_doubt(sheet, (row.x(first) + row.x(last)) / 2, y + 25)


def _draw_legend(sheet: Sheet, over: bool, hatch: str, shared: int, own: int, uncalled: int) -> None:
    entries = [
        (hatch, SHARED_LINE, None, ngettext("%d shared pipe", "%d shared pipes", shared) % shared),
        (METAL, INK, None, ngettext("%d pipe of one stop only", "%d pipes of one stop only", own) % own),
        (PAPER, SOFT, "2 2", ngettext("%d pipe not called", "%d pipes not called", uncalled) % uncalled),
    ]
    longest = max(text_width(words, 12) for *_look, words in entries)
    x = min(sheet.width * (0.55 if over else 0.0) + _EDGE, sheet.width - longest - 32)
    y = 22.0
    for (fill, line, dash, words), amount in zip(entries, (shared, own, uncalled), strict=True):
        if amount:
            sheet.rect(x, y - 9, 20, 10, fill=fill, stroke=line, stroke_width=0.9, stroke_dasharray=dash)
            sheet.text(x + 28, y, words, 12)
            y += 18
