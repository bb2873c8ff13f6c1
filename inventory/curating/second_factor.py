"""The second factor: whether a signed-in session still owes its code, and how it is answered."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth.signals import user_logged_in
from django.contrib.sessions.backends.base import SessionBase
from django_otp import verify_token
from django_otp.plugins.otp_static.models import StaticDevice
from django_otp.plugins.otp_totp.models import TOTPDevice

from inventory.models import User

OWED = "second_factor"
ASK, ENROL = "ask", "enrol"


def is_required(user: User) -> bool:
    """Whether this person's role must have a second factor."""
    return user.role in settings.SECOND_FACTOR_FOR or (user.is_superuser and bool(settings.SECOND_FACTOR_FOR))


def has_device(user: User) -> bool:
    """Whether this person has set one up."""
    return TOTPDevice.objects.filter(user=user, confirmed=True).exists()


def owed(session: SessionBase) -> str:
    """What this session still owes: nothing, a code, or setting one up."""
    return str(session.get(OWED, ""))


def note_at_sign_in(request: Any, user: User, **_kwargs: Any) -> None:
    """Every way of signing in passes here, the admin's included."""
    request.session[OWED] = ASK if has_device(user) else ENROL if is_required(user) else ""


user_logged_in.connect(note_at_sign_in, dispatch_uid="second-factor")


def answer(request: Any, code: str) -> bool:
    """Check a code, one-time or spare; wrong ones are slowed down by the device itself."""
    code = code.replace(" ", "").strip()
    for device in (*TOTPDevice.objects.filter(user=request.user, confirmed=True), *_spare(request.user)):
        if verify_token(request.user, device.persistent_id, code):
            settle(request)
            return True
    return False


def settle(request: Any) -> None:
    """The session owes nothing more; it gets a new key."""
    request.session[OWED] = ""
    request.session.cycle_key()


def _spare(user: User) -> list[StaticDevice]:
    return list(StaticDevice.objects.filter(user=user, confirmed=True))
