"""Danger: criteria with versions, judgements with evidence, dangers with deadlines, decisions of the body."""

from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Belonging, NaturalModel, code_field, unique_code
from .choices import Audience
from .fields import EdtfField


class Criterion(NaturalModel):
    """One thing weighed inside one of the three judgements, in one version of the list of criteria."""

    class Judgement(models.TextChoices):
        LOSS = "loss", _("what would be lost")
        LIKELY = "likely", _("how likely and how soon")
        HELP = "help", _("what help can do")

    code = code_field()
    version = models.PositiveSmallIntegerField(_("version of the criteria"), default=1)
    judgement = models.CharField(_("judgement"), max_length=6, choices=Judgement)
    name = models.CharField(_("name"), max_length=120)
    more_means = models.CharField(
        _("a higher figure means"),
        max_length=200,
        help_text=_("The direction, in words: more would be lost."),
    )
    scale = models.JSONField(_("scale"), default=dict, help_text=_('{"0": "none", …, "5": "all of it"}'))

    natural = ("version", "code")

    class Meta:
        verbose_name = _("criterion")
        verbose_name_plural = _("criteria")
        ordering = ["version", "judgement", "code"]
        constraints = [models.UniqueConstraint(fields=["version", "code"], name="criterion_code_unique")]

    def __str__(self) -> str:
        return self.name


class Judgement(Belonging):
    """One instrument under one criterion: a range from 0 to 5; unknown is the whole range."""

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="judgements")
    code = code_field()
    criterion = models.ForeignKey(
        Criterion, models.PROTECT, related_name="judgements", verbose_name=_("criterion")
    )
    low = models.PositiveSmallIntegerField(_("from"), default=0, validators=[MaxValueValidator(5)])
    high = models.PositiveSmallIntegerField(_("to"), default=5, validators=[MaxValueValidator(5)])
    because = models.TextField(_("evidence"))
    assessor = models.CharField(_("assessor"), max_length=120)
    interests = models.CharField(
        _("interests declared"), max_length=200, help_text=_("Write none if there are none.")
    )
    when = EdtfField(_("date"))
    audience = models.CharField(_("who may read"), max_length=10, choices=Audience, default=Audience.TEAM)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("judgement")
        verbose_name_plural = _("judgements")
        ordering = ["instrument", "code"]
        constraints = [
            *unique_code("instrument"),
            models.CheckConstraint(
                condition=models.Q(low__lte=models.F("high")) & models.Q(high__lte=5), name="judgement_range"
            ),
        ]


class Danger(Belonging):
    """Something that threatens: who says so, until when it can be averted, by whom."""

    class Ended(models.TextChoices):
        OPEN = "open", _("open")
        AVERTED = "averted", _("averted")
        LOST = "lost", _("the instrument was lost")
        OFF = "off", _("taken off the list")

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="dangers")
    code = code_field()
    kind = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        related_name="+",
        verbose_name=_("kind"),
        limit_choices_to={"vocabulary": "danger"},
    )
    text = models.TextField(_("in words"))
    noticed = EdtfField(_("noticed"), blank=True)
    deadline = EdtfField(_("deadline"), blank=True)
    who_can_avert = models.CharField(_("who can avert it"), max_length=200, blank=True)
    asked = models.CharField(_("what is asked"), max_length=300, blank=True)
    ended = models.CharField(
        _("how it ended"),
        max_length=7,
        choices=Ended,
        default=Ended.OPEN,
        help_text=_("A danger that ended stays in the record, and leaves the list."),
    )
    outcome = models.CharField(
        _("outcome"), max_length=200, blank=True, help_text=_("How, and why it left the list.")
    )
    audience = models.CharField(_("who may read"), max_length=10, choices=Audience, default=Audience.TEAM)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("danger")
        verbose_name_plural = _("dangers")
        ordering = ["instrument", "code"]
        constraints = [
            *unique_code("instrument"),
            models.CheckConstraint(
                condition=models.Q(ended="open") | ~models.Q(outcome=""), name="danger_ended_with_reason"
            ),
        ]


class Decision(Belonging):
    """What the body decided, beside what the tool advised; a departure is minuted with its reason."""

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="decisions")
    code = code_field()
    when = EdtfField(_("date"))
    advice = models.CharField(_("advice of the tool"), max_length=200, blank=True)
    decision = models.CharField(_("decision"), max_length=200)
    departs = models.BooleanField(_("departs from the advice"), default=False)
    because = models.TextField(_("reason"), blank=True)
    custodian_told = EdtfField(_("custodian told"), blank=True)
    custodian_reply = models.TextField(_("custodian's reply"), blank=True)
    next_review = EdtfField(_("next review"), blank=True)
    audience = models.CharField(_("who may read"), max_length=10, choices=Audience, default=Audience.TEAM)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("decision")
        verbose_name_plural = _("decisions")
        ordering = ["instrument", "when_sort", "code"]
        constraints = [
            *unique_code("instrument"),
            models.CheckConstraint(
                condition=models.Q(departs=False) | ~models.Q(because=""), name="departure_has_reason"
            ),
        ]
