"""The emergency track: what to save of an instrument before a deadline, ticked as far as the record tells.

The list is common practice for a building that closes in weeks. It is worked out from the
record each time; what the record has no place for stays open for a person to tick on paper.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count as Number
from django.utils.translation import gettext as _

from inventory.models import Count, Decision, Instrument, Photograph, PipeReading, WorksPlan
from inventory.models.choices import HowCounted
from inventory.schemes import NoSuchRecord, find_specification

ENOUGH_PIPES = 2
"""Pipes to be measured of every row: its lowest C and the c an octave or more above."""


@dataclass(frozen=True)
class Step:
    """One thing to do, and what the record says of it."""

    what: str
    done: bool | None
    """None: the record has no place for it, or the reader may not know."""
    told: str


def checklist_of(instrument: Instrument, *, reads_persons: bool) -> list[Step]:
    """The steps in the order in which they are lost if nobody hurries: the owner before everything."""
    pictures = Photograph.objects.filter(instrument=instrument).count()
    plan = WorksPlan.objects.filter(instrument=instrument).first()
    return [
        _owner(instrument, reads_persons),
        Step(
            _("Photographs: front, console, inside, every marking, with a scale"),
            pictures > 0,
            _("%(n)s in the record") % {"n": pictures},
        ),
        *_pipes(instrument),
        Step(
            _("Sound recording: every stop alone, then together, if it can be winded without harm"),
            None,
            _("keep the file with the photographs; never wind an organ long silent as a routine"),
        ),
        Step(
            _("Who owns it, and its parts, in writing"),
            plan is not None and plan.ownership == "yes",
            str(plan.get_ownership_display()) if plan else _("not asked"),
        ),
        Step(
            _("A dry store, and money to put it back, before anything is taken down"),
            plan is not None and plan.dry_store == "yes" and plan.money_to_put_back == "yes",
            _("store: %(store)s; money: %(money)s")
            % {"store": plan.get_dry_store_display(), "money": plan.get_money_to_put_back_display()}
            if plan
            else _("not asked"),
        ),
    ]


def cautions() -> list[str]:
    """What goes before every step."""
    return [
        _("Tell the owner first: a listing may itself draw thieves."),
        _("No dismantling before the money to put it back, a dry store and the ownership of the parts are secured."),
        _(
            "Nothing here is a clearance to enter, climb, wind or open: the owner, an electrician and a builder or "
            "adviser come first."
        ),
    ]  # fmt: skip


def _owner(instrument: Instrument, reads_persons: bool) -> Step:
    told = Decision.objects.filter(instrument=instrument).exclude(custodian_told="").exists()
    what = _("The owner told, by letter, before anything is published")
    if not reads_persons:
        return Step(what, None, _("whether it was done is for named persons"))
    return Step(what, told, _("done") if told else _("not yet"))


def _pipes(instrument: Instrument) -> list[Step]:
    try:
        specification = find_specification(instrument.reference)
    except NoSuchRecord:
        return [
            Step(
                _("Pipes counted, row by row, and every row measured at C and c"), False, _("no stoplist yet")
            )
        ]
    counted = Count.objects.filter(
        specification=specification, what=Count.What.PIPES, how=HowCounted.PHYSICAL
    ).exists()
    ranks = specification.ranks.count()
    measured = (
        PipeReading.objects.filter(rank__specification=specification)
        .exclude(outside_diameter_mm=None, width_mm=None, body_length_mm=None)
        .values("rank")
        .annotate(pipes=Number("pipe", distinct=True))
        .filter(pipes__gte=ENOUGH_PIPES)
        .count()
    )
    return [
        Step(
            _("Pipes counted, row by row"),
            counted,
            _("counted on the chest") if counted else _("not counted"),
        ),
        Step(
            _("C and c of every row measured: diameter, mouth, cut-up, length"),
            bool(ranks) and measured == ranks,
            _("%(n)s of %(all)s rows have two pipes measured") % {"n": measured, "all": ranks},
        ),
    ]
