"""Records of every kind and state, and programs that act as each role."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from django.core.cache import cache

from inventory.actions import change_record, create_record
from inventory.models import Source
from tests.factory import (
    add_shared_rank,
    make_instrument,
    make_maker,
    make_place,
    make_public,
    make_term,
)
from tests.inventory.api.asking import Program

ROLES = ("anonymous", "reader", "surveyor", "curator", "editor", "keeper")


@pytest.fixture(autouse=True)
def _nobody_has_asked_yet():
    """Requests are counted in the cache; each test starts anew."""
    cache.clear()


@pytest.fixture
def programs(people):
    """A program for each role, signed in by session."""
    return SimpleNamespace(
        anonymous=Program(),
        **{role: Program(getattr(people, role)) for role in ROLES[1:]},
    )


def make_source(by, **fields):
    kind = fields.pop("kind", None) or make_term("source", f"letter-{Source.objects.count()}")
    defaults = {"reference": f"SRC-T{Source.objects.count():04d}", "name": "A letter"}
    return create_record(Source(**{**defaults, **fields}, kind=kind), by=by)


MAKERS = {
    "places": make_place,
    "makers": make_maker,
    "sources": make_source,
    "instruments": make_instrument,
}


@pytest.fixture
def records(people):
    """Of each kind: a draft of the surveyor, one of the keeper, a public one, a confidential released one."""
    made = {}
    for plural, make in MAKERS.items():
        own, other = make(people.surveyor), make(people.keeper)
        public, named = make(people.surveyor), make(people.surveyor)
        if plural == "instruments":
            for one in (own, other, public, named):
                add_shared_rank(one, people.curator)
                one.refresh_from_db()
        public = make_public(public, people.editor)
        named = make_public(named, people.editor)
        named.audience = "named"
        named = change_record(named, version=named.version, by=people.keeper, put=[named])
        made[plural] = {"own": own, "other": other, "public": public, "named": named}
    return made
