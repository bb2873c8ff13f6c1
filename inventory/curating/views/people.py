"""People: who may sign in as what, and invitations. For keepers."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from inventory.actions.people import change_person, forget_second_factor, invite, withdraw_invitation
from inventory.models import Invitation, Role, User
from inventory.roles import require

from ..access import signed_in


class InviteForm(forms.Form):
    """For whom, and as what."""

    for_whom = forms.CharField(label=gettext_lazy("For whom"), max_length=120)
    role = forms.ChoiceField(label=gettext_lazy("As"), choices=Role.choices, initial=Role.SURVEYOR)


class PersonForm(forms.Form):
    """Role and access of one person."""

    role = forms.ChoiceField(label=gettext_lazy("Role"), choices=Role.choices)
    is_active = forms.BooleanField(label=gettext_lazy("May sign in"), required=False)
    why = forms.CharField(label=gettext_lazy("Why (for the history)"), required=False, max_length=300)


@require_GET
@signed_in
def show(request: HttpRequest) -> HttpResponse:
    """Everybody, and the invitations that are open."""
    require(request.user, "change people")
    context = {
        "people": User.objects.order_by("-is_active", "username"),
        "invitations": Invitation.objects.open().select_related("invited_by"),
        "form": InviteForm(),
    }
    return render(request, "curating/people.html", context)


@require_POST
@signed_in
def add_invitation(request: HttpRequest) -> HttpResponse:
    """Make a link and show it, once."""
    require(request.user, "change people")
    form = InviteForm(request.POST)
    if not form.is_valid():
        context = {"people": User.objects.order_by("username"), "invitations": [], "form": form}
        return render(request, "curating/people.html", context, status=422)
    invitation, token = invite(by=request.user, **form.cleaned_data)
    link = request.build_absolute_uri(reverse("invitation", kwargs={"token": token}))
    return render(request, "curating/invited.html", {"invitation": invitation, "link": link})


@require_POST
@signed_in
def remove_invitation(request: HttpRequest, key: int) -> HttpResponse:
    """Make a link worthless."""
    require(request.user, "change people")
    withdraw_invitation(get_object_or_404(Invitation, pk=key), by=request.user)
    messages.success(request, _("The link no longer works."))
    return redirect("people")


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def edit(request: HttpRequest, username: str) -> HttpResponse:
    """One person's role and access."""
    require(request.user, "change people")
    person = get_object_or_404(User, username=username)
    initial = {"role": person.role, "is_active": person.is_active}
    form = PersonForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        change_person(person, by=request.user, **form.cleaned_data)
        messages.success(request, _("Saved."))
        return redirect("people")
    return render(request, "curating/person.html", {"form": form, "person": person})


@require_POST
@signed_in
def forget_device(request: HttpRequest, username: str) -> HttpResponse:
    """For somebody who lost the telephone."""
    require(request.user, "change people")
    forget_second_factor(get_object_or_404(User, username=username), by=request.user)
    messages.success(request, _("The second factor is forgotten; a new one is set up at the next sign-in."))
    return redirect("people")
