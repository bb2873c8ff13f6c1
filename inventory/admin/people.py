"""People and confidences: for keepers."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from inventory.models import Confidence, User
from inventory.roles import is_allowed


class KeepersOnly:
    """Pages only keepers see."""

    def has_module_permission(self, request: HttpRequest) -> bool:
        return is_allowed(request.user, "change people")

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_allowed(request.user, "change people")

    def has_add_permission(self, request: HttpRequest) -> bool:
        return is_allowed(request.user, "change people")

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_allowed(request.user, "change people")

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(User)
class PersonAdmin(KeepersOnly, UserAdmin):
    list_display = ("username", "role", "is_active", "last_login")
    list_filter = ("role", "is_active")
    fieldsets = (
        (None, {"fields": ("username", "password")}),
        (_("Person"), {"fields": ("first_name", "last_name", "email")}),
        (pgettext_lazy("permissions", "May"), {"fields": ("role", "is_active", "is_staff")}),
    )
    add_fieldsets = (
        (None, {"fields": ("username", "usable_password", "password1", "password2", "role", "is_staff")}),
    )


@admin.register(Confidence)
class ConfidenceAdmin(KeepersOnly, admin.ModelAdmin):
    list_display = ("user", "root_kind", "reference", "given_because")
