"""Evidence: sources, citations of any field or row, contradictory claims, and why a field is empty.

A field or row of a record is named by `about`: ``name`` for a field of the root itself,
``stop:as-found/great.flute-8`` for a row, ``stop:as-found/great.flute-8#footage`` for a
field of a row. Empty means the record as a whole.
"""

from __future__ import annotations

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .base import Belonging, Root, code_field, unique_code
from .choices import Audience, Certainty, Knowledge
from .fields import EdtfField
from .finding import FindingQuerySet

ABOUT = RegexValidator(
    r"\A(|[a-z_]+|[a-z]+:[A-Za-z0-9._/-]+(#[a-z_]+)?)\Z",
    _("Write a field (name), a row (event:built) or a field of a row (event:built#when)."),
)


def about_field() -> models.CharField:
    return models.CharField(
        _("about"),
        max_length=200,
        blank=True,
        validators=[ABOUT],
        help_text=_("What it speaks of: empty for the whole record, a field, or a row as event:built#when."),
    )


class SourceQuerySet(FindingQuerySet):
    def cited_by(self, instrument: models.Model) -> SourceQuerySet:
        """Sources cited for an instrument, by reference."""
        return self.filter(citations__instrument=instrument).distinct().order_by("reference")


class Source(Root):
    """A document, inscription, photograph or person that says something."""

    name = models.CharField(_("title"), max_length=200)
    kind = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        related_name="+",
        verbose_name=_("kind"),
        limit_choices_to={"vocabulary": "source"},
    )
    author = models.CharField(_("author"), max_length=160, blank=True)
    when = EdtfField(_("date"), blank=True)
    held_at = models.CharField(_("held at"), max_length=200, blank=True)
    shelfmark = models.CharField(_("shelfmark"), max_length=120, blank=True)
    quality = models.CharField(
        _("quality"),
        max_length=10,
        blank=True,
        choices=[("primary", _("primary")), ("secondary", _("secondary")), ("hearsay", _("hearsay"))],
    )
    transcription = models.TextField(_("transcription"), blank=True)
    translation = models.TextField(_("translation"), blank=True)
    informant = models.CharField(
        _("informant"), max_length=160, blank=True, help_text=_("Named persons only.")
    )

    objects = SourceQuerySet.as_manager()

    class Meta(Root.Meta):
        verbose_name = _("source")
        verbose_name_plural = _("sources")
        ordering = ["reference"]


class AboutRecord(Belonging):
    """A row about a field or row of an instrument, a maker or a place: exactly one of the three."""

    instrument = models.ForeignKey(
        "inventory.Instrument", models.CASCADE, null=True, blank=True, related_name="%(class)ss"
    )
    maker = models.ForeignKey(
        "inventory.Maker", models.CASCADE, null=True, blank=True, related_name="%(class)ss"
    )
    place = models.ForeignKey(
        "inventory.Place", models.CASCADE, null=True, blank=True, related_name="%(class)ss"
    )
    code = code_field()
    about = about_field()

    class Meta:
        abstract = True

    def get_root(self) -> Root:
        root: Root = self.instrument or self.maker or self.place
        return root

    def natural_key(self) -> tuple[str, str, str]:
        root = self.get_root()
        return (root.kind_name(), root.reference, self.code)

    def path_in_root(self) -> str:
        return f"{self._meta.model_name}:{self.code}"


class AboutQuerySet(models.QuerySet):
    def get_by_natural_key(self, kind: str, reference: str, code: str) -> models.Model:
        return self.get(**{f"{kind}__reference": reference, "code": code})

    def about(self, path: str) -> AboutQuerySet:
        """Rows that speak of this field or row."""
        return self.filter(about=path)


def one_root() -> list[models.BaseConstraint]:
    """Exactly one root; the code is unique inside it."""
    return [
        models.CheckConstraint(
            condition=Q(instrument__isnull=False, maker__isnull=True, place__isnull=True)
            | Q(instrument__isnull=True, maker__isnull=False, place__isnull=True)
            | Q(instrument__isnull=True, maker__isnull=True, place__isnull=False),
            name="%(class)s_one_root",
        ),
        *[
            models.UniqueConstraint(
                fields=[root, "code"],
                condition=Q(**{f"{root}__isnull": False}),
                name=f"%(class)s_{root}_code",
            )
            for root in ("instrument", "maker", "place")
        ],
    ]


class Citation(AboutRecord):
    """This field or row rests on that source, at this place in it, this surely."""

    source = models.ForeignKey(Source, models.PROTECT, related_name="citations", verbose_name=_("source"))
    locator = models.CharField(
        _("where in it"), max_length=120, blank=True, help_text=_("Folio, page, line.")
    )
    certainty = models.CharField(_("certainty"), max_length=10, choices=Certainty, default=Certainty.PROBABLE)
    quote = models.TextField(_("words"), blank=True)
    note = models.TextField(_("note"), blank=True)
    audience = models.CharField(_("who may read"), max_length=10, choices=Audience, default=Audience.PUBLIC)

    objects = AboutQuerySet.as_manager()

    class Meta:
        verbose_name = _("citation")
        verbose_name_plural = _("citations")
        ordering = ["code"]
        constraints = one_root()


class Claim(AboutRecord):
    """One of several things said about the same field; they stand side by side, one may be preferred."""

    value = models.CharField(_("value"), max_length=300, help_text=_("As the source has it."))
    source = models.ForeignKey(
        Source, models.PROTECT, null=True, blank=True, related_name="claims", verbose_name=_("source")
    )
    locator = models.CharField(_("where in it"), max_length=120, blank=True)
    certainty = models.CharField(_("certainty"), max_length=10, choices=Certainty, default=Certainty.PROBABLE)
    preferred = models.BooleanField(_("preferred"), default=False)
    because = models.TextField(
        _("reason"), blank=True, help_text=_("Why this one is preferred, or rejected.")
    )
    audience = models.CharField(_("who may read"), max_length=10, choices=Audience, default=Audience.PUBLIC)

    objects = AboutQuerySet.as_manager()

    class Meta:
        verbose_name = _("claim")
        verbose_name_plural = _("claims")
        ordering = ["about", "code"]
        constraints = [
            *one_root(),
            *[
                models.UniqueConstraint(
                    fields=[root, "about"],
                    condition=Q(preferred=True) & Q(**{f"{root}__isnull": False}),
                    name=f"one_preferred_claim_{root}",
                )
                for root in ("instrument", "maker", "place")
            ],
            models.CheckConstraint(
                condition=Q(preferred=False) | ~Q(because=""), name="preferred_has_reason"
            ),
        ]


class FieldState(AboutRecord):
    """Why a field is empty. Without such a row an empty field means: not looked at."""

    state = models.CharField(_("why it is empty"), max_length=16, choices=Knowledge)
    survey = models.ForeignKey(
        "inventory.Survey", models.SET_NULL, null=True, blank=True, related_name="field_states"
    )
    note = models.CharField(_("note"), max_length=200, blank=True)

    objects = AboutQuerySet.as_manager()

    class Meta:
        verbose_name = _("empty field explained")
        verbose_name_plural = _("empty fields explained")
        ordering = ["about", "code"]
        constraints = one_root()


class Consent(Belonging):
    """Somebody allowed a group of facts to be published."""

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="consents")
    code = code_field()
    group = models.CharField(_("field group"), max_length=20, help_text=_("As in: condition, pictures."))
    given_by = models.CharField(_("given by"), max_length=160, help_text=_("Named persons only."))
    when = EdtfField(_("date"))
    until = EdtfField(_("until"), blank=True)
    withdrawn = models.BooleanField(_("withdrawn"), default=False)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("consent")
        verbose_name_plural = _("consents")
        ordering = ["instrument", "code"]
        constraints = unique_code("instrument")
