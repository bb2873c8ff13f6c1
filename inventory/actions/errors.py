"""Why an action was refused, with what a person needs to go on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from inventory.models import Root
from inventory.roles import NotAllowed

__all__ = ["ActionError", "Clash", "NotAllowed", "StaleRecord", "WrongState"]


class ActionError(Exception):
    """Root of every refusal."""


class WrongState(ActionError):
    """The record's state does not allow this step."""


@dataclass(frozen=True)
class Clash:
    """One field that two people have in hand: what it was, what one wants, what the other saved."""

    path: str
    was: Any
    mine: Any
    theirs: Any

    @property
    def is_contested(self) -> bool:
        """Whether both changed it, and differently."""
        return self.mine != self.theirs and self.theirs != self.was and self.mine != self.was


class StaleRecord(ActionError):
    """Somebody saved the record in between. Nothing was saved; both versions are here."""

    def __init__(self, root: Root, wanted: int, found: int, clashes: list[Clash], who: str) -> None:
        super().__init__(
            _(
                "%(record)s was changed by %(who)s while you worked on it (you have version %(wanted)s, it is "
                "now at %(found)s). Nothing of yours was saved; compare both versions and save again."
            )
            % {"record": root.reference, "who": who, "wanted": wanted, "found": found}
        )
        self.root, self.wanted, self.found, self.clashes, self.who = root, wanted, found, clashes, who
