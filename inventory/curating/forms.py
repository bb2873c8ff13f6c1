"""Forms for the fields of a record or of one of its rows; they know what the reader may see."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.actions.texts import LONGEST_TEXT
from inventory.models import Belonging, FieldState, Root, Term
from inventory.models.choices import Knowledge
from inventory.models.evidence import AboutRecord
from inventory.models.fields import EdtfField
from inventory.models.searching import plain_words
from inventory.saying_anew import field_in_words
from inventory.visibility import readable

from .date_fields import DateField
from .field_help import FIELD_HELP
from .parts.values import Reader

VERSION, WHY = "record_version", "why_changed"
EMPTY = "why_empty-"
MOST_LETTERS_OF_A_NAME = 300
"""More than any name and reference together; the database compares no names of a megabyte."""


class RecordChoiceInput(forms.TextInput):
    """A text box that proposes records while one types; without scripts a reference or a full name does."""

    template_name = "curating/widgets/record_choice.html"
    kind = ""

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        context["widget"]["kind"] = self.kind
        context["widget"]["choose"] = reverse("choose", kwargs={"kind": self.kind})
        context["widget"]["list_id"] = f"{context['widget']['attrs'].get('id', name)}-list"
        context["widget"]["attrs"] |= {"list": context["widget"]["list_id"], "autocomplete": "off"}
        return context


class RecordChoiceField(forms.CharField):
    """A record named by its reference, or by its name where only one has it."""

    widget = RecordChoiceInput

    def __init__(self, *, model: type[Root], reader: Reader, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.model, self.reader = model, reader
        self.widget.kind = model

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int):
            value = self.model._default_manager.filter(pk=value).first()
        if isinstance(value, Root):
            return f"{value.reference} {getattr(value, 'name', '')}".strip()
        return value

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value).strip()
        if not text:
            return None
        if len(text) > MOST_LETTERS_OF_A_NAME:
            raise ValidationError(
                _("This is too long: a reference or a name has at most %(most)d letters.")
                % {"most": MOST_LETTERS_OF_A_NAME}
            )
        found = self.model._default_manager.filter(readable(self.reader.user, self.model.kind_name()))
        root = found.filter(reference=text.split()[0]).first()
        if root is not None:
            return root
        named = list(found.filter(name__iexact=text)[:2])
        if len(named) == 1:
            return named[0]
        if named:
            raise ValidationError(
                _("More than one is called “%(text)s”: write its reference.") % {"text": text}
            )
        raise ValidationError(_("No record is called “%(text)s”. Choose one from the list.") % {"text": text})

    def has_changed(self, initial: Any, data: Any) -> bool:
        return str(self.prepare_value(initial) or "") != str(data or "")

    def run_validators(self, value: Any) -> None:
        """It is a record by now."""


class RecordForm(forms.ModelForm):
    """Carries the version it was filled from, and why it is changed."""

    record_version = forms.IntegerField(widget=forms.HiddenInput)
    why_changed = forms.CharField(
        label=gettext_lazy("Why (for the history)"),
        required=False,
        max_length=300,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def own_fields(self) -> list[forms.BoundField]:
        """The fields of the record, with the reason for being empty beneath each that may have one."""
        shown = []
        for bound in self:
            if bound.name in (VERSION, WHY) or bound.name.startswith(EMPTY):
                continue
            name = EMPTY + bound.name
            bound.why_empty = self[name] if name in self.fields else None
            shown.append(bound)
        return shown


def make_form(
    instance: models.Model,
    fields: Iterable[str],
    reader: Reader,
    root: Root,
    *,
    data: Mapping[str, Any] | None = None,
    files: Any = None,
    states: Mapping[str, str] | None = None,
) -> RecordForm:
    """The form of these fields of a row or record, less those the reader may not see.

    With `states`, each field that may be empty can say why it is.
    """
    model = type(instance)
    names = [
        name
        for name in fields
        if (reader.may_read(model, name) or _is_needed_now(instance, name))
        and _may_name(instance, name, reader)
    ]

    def one_field(db_field: models.Field, **kwargs: Any) -> forms.Field | None:
        return _form_field(db_field, reader, root, **kwargs)

    kind = forms.modelform_factory(model, form=RecordForm, fields=names, formfield_callback=one_field)
    form = kind(
        data, files, instance=instance, initial={VERSION: root.version}, auto_id=f"id-{_slug(instance)}-%s"
    )
    for name, words in FIELD_HELP.items():
        if name in form.fields and not form.fields[name].help_text:
            form.fields[name].help_text = words
    for name in names if states is not None else ():
        if model._meta.get_field(name).blank and name in form.fields:
            form.fields[EMPTY + name] = forms.ChoiceField(
                label=_("If empty, why"),
                required=False,
                choices=[("", _("not looked at")), *_reasons()],
                initial=states.get(name, ""),
            )
    return form


def _is_needed_now(instance: models.Model, name: str) -> bool:
    """A new row cannot be without it: whoever makes the row writes it, though only others read it afterwards."""
    return (
        instance.pk is None and isinstance(instance, Belonging) and not instance._meta.get_field(name).blank
    )


def _may_name(instance: models.Model, name: str, reader: Reader) -> bool:
    """A field that names a record the reader may not know of is left as it is, unseen."""
    field = instance._meta.get_field(name)
    if not isinstance(field, models.ForeignKey) or not issubclass(field.related_model, Root):
        return True
    return getattr(instance, field.attname) is None or reader.may_know(getattr(instance, name))


def _reasons() -> list[tuple[str, Any]]:
    """Reasons for an empty field; not having looked is what an empty field means anyway."""
    return [
        (value, label)
        for value, label in Knowledge.choices
        if value not in (Knowledge.PRESENT, Knowledge.NOT_LOOKED_AT)
    ]


def _slug(instance: models.Model) -> str:
    path = instance.path_in_root() if isinstance(instance, Belonging) and instance.pk else ""
    return re.sub("[^A-Za-z0-9]+", "-", path or f"new-{instance._meta.model_name}")


def _form_field(db_field: models.Field, reader: Reader, root: Root, **kwargs: Any) -> forms.Field | None:
    if isinstance(db_field, EdtfField):
        return DateField(
            label=_capital(field_in_words(db_field)),
            required=not db_field.blank,
            help_text=db_field.help_text,
            max_length=200,
        )
    if isinstance(db_field, models.ForeignKey):
        related = db_field.related_model
        if issubclass(related, Root):
            return RecordChoiceField(
                model=related,
                reader=reader,
                label=_capital(field_in_words(db_field)),
                required=not db_field.blank,
                help_text=db_field.help_text,
            )
        if issubclass(related, Belonging):
            kwargs["queryset"] = related._default_manager.filter(**{related.root_path: root})
        elif issubclass(related, Term):
            kwargs["queryset"] = Term.objects.of(db_field.get_limit_choices_to()["vocabulary"]).filter(
                retired=False
            )
            kwargs["limit_choices_to"] = None
    if isinstance(db_field, models.TextField):
        kwargs["max_length"] = db_field.max_length or LONGEST_TEXT
        kwargs["widget"] = forms.Textarea(attrs={"rows": 4})
    found = db_field.formfield(**kwargs)
    if isinstance(found, forms.DecimalField | forms.IntegerField):
        # A plain text box with a number pad: number boxes swallow what they do not understand.
        found.widget = forms.TextInput(attrs={"inputmode": "decimal"})
    if found is not None and db_field.name == "about":
        found.label = _("About which field or row")
    return found


def _capital(words: Any) -> str:
    text = str(words)
    return text[:1].upper() + text[1:]


def new_code(row: Belonging, siblings: models.QuerySet) -> str:
    """A short code for a new row, made from its words, which nobody has to invent."""
    for name in ("name", "label", "kind", "when", "level", "option", "about", "text", "what"):
        words = str(getattr(row, name, "") or "")
        stem = re.sub(r"[^a-z0-9]+", "-", plain_words(words)).strip("-")[:40].strip("-")
        if stem:
            break
    else:
        stem = str(row._meta.model_name)
    taken = set(siblings.filter(code__startswith=stem).values_list("code", flat=True))
    number, code = 2, stem
    while code in taken:
        code, number = f"{stem}-{number}", number + 1
    return code


def state_rows(form: RecordForm, root: Root, states: Mapping[str, FieldState]) -> tuple[list, list]:
    """Rows that say why fields are empty: to be saved, and to be taken away."""
    put, remove = [], []
    for name in form.fields:
        if not name.startswith(EMPTY):
            continue
        field = name.removeprefix(EMPTY)
        wanted = form.cleaned_data[name] if form.cleaned_data.get(field) in (None, "") else ""
        row = states.get(field)
        if wanted and row is None:
            owner = {root.kind_name(): root}
            row = FieldState(about=field, code=f"empty-{field.replace('_', '-')}", **owner)
        if wanted and row is not None and row.state != wanted:
            row.state = wanted
            put.append(row)
        elif not wanted and row is not None:
            remove.append(row)
    return put, remove


def is_about_record(root: Root) -> bool:
    """Whether fields of this kind of record can say why they are empty."""
    return root.kind_name() in {field.name for field in AboutRecord._meta.get_fields()}
