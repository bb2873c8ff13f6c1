"""Vocabularies as rows: words with their names in several languages, and where they come from."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from inventory.languages import active_language

from .base import CODE, NaturalModel, NaturalQuerySet, code_field
from .choices import NonReturn


class Vocabulary(models.TextChoices):
    EVENT = "event", _("events")
    ROLE = "role", _("roles")
    PART = "part", _("parts")
    FAMILY = "family", _("stop families")
    MATERIAL = "material", _("materials")
    DEFECT = "defect", _("kinds of defect")
    HAZARD = "hazard", _("hazards")
    SOURCE = "source", _("kinds of source")
    DANGER = "danger", _("kinds of danger")
    ACTION = "action", _("kinds of action")
    PATTERN = "pattern", _("patterns of sharing")
    CONDITION_CLASS = "condition", _("classes of condition")
    URGENCY_CLASS = "urgency", _("classes of urgency")
    RECOMMENDATION_CLASS = "measures", _("classes of recommendation")
    SILENCE = "silence", _("causes of silence")


def name_in_language(names: dict[str, str], code: str) -> str:
    """A name in the reader's language, or in English, or else the code."""
    return names.get(active_language()) or names.get("en") or code


class NamedInLanguages(NaturalModel):
    """A word with a name in each language it is known in."""

    names = models.JSONField(
        _("names"), default=dict, help_text=_('By language: {"en": "windchest", "fr": "sommier"}.')
    )
    unchecked = models.JSONField(
        _("languages to check"),
        default=list,
        blank=True,
        help_text=_("Languages whose name a native builder should still check."),
    )
    explanation = models.TextField(
        _("explanation"), blank=True, help_text=_("For a reader who has never seen one.")
    )

    class Meta:
        abstract = True

    @property
    def name(self) -> str:
        """The name in the reader's language, or in English."""
        return name_in_language(self.names, str(self.code))

    def __str__(self) -> str:
        return self.name


class TermQuerySet(NaturalQuerySet):
    def of(self, vocabulary: str) -> TermQuerySet:
        """The words of one vocabulary, in their order."""
        return self.filter(vocabulary=vocabulary).order_by("order", "code")


class Term(NamedInLanguages):
    """A word of one vocabulary."""

    vocabulary = models.CharField(_("vocabulary"), max_length=12, choices=Vocabulary)
    code = code_field()
    order = models.PositiveSmallIntegerField(_("order"), default=0)
    retired = models.BooleanField(
        _("retired"), default=False, help_text=_("Kept for old records, not offered for new ones.")
    )

    natural = ("vocabulary", "code")
    objects = TermQuerySet.as_manager()

    class Meta:
        verbose_name = _("term")
        verbose_name_plural = _("terms")
        ordering = ["vocabulary", "order", "code"]
        constraints = [models.UniqueConstraint(fields=["vocabulary", "code"], name="term_code_unique")]


class Device(NamedInLanguages):
    """How pipes are shared: the thing a surveyor can see. What is shared is computed, not recorded."""

    code = models.CharField(_("code"), max_length=64, unique=True, validators=[CODE])
    non_return = models.CharField(
        _("non-return valve"),
        max_length=10,
        choices=NonReturn,
        help_text=_(
            "Whether wind must be kept out of the other channel, and whether the device itself does it."
        ),
    )
    what_to_look_for = models.TextField(_("what to look for"), blank=True)

    natural = ("code",)

    class Meta:
        verbose_name = _("device")
        verbose_name_plural = _("devices")
        ordering = ["code"]
