"""People: invited by a link that works once, given a role, put on leave; every step in the history."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core import signing
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.models import Change, Invitation, Role, User
from inventory.roles import at_least, require

from .errors import ActionError
from .second_factors import remove_devices

SALT = "inventory.invitation"
GOOD_FOR_DAYS = 7


def invite(*, by: User, for_whom: str, role: str) -> tuple[Invitation, str]:
    """Invite somebody; returns the invitation and the signed token of its link, shown once."""
    require(by, "change people")
    invitation = Invitation(
        for_whom=for_whom.strip(),
        role=role,
        invited_by=by,
        until=timezone.now() + timedelta(days=GOOD_FOR_DAYS),
    )
    invitation.full_clean()
    invitation.save()
    return invitation, signing.dumps(invitation.pk, salt=SALT)


def withdraw_invitation(invitation: Invitation, *, by: User) -> None:
    """Make a link worthless before it is used."""
    require(by, "change people")
    Invitation.objects.filter(pk=invitation.pk, used_on__isnull=True).update(withdrawn=True)


def find_invitation(token: str) -> Invitation | None:
    """The invitation a link stands for, if it can still be taken up."""
    try:
        key = signing.loads(token, salt=SALT, max_age=timedelta(days=GOOD_FOR_DAYS))
    except signing.BadSignature:
        return None
    return Invitation.objects.open().filter(pk=key).first()


def accept_invitation(token: str, *, username: str, password: str, full_name: str = "") -> User:
    """Make the account an invitation promises. Of two people with one link, one gets through."""
    invitation = find_invitation(token)
    if invitation is None:
        raise ActionError(_("This link was used, withdrawn or is too old; ask for a new one."))
    first, _blank, last = full_name.strip().partition(" ")
    user = User(username=username, role=invitation.role, first_name=first[:150], last_name=last[:150])
    # The back office is open to those who may use it; what they may do there their role decides.
    user.is_staff = at_least(user, Role.CURATOR)
    validate_password(password, user)
    user.set_password(password)
    user.full_clean()
    with transaction.atomic():
        user.save()
        taken = (
            Invitation.objects.open().filter(pk=invitation.pk).update(used_on=timezone.now(), used_by=user)
        )
        if taken != 1:
            raise ActionError(_("This link was used just now; ask for a new one."))
        _remember(user, "accept invitation", user, {"role": [None, user.role]})
    return user


def change_person(user: User, *, by: User, role: str, is_active: bool, why: str = "") -> User:
    """Give a person another role, or end or renew their access."""
    require(by, "change people")
    if user.pk == by.pk and (role != user.role or not is_active):
        raise ActionError(
            _("Another keeper must change your own role: the collection may not lose its last keeper.")
        )
    found = {
        name: [old, new]
        for name, old, new in (("role", user.role, role), ("is_active", user.is_active, is_active))
        if old != new
    }
    if not found:
        return user
    user.role, user.is_active = Role(role).value, is_active
    user.is_staff = user.is_superuser or at_least(user, Role.CURATOR)
    with transaction.atomic():
        user.save(update_fields=["role", "is_active", "is_staff"])
        _remember(user, "change person", by, found, why)
    return user


def forget_second_factor(user: User, *, by: User) -> None:
    """Forget the devices of somebody who lost theirs; they set up a new one when they sign in."""
    if user.pk != by.pk:
        require(by, "change people")
    with transaction.atomic():
        remove_devices(user)
        _remember(user, "forget second factor", by, {})


def _remember(user: User, action: str, who: User, found: dict[str, list[Any]], why: str = "") -> None:
    reference = f"user-{user.pk}"
    last = Change.objects.filter(root_kind="user", reference=reference).count()
    Change.objects.create(
        root_kind="user",
        reference=reference,
        version=last + 1,
        action=action,
        who=who,
        why=why[:300],
        fields=[{"path": name, "old": old, "new": new} for name, (old, new) in found.items()],
    )
