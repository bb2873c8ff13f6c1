"""What a record's page is made of: parts, groups of the record's own fields, kinds of rows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import models
from django.utils.functional import Promise

from inventory.models import Root, User
from inventory.models.choices import Audience
from inventory.visibility import audience_of, group_of, includes, shows

Words = str | Promise


@dataclass(frozen=True)
class Reader:
    """Who looks, and how far into this record."""

    user: User
    audience: Audience

    @classmethod
    def of(cls, user: User, root: Root) -> Reader:
        return cls(user, audience_of(user, root))

    def may_read(self, model: type[models.Model], name: str) -> bool:
        """Whether a field of a kind of row is for this reader."""
        return includes(self.audience, group_of(model, name).audience)

    def may_know(self, root: Root | None) -> bool:
        """Whether another record that is named here may be named to this reader."""
        if root is None:
            return False
        audience = self.audience if self.audience == Audience.NAMED else audience_of(self.user)
        return shows(audience, root.state, root.audience)

    def may_read_row(self, row: models.Model) -> bool:
        """Whether a row is for this reader: some rows narrow who may read them."""
        return includes(self.audience, getattr(row, "audience", Audience.PUBLIC))


@dataclass(frozen=True)
class FieldGroup:
    """Fields of the root that are shown and edited together."""

    code: str
    title: Words
    fields: tuple[str, ...]
    help: Words = ""
    says_why_empty: bool = True
    """Whether an empty field may say why: not accessible, looked for and absent, unknown."""


@dataclass(frozen=True)
class RowKind:
    """One kind of row of a record: how it is listed and edited."""

    name: str
    """In addresses, such as ``events``."""
    model: type[models.Model]
    title: Words
    one: Words
    """As in: add *an event*."""
    fields: tuple[str, ...]
    within: str = ""
    """The name of the field that holds the row's parent row, where that is not the record itself."""
    related: tuple[str, ...] = ()
    help: Words = ""
    verb: str = "change"
    """What somebody must be allowed to do to write such rows."""
    shown: tuple[str, ...] | None = None
    """Fields shown beside the row's title; all of `fields` where None."""


Gather = Callable[[Root, Reader], Mapping[str, Any]]


def _nothing(_root: Root, _reader: Reader) -> Mapping[str, Any]:
    return {}


@dataclass(frozen=True)
class Part:
    """One part of a record's page."""

    code: str
    title: Words
    kind: type[Root]
    groups: tuple[FieldGroup, ...] = ()
    rows: tuple[RowKind, ...] = ()
    template: str = "curating/parts/plain.html"
    gather: Gather = field(default=_nothing)
    lead: Words = ""
    is_fetched_later: bool = False
    """Parts further down are fetched after the page is there, so that it opens at once."""
