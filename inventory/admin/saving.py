"""How the admin saves: through actions, with the version the person saw; a stale save shows both versions."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib import admin
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import models
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext_lazy as _

from inventory.actions import ActionError, NotAllowed, StaleRecord, change_record, create_record
from inventory.models import Belonging, Root
from inventory.roles import is_allowed
from inventory.visibility import audience_of, can_read, group_of, includes

VERSION = "record_version"


class RecordForm(forms.ModelForm):
    """A form that carries the version of the record it was filled from, and why it is changed."""

    record_version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    why_changed = forms.CharField(
        label=_("Why"), required=False, max_length=300, help_text=_("One line for the history.")
    )

    refusals: tuple[str, ...] = ()
    """What an action said against this save; set by the admin when it shows the form again."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial[VERSION] = self.instance.get_root().version

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for message in self.refusals:
            self.add_error(None, message)
        return cleaned


class RecordAdmin(admin.ModelAdmin):
    """A root record, or a row of one with rows of its own: saved by `change_record`, never deleted."""

    form = RecordForm
    change_form_template = "admin/inventory/record_form.html"
    list_per_page = 50

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        form = super().get_form(request, obj, change, **kwargs)
        form.refusals = getattr(request, "record_refusals", ())
        return form

    def get_fields(self, request: HttpRequest, obj: Any = None) -> list[str]:
        """Every field the person may read; the version and the reason at the end."""
        fields = [name for name in super().get_fields(request, obj) if name not in (VERSION, "why_changed")]
        if obj is not None:
            fields = [name for name in fields if can_read(request.user, obj, name)]
        return [*fields, "why_changed", VERSION]

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return bool(request.user.is_active) and (obj is None or can_read(request.user, obj))

    def has_module_permission(self, request: HttpRequest) -> bool:
        return bool(request.user.is_active)

    def has_add_permission(self, request: HttpRequest) -> bool:
        return is_allowed(request.user, "create")

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        if obj is None:
            return is_allowed(request.user, "create")
        return is_allowed(request.user, "change", obj.get_root()) and can_read(request.user, obj)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Records are withdrawn, not deleted; rows are taken away on the page of their record."""
        return False

    def save_model(self, request: HttpRequest, obj: models.Model, form: RecordForm, change: bool) -> None:
        """Nothing yet: the record is saved as a whole, with its rows, in `save_related`."""

    def save_related(self, request: HttpRequest, form: RecordForm, formsets: Any, change: bool) -> None:
        put, remove, links = [form.instance], [], []
        for formset in formsets:
            put += formset.save(commit=False)
            remove += formset.deleted_objects
            formset.save_m2m = lambda: None
            links += [
                (one.instance, field.name, list(one.cleaned_data[field.name]))
                for one in formset.forms
                if one.has_changed() and not one.cleaned_data.get("DELETE")
                for field in one.instance._meta.many_to_many
                if field.name in one.cleaned_data
            ]
        root = form.instance.get_root()
        why = form.cleaned_data.get("why_changed", "")
        if not change and isinstance(root, Root) and root.pk is None:
            create_record(root, by=request.user, why=why, put=put[1:], links=links)
            return
        version = form.cleaned_data.get(VERSION)
        change_record(
            root,
            version=root.version if version is None else version,
            by=request.user,
            why=why,
            put=put,
            remove=remove,
            links=links,
        )

    def changeform_view(
        self, request: HttpRequest, object_id: Any = None, form_url: str = "", extra_context: Any = None
    ) -> HttpResponse:
        try:
            return super().changeform_view(request, object_id, form_url, extra_context)
        except StaleRecord as stale:
            self._take_over_theirs(request, object_id, stale)
            request.record_refusals = (str(stale),)  # type: ignore[attr-defined]
            context = {
                **(extra_context or {}),
                "clashes": [c for c in stale.clashes if c.mine != c.was or c.theirs != c.was],
            }
            return super().changeform_view(request, object_id, form_url, context)
        except NotAllowed as refused:
            raise PermissionDenied(str(refused)) from None
        except (ActionError, ValidationError) as refused:
            messages = refused.messages if isinstance(refused, ValidationError) else [str(refused)]
            request.record_refusals = tuple(messages)  # type: ignore[attr-defined]
            return super().changeform_view(request, object_id, form_url, extra_context)

    def _take_over_theirs(self, request: HttpRequest, object_id: str, stale: StaleRecord) -> None:
        """Keep what the person typed; where they had not touched a field, show what the other saved."""
        post = request.POST.copy()
        post[VERSION] = str(stale.found)
        now = self.get_object(request, object_id)
        untouched = {clash.path for clash in stale.clashes if clash.mine == clash.was != clash.theirs}
        fresh = self.get_form(request, now, change=True)(instance=now)
        for name in fresh.fields:
            path = name if isinstance(now, Root) else f"{now.path_in_root()}#{name}"
            if path in untouched:
                post[name] = _as_posted(fresh[name].value())
        for formset_class, _inline in self.get_formsets_with_inlines(request, now):
            formset = formset_class(instance=now)
            for place in range(int(post.get(f"{formset.prefix}-TOTAL_FORMS") or 0)):
                key = post.get(f"{formset.prefix}-{place}-id")
                one = next((f for f in formset.forms if str(f.instance.pk) == key), None)
                if one is None or not isinstance(one.instance, Belonging):
                    continue
                for name in one.fields:
                    posted = f"{formset.prefix}-{place}-{name}"
                    if f"{one.instance.path_in_root()}#{name}" in untouched and posted in post:
                        post[posted] = _as_posted(one[name].value())
        request.POST = post  # type: ignore[assignment]


def _as_posted(value: Any) -> str:
    """A form value as a browser would send it."""
    return "" if value is None else str(value)


class RowInline(admin.TabularInline):
    """Rows of a record, on the record's page."""

    extra = 0
    show_change_link = True

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return True

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_allowed(request.user, "create")

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return obj is None or is_allowed(request.user, "change", obj.get_root())

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return self.has_change_permission(request, obj)

    def get_fields(self, request: HttpRequest, obj: Any = None) -> list[str]:
        fields = super().get_fields(request, obj)
        if obj is None:
            return fields
        return [name for name in fields if _may_read(request, obj, self.model, name)]


def _may_read(request: HttpRequest, obj: Any, model: type[models.Model], field: str) -> bool:
    return includes(audience_of(request.user, obj.get_root()), group_of(model, field).audience)
