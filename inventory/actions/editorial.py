"""The way of a record: draft → in review → released → withdrawn; and merging one into another."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.models import Instrument, Root, User
from inventory.models.choices import RecordState
from inventory.roles import require

from .differences import Difference
from .errors import ActionError, WrongState
from .records import _raise_version, _remember

STEPS: Mapping[str, tuple[frozenset[str], str]] = {
    "submit": (frozenset({RecordState.DRAFT}), RecordState.IN_REVIEW),
    "return": (frozenset({RecordState.IN_REVIEW, RecordState.RELEASED}), RecordState.DRAFT),
    "release": (frozenset({RecordState.IN_REVIEW, RecordState.RELEASED}), RecordState.RELEASED),
    "withdraw": (frozenset(RecordState.values) - {RecordState.WITHDRAWN}, RecordState.WITHDRAWN),
}
"""For each step: the states it may start from, and the state it leads to."""


def submit_for_review(root: Root, *, version: int, by: User, why: str = "") -> Root:
    """Ask an editor to look at a draft."""
    return _step(root, "submit", version=version, by=by, why=why)


def return_to_draft(root: Root, *, version: int, by: User, why: str) -> Root:
    """Give a record back to be worked on; it leaves the catalogue at the next export."""
    if not why.strip():
        raise ActionError(_("Say what has to be done before it can be released."))
    return _step(root, "return", version=version, by=by, why=why)


def release(root: Root, *, version: int, by: User, why: str = "") -> Root:
    """Let a reviewed record be shown to its audience; of a released one, accept later changes."""
    return _step(
        root,
        "release",
        version=version,
        by=by,
        why=why,
        released_version=version + 1,
        released_on=timezone.localdate(),
    )


def withdraw(root: Root, *, version: int, by: User, because: str) -> Root:
    """Take a record out of the catalogue for good; its address keeps a page that says why."""
    if not because.strip():
        raise ActionError(_("Say why the record is withdrawn: the reason is printed in its place."))
    return _step(
        root, "withdraw", version=version, by=by, why=because, withdrawn_because=because.strip()[:300]
    )


def merge(root: Instrument, into: Instrument, *, version: int, by: User, because: str) -> Instrument:
    """Two records turn out to be one instrument: this one is withdrawn and points to the other."""
    require(by, "merge", root)
    if root.pk == into.pk or into.state == RecordState.WITHDRAWN:
        raise ActionError(_("A record is merged into another one that is not withdrawn."))
    return _step(
        root,
        "withdraw",
        version=version,
        by=by,
        why=because,
        merged_into=into,
        withdrawn_because=because[:300],
    )


def _step(root: Root, step: str, *, version: int, by: User, why: str, **fields: Any) -> Any:
    require(by, step, root)
    starts, target = STEPS[step]
    with transaction.atomic():
        now = type(root).objects.get(pk=root.pk)
        if now.state not in starts:
            raise WrongState(
                _("%(record)s is %(state)s; this step starts from: %(starts)s.")
                % {
                    "record": now.reference,
                    "state": now.get_state_display(),
                    "starts": ", ".join(str(RecordState(state).label) for state in sorted(starts)),
                }
            )
        found = [Difference("state", str(now.state), str(target))]
        found += [Difference(name, None, _plain(value)) for name, value in fields.items()]
        _raise_version(now, version, found, state=target, **fields)
        now.refresh_from_db()
        _remember(now, step, by, why, found)
    return now


def _plain(value: Any) -> Any:
    """A set value as history keeps it."""
    return value if isinstance(value, int | str) else str(getattr(value, "reference", value))
