"""Saving a form: through the action, with the version; both texts kept where two people met."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.http import HttpRequest, QueryDict
from django.utils.translation import gettext as _

from inventory.actions import ActionError, Clash, StaleRecord, change_record
from inventory.models import Belonging, FieldState, Root

from .forms import VERSION, WHY, RecordForm, is_about_record, make_form, new_code, state_rows
from .parts import Reader

KEEP = "keep-"
TRIES = 3


@dataclass
class Conflict:
    """What two people made of the same fields; the reader chooses field by field."""

    who: str
    found: int
    clashes: list[Clash]
    data: QueryDict
    is_gone: bool = False


@dataclass
class Outcome:
    """What became of a form."""

    form: RecordForm
    saved: Root | None = None
    conflict: Conflict | None = None
    also: str = ""
    """Who else changed other fields meanwhile; both changes stand."""


@dataclass
class Editor:
    """One form of a record: the root's own fields, or those of one row."""

    request: HttpRequest
    root: Root
    find: Callable[[], models.Model]
    """The row as it is now in the database, or a new one."""
    fields: Iterable[str]
    says_why_empty: bool = False
    siblings: models.QuerySet | None = None
    extra: list[models.Model] = field(default_factory=list)

    @property
    def reader(self) -> Reader:
        return Reader.of(self.request.user, self.root)

    def form(self, data: Mapping[str, Any] | None = None, instance: models.Model | None = None) -> RecordForm:
        instance = instance or self.find()
        states = {about: row.state for about, row in self._states().items()} if self._explains() else None
        files = self.request.FILES if data is not None else None
        return make_form(instance, self.fields, self.reader, self.root, data=data, files=files, states=states)

    def _explains(self) -> bool:
        return self.says_why_empty and is_about_record(self.root)

    def _states(self) -> dict[str, FieldState]:
        found = FieldState.objects.filter(**{self.root.kind_name(): self.root})
        return {row.about: row for row in found}

    def save(self) -> Outcome:
        """Save what was posted. Fields the person left alone take the other's value by themselves."""
        data = self._settle_choices(self.request.POST.copy())
        also = ""
        for _attempt in range(TRIES):
            form = self.form(data)
            if not form.is_valid():
                return Outcome(form)
            try:
                saved = self._change(form)
            except StaleRecord as stale:
                conflict = self._compare(stale, data)
                if conflict is not None:
                    return Outcome(form, conflict=conflict)
                also = stale.who
                self._take_untouched(stale, data)
                continue
            except ValidationError as refused:
                _add_errors(form, refused)
                return Outcome(form)
            return Outcome(form, saved=saved, also=also)
        raise ActionError(_("The record changes too quickly; try again in a moment."))

    def _change(self, form: RecordForm) -> Root:
        row = form.instance
        if isinstance(row, Belonging) and not row.code and self.siblings is not None:
            row.code = new_code(row, self.siblings)
        put, remove = ([], [])
        if self._explains():
            put, remove = state_rows(form, self.root, self._states())
        root = row if isinstance(row, Root) else self.root
        return change_record(
            root,
            version=form.cleaned_data[VERSION],
            by=self.request.user,
            why=form.cleaned_data[WHY],
            put=[row, *put],
            remove=remove,
        )

    def _path(self, instance: models.Model, name: str) -> str:
        return f"{instance.path_in_root()}#{name}" if isinstance(instance, Belonging) else name

    def _settle_choices(self, data: QueryDict) -> QueryDict:
        """Where the person chose the other's text, it takes the place of their own."""
        now = self.form()
        for key in [key for key in data if key.startswith(KEEP)]:
            name = key.removeprefix(KEEP)
            if data[key] == "theirs" and name in now.fields:
                _post(data, name, now[name].value())
            del data[key]
        return data

    def _compare(self, stale: StaleRecord, data: QueryDict) -> Conflict | None:
        """The fields of this form that both changed; None where there is nothing to choose."""
        now = self.find()
        if now.pk is None and self._is_of_old_row(data):
            return Conflict(stale.who, stale.found, [], data, is_gone=True)
        mine = {self._path(now, name) for name in self.form(instance=now).fields}
        contested = [clash for clash in stale.clashes if clash.is_contested and clash.path in mine]
        return Conflict(stale.who, stale.found, contested, data) if contested else None

    def _is_of_old_row(self, data: QueryDict) -> bool:
        return bool(data.get("row_was_there")) and isinstance(self.find(), Belonging)

    def _take_untouched(self, stale: StaleRecord, data: QueryDict) -> None:
        now = self.find()
        fresh = self.form(instance=now)
        untouched = {clash.path for clash in stale.clashes if clash.mine == clash.was != clash.theirs}
        for name in fresh.fields:
            if self._path(now, name) in untouched:
                _post(data, name, fresh[name].value())
        data[VERSION] = str(stale.found)


def _post(data: QueryDict, name: str, value: Any) -> None:
    """Put a form value where a browser would have sent it."""
    if value in (None, "", False):
        data.pop(name, None)
        if value is not False:
            data[name] = ""
    else:
        data[name] = "on" if value is True else str(value)


def _add_errors(form: RecordForm, refused: ValidationError) -> None:
    """What the action said, beside the field it speaks of where the form has it."""
    if hasattr(refused, "error_dict"):
        for name, errors in refused.error_dict.items():
            form.add_error(name if name in form.fields else None, errors)
    else:
        form.add_error(None, refused)
