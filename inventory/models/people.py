"""Makers: persons and firms, their names, dates and ties. Never merged by a machine."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Belonging, Root, code_field, unique_code
from .choices import Certainty
from .fields import EdtfField
from .finding import FindingQuerySet


class MakerKind(models.TextChoices):
    PERSON = "person", _("person")
    FIRM = "firm", _("firm or workshop")


class MakerQuerySet(FindingQuerySet):
    def firms(self) -> MakerQuerySet:
        return self.filter(kind=MakerKind.FIRM)


class Maker(Root):
    """A person or firm that made, changed, sold or moved instruments."""

    translated = "note"
    """The text that may be added in French and Spanish."""

    name = models.CharField(_("name"), max_length=160, help_text=_("The form used as heading."))
    sort_name = models.CharField(_("sorted as"), max_length=160, help_text=_("Surname first."))
    kind = models.CharField(_("kind"), max_length=10, choices=MakerKind)
    began = EdtfField(
        _("born or founded"), blank=True, help_text=_("As in 1841, 1841~ (about), [..1790] (before).")
    )
    ended = EdtfField(_("died or closed"), blank=True)
    active = EdtfField(_("active"), blank=True, help_text=_("Years of known work: 1850/1886."))
    workshop_place = models.ForeignKey(
        "inventory.Place", models.PROTECT, null=True, blank=True, verbose_name=_("workshop in")
    )
    note = models.TextField(_("note"), blank=True, help_text=_("A short career, published."))
    note_fr = models.TextField(
        _("note in French"), blank=True, help_text=_("Shown on French pages in its place. Published.")
    )
    note_es = models.TextField(
        _("note in Spanish"), blank=True, help_text=_("Shown on Spanish pages in its place. Published.")
    )
    private_note = models.TextField(
        _("private note"), blank=True, help_text=_("About living persons or disputes. Named persons only.")
    )

    objects = MakerQuerySet.as_manager()

    class Meta(Root.Meta):
        verbose_name = _("maker")
        verbose_name_plural = _("makers")
        ordering = ["sort_name"]


class MakerName(Belonging):
    """Another form of a maker's name, as some source writes it."""

    maker = models.ForeignKey(Maker, models.CASCADE, related_name="names")
    code = code_field()
    name = models.CharField(_("name"), max_length=160)
    language = models.CharField(_("language"), max_length=12, blank=True)
    where_found = models.CharField(_("where found"), max_length=200, blank=True)

    root_path = "maker"
    natural = ("maker__reference", "code")

    class Meta:
        verbose_name = _("name variant")
        verbose_name_plural = _("name variants")
        ordering = ["maker", "code"]
        constraints = unique_code("maker")

    def __str__(self) -> str:
        return self.name


class MakerTie(Belonging):
    """How one maker stood to another."""

    class Kind(models.TextChoices):
        PARTNER = "partner", _("partner of")
        SUCCESSOR = "successor", _("successor of")
        APPRENTICE = "apprentice", _("apprenticed to")
        SUBCONTRACTOR = "subcontractor", _("subcontractor of")
        CHILD = "child", _("child of")
        MEMBER = "member", _("member of")
        PERHAPS_SAME = "perhaps the same", _("perhaps the same as")

    maker = models.ForeignKey(Maker, models.CASCADE, related_name="ties")
    code = code_field()
    kind = models.CharField(_("kind"), max_length=20, choices=Kind)
    other = models.ForeignKey(Maker, models.PROTECT, related_name="ties_to", verbose_name=_("other maker"))
    when = EdtfField(_("when"), blank=True)
    certainty = models.CharField(_("certainty"), max_length=10, choices=Certainty, default=Certainty.PROBABLE)
    said_by = models.CharField(_("who says so"), max_length=200, blank=True)

    root_path = "maker"
    natural = ("maker__reference", "code")

    class Meta:
        verbose_name = _("tie between makers")
        verbose_name_plural = _("ties between makers")
        ordering = ["maker", "code"]
        constraints = [
            *unique_code("maker"),
            models.CheckConstraint(condition=~models.Q(maker=models.F("other")), name="makertie_not_self"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.other}"


class AuthorityId(Belonging):
    """The maker's number in a public list of names."""

    maker = models.ForeignKey(Maker, models.CASCADE, related_name="authority_ids")
    code = code_field(_("Name of the list, such as a national library's."))
    value = models.CharField(_("number"), max_length=120)

    root_path = "maker"
    natural = ("maker__reference", "code")

    class Meta:
        verbose_name = _("authority number")
        verbose_name_plural = _("authority numbers")
        constraints = unique_code("maker")

    def __str__(self) -> str:
        return f"{self.code} {self.value}"
