"""Dated stoplists side by side: stops and schemes, with what differs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from inventory.models import Specification, Stop
from inventory.models.searching import plain_words
from inventory.organ.answers import evaluate_answer
from inventory.organ.errors import OrganError
from inventory.organ.notes import interval_name, spans_of
from inventory.organ.schemes import Scheme, Segment
from inventory.schemes import schemes_of


@dataclass(frozen=True)
class ComparedLine:
    """One stop through the stoplists: what each says of it."""

    title: str
    cells: tuple[str, ...]
    differs: bool


def compare_specifications(chosen: Sequence[Specification]) -> dict[str, Any]:
    """Lines of stops, lines of schemes, sums below."""
    schemes = schemes_of([one.pk for one in chosen])
    stops: dict[str, dict[int, Stop]] = {}
    for place, one in enumerate(chosen):
        seen: dict[str, int] = {}
        rows = (
            Stop.objects.filter(specification=one)
            .select_related("keyboard")
            .order_by("keyboard__order", "order", "code")
        )
        for stop in rows:
            board = plain_words(stop.keyboard.name or stop.keyboard.code)
            key = f"{board}|{plain_words(stop.name)}|{stop.footage}|{stop.half}"
            seen[key] = seen.get(key, 0) + 1
            stops.setdefault(f"{key}|{seen[key]}", {})[place] = stop
    lines, ways = [], []
    for found in stops.values():
        first = next(iter(found.values()))
        title = f"{first.label} · {first.keyboard}"
        cells = tuple(_say_stop(found.get(place)) for place in range(len(chosen)))
        lines.append(ComparedLine(title, cells, len(set(cells)) > 1))
        asks = tuple(
            _say_scheme(schemes[one.pk], found[place].code) if place in found else "–"
            for place, one in enumerate(chosen)
        )
        if any(ask not in ("–", "") for ask in asks):
            ways.append(ComparedLine(title, asks, len(set(asks)) > 1))
    return {"stops": lines, "schemes": ways, "sums": _sums([schemes[one.pk] for one in chosen])}


def _say_stop(stop: Stop | None) -> str:
    if stop is None:
        return "–"
    words = stop.label + (f" · {stop.footage}′" if stop.footage and stop.footage not in stop.label else "")
    if stop.first_key or stop.last_key:
        words += " · " + _("keys %(first)s–%(last)s") % {
            "first": stop.first_key or 1, "last": stop.last_key or _("last")
        }  # fmt: skip
    return words + ("" if stop.state == "present" else f" · {stop.get_state_display()}")


def _say_scheme(scheme: Scheme, stop: str) -> str:
    return "; ".join(say_segment(one) for one in scheme.segments if one.stop == stop)


def say_segment(segment: Segment) -> str:
    """A segment in a few words."""
    first, last = segment.keys
    if segment.interval is not None:
        way = interval_name(segment.interval)
    elif segment.shift is not None:
        way = _("pipe = key %(shift)s") % {"shift": interval_name(segment.shift)}
    else:
        way = _("pipes %(pipes)s") % {"pipes": spans_of(list(segment.pipes or ()))}
    words = _("keys %(first)d–%(last)d: %(rank)s, %(way)s") % {
        "first": first, "last": last, "rank": segment.rank, "way": way
    }  # fmt: skip
    return words + (f" ({segment.device})" if segment.device else "")


def _sums(schemes: Sequence[Scheme]) -> list[ComparedLine]:
    names = {
        "calls": _("calls"), "pipes_called": _("pipes called"), "pipes_recorded": _("pipes recorded"),
        "pipes_shared": _("shared pipes"), "depth": _("most stops on one pipe"),
    }  # fmt: skip
    found: list[dict[str, Any]] = []
    for scheme in schemes:
        try:
            found.append(evaluate_answer(scheme))
        except OrganError:
            found.append({})
    lines = []
    for code, title in names.items():
        cells = tuple("–" if answer.get(code) is None else str(answer[code]) for answer in found)
        lines.append(ComparedLine(title, cells, len(set(cells)) > 1))
    return lines
