"""Signing in and out, the password, the second factor, and taking up an invitation."""

from __future__ import annotations

from base64 import b64encode
from typing import Any

import qrcode
import qrcode.image.svg
from django import forms
from django.contrib import messages
from django.contrib.auth import login, update_session_auth_hash
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.contrib.auth.views import LoginView
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from inventory.actions import ActionError
from inventory.actions.people import accept_invitation, find_invitation, forget_second_factor
from inventory.actions.second_factors import confirm_device, start_device

from ..access import refuse, signed_in
from ..second_factor import ASK, answer, has_device, is_required, owed, settle


class SignInForm(AuthenticationForm):
    """Name and password; the same answer whichever of the two is wrong."""

    error_messages = {
        "invalid_login": gettext_lazy(
            "Name and password do not belong together. Mind capitals and small letters."
        ),
        "inactive": gettext_lazy(
            "Name and password do not belong together. Mind capitals and small letters."
        ),
    }


class SignIn(LoginView):
    """The one way in, for the workroom and for the admin."""

    template_name = "curating/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True


def safe_next(request: HttpRequest) -> str:
    """Where to go on: an address of this site, or home."""
    target = request.POST.get("next") or request.GET.get("next") or ""
    allowed = url_has_allowed_host_and_scheme(
        target, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return target if allowed else reverse("home")


def admin_door(request: HttpRequest) -> HttpResponse:
    """The admin's own sign-in is closed: everybody comes through ours, with its second factor."""
    target = request.GET.get("next") or reverse("admin:index")
    if request.user.is_authenticated:
        if request.user.is_staff:
            return redirect(safe_next(request))
        return refuse(request, _("The back office is for people the keepers have let in; ask one."))
    return redirect(reverse("sign-in") + "?" + urlencode({"next": target}))


def form_expired(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form whose secret token is out of date, as after signing in again in another window."""
    words = _("This form is too old to be taken. Go back, load the page again: what you typed is put back.")
    return refuse(request, words)


def unreadable(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """A request that cannot be taken apart, such as a file whose name is a megabyte long."""
    words = _(
        "What was sent could not be read: a name or a field is far too long. Shorten it and send again."
    )
    return refuse(request, words, 400)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def second_factor(request: HttpRequest) -> HttpResponse:
    """Ask for the code of a session that owes one."""
    if owed(request.session) != ASK:
        return redirect(safe_next(request))
    wrong = False
    if request.method == "POST":
        if answer(request, request.POST.get("code", "")[:32]):
            return redirect(safe_next(request))
        wrong = True
    context = {"wrong": wrong, "next": safe_next(request)}
    return render(request, "curating/second_factor.html", context, status=422 if wrong else 200)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def second_factor_setup(request: HttpRequest) -> HttpResponse:
    """Show the secret to a telephone, and take it into use once its first code is right."""
    if owed(request.session) == ASK:
        return redirect("second-factor")
    wrong = False
    if request.method == "POST" and "code" in request.POST:
        codes = confirm_device(request.user, request.POST["code"][:32])
        if codes:
            settle(request)
            return render(request, "curating/spare_codes.html", {"codes": codes, "next": safe_next(request)})
        wrong = True
    context: dict[str, Any] = {
        "wrong": wrong,
        "next": safe_next(request),
        "has_device": has_device(request.user),
    }
    if request.method == "POST":
        device = request.user.totpdevice_set.filter(confirmed=False).first() if wrong else None
        device = device or start_device(request.user)
        context["secret"] = _secret(device)
        context["picture"] = _picture(device.config_url)
    return render(request, "curating/second_factor_setup.html", context, status=422 if wrong else 200)


def _secret(device: Any) -> str:
    from base64 import b32encode

    text = b32encode(device.bin_key).decode()
    return " ".join(text[place : place + 4] for place in range(0, len(text), 4))


def _picture(text: str) -> str:
    """The code as an SVG in a data address: the policy allows pictures, not markup from elsewhere."""
    drawn = qrcode.make(text, image_factory=qrcode.image.svg.SvgPathFillImage, border=2)
    return "data:image/svg+xml;base64," + b64encode(drawn.to_string()).decode()


@require_POST
@signed_in
def second_factor_forget(request: HttpRequest) -> HttpResponse:
    """Give up one's own second factor, with the password, where the role does not need one."""
    if is_required(request.user):
        return refuse(request, _("Your role must have a second factor. Set up a new one instead."))
    if not request.user.check_password(request.POST.get("password", "")):
        return refuse(request, _("That is not your password; nothing was changed."), 422)
    forget_second_factor(request.user, by=request.user)
    messages.success(request, _("The second factor is forgotten."))
    return redirect("account")


@sensitive_post_parameters()
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def account(request: HttpRequest) -> HttpResponse:
    """One's own account: the password and the second factor."""
    form = PasswordChangeForm(request.user, request.POST or None)
    form.fields["new_password1"].help_text = _(
        "At least twelve letters: several words in a row are easiest to keep."
    )
    if request.method == "POST" and form.is_valid():
        form.save()
        update_session_auth_hash(request, request.user)
        messages.success(
            request, _("The password is changed; other places you were signed in are signed out.")
        )
        return redirect("account")
    context = {"form": form, "has_device": has_device(request.user), "is_required": is_required(request.user)}
    return render(request, "curating/account.html", context)


class InvitationForm(forms.Form):
    """A name to sign in with, and a password typed twice."""

    full_name = forms.CharField(label=gettext_lazy("Your name"), max_length=200)
    username = forms.CharField(label=gettext_lazy("Name to sign in with"), max_length=60)
    password = forms.CharField(
        label=gettext_lazy("Password"),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=gettext_lazy("At least twelve letters: several words in a row are easiest to keep."),
    )
    again = forms.CharField(
        label=gettext_lazy("Password again"),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if cleaned.get("password") != cleaned.get("again"):
            self.add_error("again", _("The two passwords differ."))
        return cleaned


@sensitive_post_parameters()
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def take_up_invitation(request: HttpRequest, token: str) -> HttpResponse:
    """The page an invitation's link opens."""
    invitation = find_invitation(token)
    if invitation is None:
        return refuse(request, _("This link was used, withdrawn or is too old; ask for a new one."), 410)
    form = InvitationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            user = accept_invitation(
                token,
                username=form.cleaned_data["username"],
                password=form.cleaned_data["password"],
                full_name=form.cleaned_data["full_name"],
            )
        except ActionError as refused:
            return refuse(request, str(refused), 410)
        except ValidationError as refused:
            _say(form, refused)
        else:
            login(request, user, backend="django.contrib.auth.backends.ModelBackend")
            return redirect("help", page="tour")
    return render(request, "curating/invitation.html", {"form": form, "invitation": invitation})


def _say(form: forms.Form, refused: ValidationError) -> None:
    if hasattr(refused, "error_dict"):
        for name, errors in refused.error_dict.items():
            form.add_error(name if name in form.fields else None, errors)
    else:
        form.add_error("password", refused)
