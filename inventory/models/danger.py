"""Danger: criteria with versions, judgements with evidence, dangers with deadlines, decisions of the body."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.db import models
from django.utils.translation import gettext, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from inventory.languages import in_language

from .base import Belonging, NaturalModel, code_field, unique_code
from .choices import Audience
from .fields import EdtfField


class Advice(models.TextChoices):
    """What the tool advises, by a stated rule, and what the body decides, in the same words."""

    EMERGENCY = "emergency", _("emergency: a deadline is near")
    LOOK = "look", _("look first: not enough is known")
    SAVE = "save", _("save now")
    DOCUMENT = "document", _("document before it is gone, and look for help")
    STABILISE = "stabilise", _("stabilise")
    WATCH = "watch", _("watch")
    NONE = "none", _("no step advised now")


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
    names = models.JSONField(
        _("name in other languages"),
        default=dict,
        blank=True,
        help_text=_('By language, as far as known: {"fr": "…", "es": "…"}.'),
    )
    meanings = models.JSONField(
        _("what a higher figure means, in other languages"),
        default=dict,
        blank=True,
        help_text=_('By language, as far as known: {"fr": "…", "es": "…"}.'),
    )

    natural = ("version", "code")

    class Meta:
        verbose_name = _("criterion")
        verbose_name_plural = _("criteria")
        ordering = ["version", "judgement", "code"]
        constraints = [models.UniqueConstraint(fields=["version", "code"], name="criterion_code_unique")]

    def __str__(self) -> str:
        return self.name_here

    @property
    def name_here(self) -> str:
        """The name in the reader's language, as far as there is one."""
        return in_language(self.name, self.names)

    @property
    def means_here(self) -> str:
        """What a higher figure means, in the reader's language, as far as it was put in it."""
        return in_language(self.more_means, self.meanings)


class Judgement(Belonging):
    """One instrument under one criterion: a range from 0 to 5; unknown is the whole range."""

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="judgements")
    code = code_field()
    criterion = models.ForeignKey(
        Criterion, models.PROTECT, related_name="judgements", verbose_name=_("criterion")
    )
    low = models.PositiveSmallIntegerField(
        pgettext_lazy("a range of points", "from"), default=0, validators=[MaxValueValidator(5)]
    )
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
    advice = models.CharField(
        _("advice of the tool"), max_length=200, blank=True, help_text=_("As it stood on the day.")
    )
    step = models.CharField(
        _("step decided on"),
        max_length=9,
        choices=Advice,
        blank=True,
        help_text=_("In the words of the advice, so that a departure shows."),
    )
    decision = models.CharField(_("decision"), max_length=200)
    departs = models.BooleanField(_("departs from the advice"), default=False)
    because = models.TextField(_("reason"), blank=True)
    custodian_told = EdtfField(_("custodian told"), blank=True)
    told_how = models.CharField(
        _("told how"), max_length=120, blank=True, help_text=_("By letter, by telephone, on the spot.")
    )
    custodian_reply = models.TextField(_("custodian's reply"), blank=True)
    reply_printed_as = models.TextField(
        _("reply as it may be printed"),
        blank=True,
        help_text=_("In the words the custodian agreed to. Empty: the reply is not printed."),
    )
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

    def clean(self) -> None:
        """A departure is found, never declared away: the step decided on against the advice of the day."""
        super().clean()
        self.note_departure()
        if self.departs and not self.because.strip():
            raise ValidationError(
                {"because": gettext("The decision departs from the advice: the minutes need its reason.")}
            )

    def note_departure(self) -> None:
        """Compare the step with the advice, where both are in the words of the list."""
        if self.step and self.advice in Advice.values:
            self.departs = self.step != self.advice

    @property
    def advice_in_words(self) -> str:
        """The advice in the reader's language; words typed before the list had a rule stay as they are."""
        return str(Advice(self.advice).label) if self.advice in Advice.values else self.advice
