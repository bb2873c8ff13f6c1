"""Who may do what to a record: one table, asked by every action."""

from __future__ import annotations

from django.utils.translation import gettext as _

from .models import Root, User
from .models.choices import RecordState
from .models.users import Role

RANKING = (Role.READER, Role.SURVEYOR, Role.CURATOR, Role.EDITOR, Role.KEEPER)

LEAST_ROLE = {
    "create": Role.SURVEYOR,
    "change draft": Role.SURVEYOR,
    "change": Role.CURATOR,
    "submit": Role.SURVEYOR,
    "return": Role.EDITOR,
    "release": Role.EDITOR,
    "withdraw": Role.EDITOR,
    "merge": Role.EDITOR,
    "make edition": Role.EDITOR,
    "decide on dangers": Role.EDITOR,
    "preview": Role.EDITOR,
    "read history": Role.SURVEYOR,
    "see what is not translated": Role.EDITOR,
    "change vocabulary": Role.KEEPER,
    "change people": Role.KEEPER,
}
"""The least role for each verb. A surveyor changes drafts only; a curator any record."""


class NotAllowed(Exception):
    """Somebody asked for what their role does not let them do."""


def at_least(user: User | None, role: str) -> bool:
    """Whether a person's role is this one or a higher one."""
    if user is None or not user.is_active or not user.is_authenticated:
        return False
    return user.is_superuser or RANKING.index(Role(user.role)) >= RANKING.index(Role(role))


def is_allowed(user: User | None, verb: str, root: Root | None = None) -> bool:
    """Whether a person may do this to this record."""
    if verb == "change" and root is not None and root.state == RecordState.DRAFT:
        verb = "change draft"
    return at_least(user, LEAST_ROLE[verb])


def require(user: User | None, verb: str, root: Root | None = None) -> None:
    """Raise `NotAllowed`, naming the role that would be needed."""
    if not is_allowed(user, verb, root):
        if verb == "change" and root is not None and root.state == RecordState.DRAFT:
            verb = "change draft"
        raise NotAllowed(
            _("You may not do this (%(verb)s). It needs the role %(role)s; ask a keeper.")
            % {"verb": verb, "role": Role(LEAST_ROLE[verb]).value}
        )


def person_at_the_console(name: str, verb: str) -> User:
    """Who acts when a command is typed: the person named, or the only one who may do this."""
    able = [user for user in User.objects.order_by("username") if is_allowed(user, verb)]
    if name:
        for user in able:
            if user.username == name:
                return user
        raise NotAllowed(
            _("“%(name)s” may not do this (%(verb)s) or is nobody who signs in. Who may: %(able)s.")
            % {"name": name, "verb": verb, "able": ", ".join(user.username for user in able) or _("nobody")}
        )
    if len(able) != 1:
        raise NotAllowed(
            _("Say with --by NAME who does this (%(verb)s): %(able)s.")
            % {"verb": verb, "able": ", ".join(user.username for user in able) or _("nobody may yet")}
        )
    return able[0]
