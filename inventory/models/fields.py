"""Fields of our own: the uncertain date, kept as written with the days it can mean beside it."""

from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.text import format_lazy
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from inventory.edtf import EdtfDate, EdtfError, parse_edtf, suggest_edtf

WRITING_GUIDE = _(
    "1840 · about: 1840~ · perhaps: 1840? · one of two years: [1841,1842] · in one unknown year between: "
    "[1840..1850] · lasted from, to: 1840/1850 · the 1840s: 184X · before or in: [..1760] · "
    "since, still: 1902/.. · since, end unknown: 1902/"
)


def validate_edtf(text: str) -> None:
    """Refuse a text that is no EDTF date, saying why."""
    try:
        parse_edtf(text.strip())
    except EdtfError as error:
        candidates = suggest_edtf(text, gettext).candidates
        if not candidates:
            raise ValidationError(gettext(error.template), code="edtf", params=error.values)
        listed = " · ".join(f"{candidate.edtf} ({candidate.words})" for candidate in candidates)
        raise ValidationError(
            gettext("“%(text)s” is not written as EDTF. Did you mean: %(listed)s?"),
            code="edtf",
            params={"text": text.strip(), "listed": listed},
        )


def edtf_columns(name: str, text: str) -> dict[str, Any]:
    """The four column values of a date field, for `QuerySet.update()`, which knows no companions."""
    text = (text or "").strip()
    value: EdtfDate | None = parse_edtf(text) if text else None
    return {
        name: text,
        f"{name}_earliest": value.earliest if value else None,
        f"{name}_latest": value.latest if value else None,
        f"{name}_sort": value.sort_key if value else None,
    }


class _Companion:
    """A column an `EdtfField` fills; migrations see the plain field, and it is never added twice."""

    plain: str

    def contribute_to_class(self, cls: type[models.Model], name: str, **kwargs: Any) -> None:
        if any(field.name == name for field in cls._meta.local_fields):
            return  # tables rebuilt from a list of fields name the companions a second time
        super().contribute_to_class(cls, name, **kwargs)  # type: ignore[misc]

    def deconstruct(self) -> tuple[str, str, list[Any], dict[str, Any]]:
        name, _path, args, kwargs = super().deconstruct()  # type: ignore[misc]
        return name, self.plain, args, kwargs


class _CompanionDate(_Companion, models.DateField):
    plain = "django.db.models.DateField"


class _CompanionNumber(_Companion, models.BigIntegerField):
    plain = "django.db.models.BigIntegerField"


class EdtfField(models.CharField):
    """A date as written (EDTF), with days `<name>_earliest`, `<name>_latest` and number `<name>_sort`.

    The companions are nullable and filled when a record is saved, loaded from a fixture or created in bulk.
    `QuerySet.update()`, `bulk_update()` and `save(update_fields=…)` must name them: see `edtf_columns`.
    """

    description = _("Uncertain date (EDTF)")
    default_validators = [validate_edtf]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 100)
        kwargs.setdefault("blank", True)
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> tuple[str, str, list[Any], dict[str, Any]]:
        """Say every option that differs from an ordinary text field's, so that migrations never guess."""
        name, path, args, kwargs = super().deconstruct()
        kwargs.setdefault("blank", False)
        return name, path, args, kwargs

    def contribute_to_class(self, cls: type[models.Model], name: str, **kwargs: Any) -> None:
        super().contribute_to_class(cls, name, **kwargs)
        # Abstract models hand the field down; historical ones (of migrations) list the companions themselves.
        if cls._meta.abstract or cls.__module__ == "__fake__":
            return
        for suffix, label, kind in (
            ("earliest", _("earliest day"), _CompanionDate),
            ("latest", _("latest day"), _CompanionDate),
            ("sort", _("sorting number"), _CompanionNumber),
        ):
            label = format_lazy("{date}: {what}", date=self.verbose_name, what=label)
            companion = kind(label, null=True, blank=True, editable=False)
            companion.contribute_to_class(cls, f"{name}_{suffix}")
        # Fixtures are saved raw, without pre_save of the fields; the signal reaches them too.
        models.signals.pre_save.connect(
            self._fill_before_save,
            sender=cls,
            dispatch_uid=f"edtf:{cls.__module__}.{cls.__qualname__}.{name}",
        )

    def _fill_before_save(self, instance: models.Model, **_kwargs: Any) -> None:
        self.fill(instance)

    def fill(self, instance: models.Model) -> None:
        """Compute the companions of one record; raises `EdtfError` if its text is no date."""
        if self.attname not in instance.__dict__:
            return  # deferred: not loaded, so not changed
        for name, value in edtf_columns(self.attname, getattr(instance, self.attname)).items():
            setattr(instance, name, value)

    def pre_save(self, model_instance: models.Model, add: bool) -> Any:
        """Fill the companions: their columns stand after this one, so they are read afterwards."""
        self.fill(model_instance)
        return getattr(model_instance, self.attname)

    def to_python(self, value: Any) -> Any:
        """Text without blanks around it; a `date` is taken as its ISO text."""
        if isinstance(value, date):
            value = value.isoformat()
        value = super().to_python(value)
        return value.strip() if isinstance(value, str) else value

    def formfield(self, **kwargs: Any) -> Any:
        """A text box whose help says how to write uncertain dates."""
        help_text = format_lazy("{own} {guide}", own=self.help_text, guide=WRITING_GUIDE)
        return super().formfield(**{"help_text": help_text if self.help_text else WRITING_GUIDE, **kwargs})
