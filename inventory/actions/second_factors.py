"""Devices of the second factor: set up by the person, forgotten by the person or a keeper."""

from __future__ import annotations

from django.db import transaction
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from inventory.models import User

SPARE_CODES = 8


def start_device(user: User) -> TOTPDevice:
    """A device that counts only once its first code was typed."""
    TOTPDevice.objects.filter(user=user, confirmed=False).delete()
    return TOTPDevice.objects.create(user=user, name="telephone", confirmed=False)  # type: ignore[no-any-return]


@transaction.atomic
def confirm_device(user: User, code: str) -> list[str]:
    """Take a new device into use if its code is right: it replaces older ones. Returns spare codes."""
    device = TOTPDevice.objects.filter(user=user, confirmed=False).first()
    if device is None or not device.verify_token(code.replace(" ", "")):
        return []
    TOTPDevice.objects.filter(user=user, confirmed=True).delete()
    device.confirmed = True
    device.save()
    StaticDevice.objects.filter(user=user).delete()
    spare = StaticDevice.objects.create(user=user, name="spare codes", confirmed=True)
    codes = [StaticToken.random_token() for _number in range(SPARE_CODES)]
    StaticToken.objects.bulk_create(StaticToken(device=spare, token=code) for code in codes)
    return codes


@transaction.atomic
def remove_devices(user: User) -> None:
    """Forget a person's devices, as when a telephone is lost."""
    TOTPDevice.objects.filter(user=user).delete()
    StaticDevice.objects.filter(user=user).delete()
