"""What every row has in common: natural keys, roots with a version, rows that belong to a root."""

from __future__ import annotations

from typing import Any, ClassVar, Self

from django.core.exceptions import ObjectDoesNotExist, ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from .choices import Audience, RecordState
from .shapes import check_shapes

CODE = RegexValidator(
    r"\A[A-Za-z0-9._-]{1,64}\Z",
    _("Write 1 to 64 letters without accents, digits, points, hyphens or underscores."),
)


def walk(row: models.Model, path: str) -> Any:
    """The value at the end of a look-up path such as ``specification__instrument__reference``."""
    value: Any = row
    for step in path.split("__"):
        value = getattr(value, step)
    return value


class NaturalQuerySet(models.QuerySet):
    """Rows found by what a person knows them by, so that fixtures survive renumbering."""

    def get_by_natural_key(self, *parts: Any) -> models.Model:
        return self.get(**dict(zip(self.model.natural, parts, strict=True)))


class NaturalModel(models.Model):
    """A row with a natural key: the values of the look-ups in `natural`."""

    natural: ClassVar[tuple[str, ...]] = ()
    objects = NaturalQuerySet.as_manager()

    class Meta:
        abstract = True

    def natural_key(self) -> tuple[Any, ...]:
        return tuple(walk(self, path) for path in self.natural)


class RootQuerySet(NaturalQuerySet):
    """Questions that every root record can be asked."""

    def released(self) -> Self:
        return self.filter(state=RecordState.RELEASED)

    def public(self) -> Self:
        """Released records that everybody may read, by reference."""
        return self.released().filter(audience=Audience.PUBLIC).order_by("reference")

    def changed_since_release(self) -> Self:
        """Released records that somebody changed after an editor last looked."""
        return self.released().filter(version__gt=models.F("released_version")).order_by("reference")

    def waiting_for_review(self) -> Self:
        return self.filter(state=RecordState.IN_REVIEW).order_by("reference")

    def without_text_in(self, language: str) -> Self:
        """Public records with a summary or note, but none in another language, by reference."""
        name = self.model.translated  # type: ignore[attr-defined]
        return self.public().exclude(**{name: ""}).filter(**{f"{name}_{language}": ""})

    def by_reference(self, reference: str) -> models.Model:
        return self.get(reference=reference)


class Root(NaturalModel):
    """A record that is released, cited and locked as a whole. Changed only by `inventory.actions`."""

    reference = models.CharField(
        _("reference"),
        max_length=64,
        unique=True,
        validators=[CODE],
        help_text=_("Stable and never used again, even after the record is withdrawn. Example: ORG-0012."),
    )
    version = models.PositiveIntegerField(_("version"), default=1, editable=False)
    state = models.CharField(
        _("state"), max_length=12, choices=RecordState, default=RecordState.DRAFT, editable=False
    )
    audience = models.CharField(
        _("who may know of it"),
        max_length=10,
        choices=Audience,
        default=Audience.TEAM,
        help_text=_("Private unless you say otherwise. Only records for everybody reach the catalogue."),
    )
    released_version = models.PositiveIntegerField(
        _("version last released"), null=True, blank=True, editable=False
    )
    released_on = models.DateField(_("last released on"), null=True, blank=True, editable=False)
    withdrawn_because = models.CharField(_("withdrawn because"), max_length=300, blank=True, editable=False)

    natural = ("reference",)
    do_not_call_in_templates = True
    """Pages speak of kinds of record: without this a template makes a new record of the kind at each word."""
    objects = RootQuerySet.as_manager()

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(condition=models.Q(version__gte=1), name="%(class)s_version_from_1"),
            models.CheckConstraint(
                condition=models.Q(state__in=RecordState.values), name="%(class)s_state_known"
            ),
            models.CheckConstraint(
                condition=models.Q(audience__in=Audience.values), name="%(class)s_audience_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.reference} {getattr(self, 'name', '')}".strip()

    @classmethod
    def kind_name(cls) -> str:
        """The word for this kind of record in paths and history, such as ``instrument``."""
        return str(cls._meta.model_name)

    def get_root(self) -> Root:
        return self


class Belonging(NaturalModel):
    """A row that belongs to a root record: changing it changes the root's version."""

    root_path: ClassVar[str] = "instrument"
    """Look-up path from this row to its root."""

    class Meta:
        abstract = True

    def get_root(self) -> Root:
        root: Root = walk(self, self.root_path)
        return root

    def clean(self) -> None:
        """Rows of one record do not point into another: a segment asks ranks of its own specification."""
        super().clean()
        check_shapes(self)
        for field in self._meta.concrete_fields:
            if not field.is_relation or getattr(self, field.attname) is None:
                continue
            other = getattr(self, field.name)
            if not isinstance(other, Belonging):
                continue
            mine, theirs = scope_of(self), scope_of(other)
            if mine is not None and theirs is not None and mine != theirs:
                raise ValidationError(
                    {
                        field.name: _("%(other)s belongs to %(scope)s; choose one from here.")
                        % {"other": other, "scope": theirs}
                    }
                )

    def path_in_root(self) -> str:
        """Where this row stands in its root, such as ``stop:as-found/great.flute-8``."""
        steps = [str(part) for part in self.natural_key()[1:]]
        return f"{self._meta.model_name}:{'/'.join(steps)}"


def scope_of(row: Belonging) -> models.Model | None:
    """The specification a row stands in, or None where it stands in none (or is not complete yet)."""
    steps = row.natural[0].split("__") if row.natural else []
    if "specification" not in steps:
        return None
    try:
        found: models.Model = walk(row, "__".join(steps[: steps.index("specification") + 1]))
    except (AttributeError, ObjectDoesNotExist):
        return None
    return found


def code_field(help_text: Any = "") -> models.CharField:
    """A short name that identifies a row inside its parent."""
    return models.CharField(
        _("code"),
        max_length=64,
        validators=[CODE],
        help_text=help_text or _("Short, unique here, never changed: letters, digits, points, hyphens."),
    )


def unique_code(*fields: str) -> list[models.BaseConstraint]:
    """A code is unique inside its parent, in the database."""
    return [models.UniqueConstraint(fields=[*fields, "code"], name="%(class)s_code_unique")]
