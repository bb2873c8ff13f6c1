"""Vocabularies and the history."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.db import models
from django.http import HttpRequest

from inventory.actions.vocabularies import change_word
from inventory.models import Change, Criterion, Device, Term
from inventory.models.users import Role
from inventory.roles import at_least, is_allowed


class WordAdmin(admin.ModelAdmin):
    """A word of a vocabulary: everybody reads, keepers change; words are retired, not deleted."""

    def has_module_permission(self, request: HttpRequest) -> bool:
        return at_least(request.user, Role.SURVEYOR)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return at_least(request.user, Role.SURVEYOR)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_allowed(request.user, "change vocabulary")

    has_add_permission = has_change_permission

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def save_model(self, request: HttpRequest, obj: models.Model, form: Any, change: bool) -> None:
        change_word(obj, by=request.user)


@admin.register(Term)
class TermAdmin(WordAdmin):
    list_display = ("code", "vocabulary", "name", "retired")
    list_filter = ("vocabulary", "retired")
    search_fields = ("code", "names")


@admin.register(Device)
class DeviceAdmin(WordAdmin):
    list_display = ("code", "name", "non_return")
    list_filter = ("non_return",)
    search_fields = ("code", "names")


@admin.register(Criterion)
class CriterionAdmin(WordAdmin):
    list_display = ("code", "version", "judgement", "name")
    list_filter = ("version", "judgement")


@admin.register(Change)
class ChangeAdmin(admin.ModelAdmin):
    """The history: read only, for the team."""

    list_display = ("when", "root_kind", "reference", "version", "action", "who", "why")
    list_filter = ("root_kind", "action")
    search_fields = ("reference", "why")
    list_select_related = ("who",)

    def has_module_permission(self, request: HttpRequest) -> bool:
        return at_least(request.user, Role.KEEPER)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Whole, with every old value: for keepers. Others read a record's history on its page."""
        return at_least(request.user, Role.KEEPER)

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
