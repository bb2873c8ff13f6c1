"""Rules about time: what cannot have happened before or after something else."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from inventory.models import Instrument, Maker

Said = tuple[str, str, str, str]

BEGINNINGS = frozenset({"built", "contracted"})
"""Kinds of event that may come before an instrument exists."""
YEARS_OF_GRACE = 1
"""A work is often dated by its payment, and finished by the workshop in the year after a death."""


def after(one: date | None, other: date | None) -> bool:
    """Whether a day is certainly after another; unknown days are never."""
    return one is not None and other is not None and one > other


def check_order_of_dates(instrument: Instrument) -> Iterator[Said]:
    """Events before the instrument was begun, surveys of what did not exist, orders of layers that fail."""
    begun = [e.when_earliest for e in instrument.events.all() if e.kind.code == "built" and e.when_earliest]
    begun += [layer.when_earliest for layer in instrument.layers.all() if layer.when_earliest]
    undated = any(layer.when and not layer.when_earliest for layer in instrument.layers.all())
    first = min(begun) if begun and not undated else None
    for event in instrument.events.all():
        if event.kind.code not in BEGINNINGS and after(first, event.when_latest):
            yield _too_early(event, f"event:{event.code}")
    for survey in instrument.surveys.all():
        if after(first, survey.when_latest):
            yield _too_early(survey, f"survey:{survey.code}")
    by_pk = {layer.pk: layer for layer in instrument.layers.all()}
    for layer in by_pk.values():
        younger = by_pk.get(layer.older_than_id)
        if younger is not None and after(layer.when_earliest, younger.when_latest):
            yield (
                "dates-out-of-order", "error", f"layer:{layer.code}",
                _("is said to be older than %(other)s (%(other_when)s) but dated %(when)s; correct one of them")
                % {"other": younger, "other_when": younger.when, "when": layer.when},
            )  # fmt: skip
    for part in instrument.parts.all():
        for movement in part.movements.all():
            if after(movement.when_earliest, movement.return_expected_latest):
                yield (
                    "dates-out-of-order", "error", f"movement:{part.code}/{movement.code}",
                    _("the return is expected before the part left; correct one of the dates"),
                )  # fmt: skip
    for consent in instrument.consents.all():
        if after(consent.when_earliest, consent.until_latest):
            yield (
                "dates-out-of-order", "error", f"consent:{consent.code}",
                _("ends before it was given; correct one of the dates"),
            )  # fmt: skip


def _too_early(row: Any, where: str) -> Said:
    return (
        "dates-out-of-order", "warning", where,
        _("dated %(when)s, before anything of the instrument existed; correct the date, or add the earlier layer")
        % {"when": row.when},
    )  # fmt: skip


def check_makers_alive(instrument: Instrument) -> Iterator[Said]:
    """Works given to a maker before the birth or founding, or after the end."""
    rows = [(f"layer:{layer.code}", layer) for layer in instrument.layers.all()]
    rows += [(f"event:{event.code}", event) for event in instrument.events.all()]
    for where, row in rows:
        maker = row.maker
        if maker is None or row.when_earliest is None and row.when_latest is None:
            continue
        ended = maker.ended_latest
        if (
            ended is not None
            and row.when_earliest is not None
            and row.when_earliest.year > ended.year + YEARS_OF_GRACE
        ):
            yield _out_of_time(
                where, row, _("%(maker)s ended %(date)s") % {"maker": maker.name, "date": maker.ended}
            )
        elif after(maker.began_earliest, row.when_latest):
            yield _out_of_time(
                where, row, _("%(maker)s began %(date)s") % {"maker": maker.name, "date": maker.began}
            )


def _out_of_time(where: str, row: Any, why: str) -> Said:
    return (
        "maker-out-of-time", "warning", where,
        _("dated %(when)s, but %(why)s; look again at the date, the maker, or which of two of the name it was")
        % {"when": row.when, "why": why},
    )  # fmt: skip


def check_life(maker: Maker) -> Iterator[Said]:
    """A maker who ended before beginning, or worked outside that time."""
    if after(maker.began_earliest, maker.ended_latest):
        yield ("dates-out-of-order", "error", "ended", _("ended before beginning; correct one of the dates"))
    if after(maker.active_earliest, maker.ended_latest) or after(maker.began_earliest, maker.active_latest):
        yield (
            "dates-out-of-order",
            "warning",
            "active",
            _("worked outside the dates of life; correct one of them"),
        )
