"""Passages of a brief: drafted from the record, edited by people, a draft until somebody accepts them."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Belonging, code_field, unique_code


class Passage(Belonging):
    """One passage in one language. `drafted` keeps what the record said when it was accepted."""

    class Section(models.TextChoices):
        ASK = "ask", _("what is asked, in a sentence")
        INSTRUMENT = "instrument", _("the instrument")
        SIGNIFICANCE = "significance", _("why it matters")
        CONDITION = "condition", _("its condition")
        WHY_NOW = "why now", _("why now")
        UNCHANGED = "unchanged", _("what will not be changed")
        TESTS = "tests", _("how the work is accepted")
        UPKEEP = "upkeep", _("upkeep afterwards")
        BENEFIT = "benefit", _("public benefit")
        ADVISER = "adviser", _("adviser, permissions and practice")

    class Language(models.TextChoices):
        ENGLISH = "en", _("English")
        FRENCH = "fr", _("French")
        SPANISH = "es", _("Spanish")

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="passages")
    code = code_field()
    section = models.CharField(_("passage"), max_length=14, choices=Section)
    language = models.CharField(_("language"), max_length=2, choices=Language, default=Language.ENGLISH)
    text = models.TextField(_("text"), max_length=3000)
    accepted = models.BooleanField(_("accepted"), default=False)
    accepted_by = models.CharField(_("accepted by"), max_length=150, blank=True, editable=False)
    drafted = models.TextField(blank=True, editable=False)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("passage of a brief")
        verbose_name_plural = _("passages of briefs")
        ordering = ["instrument", "language", "section"]
        constraints = [
            *unique_code("instrument"),
            models.UniqueConstraint(
                fields=["instrument", "section", "language"], name="passage_once_a_language"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_section_display()} ({self.language})"
