"""A person as `inventory.visibility` sees them, for whole lists and documents at once.

The rule stays in `visibility`; here it is asked for many records and all fields of a model
in a fixed number of queries.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db.models import Model, Q, QuerySet

from .models import Confidence, Consent, Instrument, Root, User
from .models.choices import Audience
from .visibility import audience_of, group_of, includes, public_fields, readable, shows

SHOWN_CONSENT = ("given", "not needed")
"""Answers to *may this picture be shown?* that let everybody see it."""


@dataclass(frozen=True)
class Reader:
    """Who reads: their audience, and the records whose confidence they were given."""

    user: User | None
    audience: Audience
    named: frozenset[tuple[str, str]] = frozenset()
    """Kind and reference of each record of which this person is a named person."""

    @property
    def is_outside(self) -> bool:
        """Whether this person only reads: what is hidden is then as if it were not there."""
        return self.audience in (Audience.PUBLIC, Audience.SIGNED_IN)

    def audience_for(self, kind: str, reference: str) -> Audience:
        """The widest audience this person belongs to, for one record."""
        return Audience.NAMED if (kind, reference) in self.named else self.audience

    def may_know(self, kind: str, reference: str, state: str, audience: str) -> bool:
        """Whether a record is shown to this person."""
        return shows(self.audience_for(kind, reference), state, audience)

    def records(self, model: type[Root]) -> QuerySet[Any]:
        """The records of one kind that this person may read, by reference."""
        return model.objects.filter(readable(self.user, model.kind_name())).order_by("reference")

    def reads_row(self, audience: str) -> Q:
        """Rows, at the end of a path, whose own audience includes this person."""
        return Q(**{f"{audience}__in": [one for one in Audience.values if includes(self.audience, one)]})


def reader_of(user: Any) -> Reader:
    """Read a person's confidences once."""
    audience = audience_of(user)
    if audience in (Audience.PUBLIC, Audience.NAMED):
        return Reader(user, audience)
    found = Confidence.objects.filter(user=user).values_list("root_kind", "reference")
    return Reader(user, audience, frozenset(found))


@cache
def readable_fields(
    model: type[Model], audience: Audience, consented: frozenset[str] = frozenset()
) -> tuple[str, ...]:
    """Names of the fields of a model that an audience may read, in the model's order; never the key."""
    if audience == Audience.PUBLIC:
        return public_fields(model, consented)
    return tuple(
        field.name
        for field in (*model._meta.concrete_fields, *model._meta.many_to_many)
        if not field.primary_key and includes(audience, group_of(model, field.name).audience)
    )


def standing_consents(root: Root) -> frozenset[str]:
    """Field groups that somebody allowed to be published for this record."""
    if not isinstance(root, Instrument):
        return frozenset()
    return frozenset(Consent.objects.filter(instrument=root, withdrawn=False).values_list("group", flat=True))


def shows_picture(audience: Audience, licence: str, consent: str) -> bool:
    """Whether a picture may be shown: to everybody only with a licence and nobody's consent outstanding."""
    return audience != Audience.PUBLIC or (bool(licence) and consent in SHOWN_CONSENT)


def can_read_about(
    about: str, root: type[Model], kinds: Iterable[type[Model]], audience: Audience, consented: frozenset[str]
) -> bool:
    """Whether what a citation or claim speaks of (``name``, ``event:built#when``) may be read."""
    path, _hash, field = about.partition("#")
    kind, colon, _row = path.partition(":")
    if not colon:
        return not path or path in readable_fields(root, audience, consented)
    model = next((one for one in kinds if one._meta.model_name == kind), None)
    if model is None:
        return audience != Audience.PUBLIC
    fields = readable_fields(model, audience, consented)
    return "code" in fields and (not field or field in fields)
