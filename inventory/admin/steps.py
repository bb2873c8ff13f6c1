"""Steps of the editorial way as actions of the admin's lists."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import admin, messages
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory import actions
from inventory.models import Root


def _each(
    request: HttpRequest, model_admin: admin.ModelAdmin, chosen: QuerySet, step: Callable[[Root], Any]
) -> None:
    """Take a step with each record by itself: one that refuses does not hold up the others."""
    done = 0
    for root in chosen.order_by("reference"):
        try:
            step(root)
            done += 1
        except (actions.ActionError, actions.NotAllowed) as refused:
            model_admin.message_user(request, f"{root.reference}: {refused}", messages.ERROR)
    if done:
        model_admin.message_user(request, _("%(n)s records done.") % {"n": done}, messages.SUCCESS)


@admin.action(description=gettext_lazy("Ask for review"))
def submit_for_review(model_admin: admin.ModelAdmin, request: HttpRequest, chosen: QuerySet) -> None:
    _each(
        request,
        model_admin,
        chosen,
        lambda root: actions.submit_for_review(root, version=root.version, by=request.user),
    )


@admin.action(description=gettext_lazy("Release"))
def release(model_admin: admin.ModelAdmin, request: HttpRequest, chosen: QuerySet) -> None:
    _each(
        request,
        model_admin,
        chosen,
        lambda root: actions.release(root, version=root.version, by=request.user),
    )


@admin.action(description=gettext_lazy("Return to draft"))
def return_to_draft(model_admin: admin.ModelAdmin, request: HttpRequest, chosen: QuerySet) -> None:
    why = _("returned from the list; see the editor's note")
    _each(
        request,
        model_admin,
        chosen,
        lambda root: actions.return_to_draft(root, version=root.version, by=request.user, why=why),
    )


STEPS = [submit_for_review, release, return_to_draft]
