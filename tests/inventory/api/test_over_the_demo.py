"""The whole demo as the API tells it: loaded once, asked for everything by a stranger and by the team."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import transaction

from inventory.api.kinds import ROOTS, row_kinds
from inventory.api.throttles import AnonymousReading, AnonymousSums
from inventory.models import Instrument, User
from inventory.models.evidence import AboutRecord, Consent
from inventory.visibility import public_fields
from tests.inventory.api.asking import Program
from tests.inventory.api.test_openapi import described


@pytest.fixture(scope="module")
def loaded(django_db_setup, django_db_blocker):
    """The demo collection, inside one transaction that is taken back."""
    with django_db_blocker.unblock(), transaction.atomic():
        call_command("loaddata", "vocabularies", "demo", verbosity=0)
        yield
        transaction.set_rollback(True)


@pytest.fixture
def demo(loaded, db, monkeypatch):
    """Nobody counts how often it is asked for."""
    monkeypatch.setattr(AnonymousReading, "allow_request", lambda self, request, view: True)
    monkeypatch.setattr(AnonymousSums, "allow_request", lambda self, request, view: True)


def test_everybody_reads_exactly_the_public_fields_of_rows(demo):
    """Over the whole demo: of each kind of row the names shown are those visibility gives to everybody."""
    program, seen = Program(), set()
    for plural, model in ROOTS.items():
        kinds = row_kinds(model)
        for reference in model.objects.public().values_list("reference", flat=True):
            document = program.get(f"{plural}/{reference}").json()
            consented = frozenset(
                Consent.objects.filter(instrument__reference=reference, withdrawn=False).values_list(
                    "group", flat=True
                )
                if model is Instrument
                else ()
            )
            for name, rows in document["rows"].items():
                kind = kinds[name]
                public = set(public_fields(kind.model, consented))
                above = {"instrument", "maker", "place"} if issubclass(kind.model, AboutRecord) else set()
                above |= {kind.to_root.split("__")[0]}
                for row in rows:
                    kept = document["kept_rows"].get(kind.path(tuple(row[step] for step in kind.key)), {})
                    assert {*row, *kept} - set(kind.key) == public - above - set(kind.key), name
                    seen.add(name)
    assert len(seen) >= 20, seen


def test_a_stranger_who_asks_for_everything_is_told_nothing_private(demo):
    """Words planted in every private field of the demo, and references of hidden records, appear nowhere."""
    planted = Path(__file__).resolve().parents[3] / "fixtures" / "canaries.json"
    words = {
        text for text in _strings(json.loads(planted.read_text(encoding="utf-8"))) if text.startswith("zq-")
    }
    assert len(words) > 50
    hidden = {
        reference
        for model in ROOTS.values()
        for reference in set(model.objects.values_list("reference", flat=True))
        - set(model.objects.public().values_list("reference", flat=True))
    }
    assert hidden
    program, pages = Program(), 0
    for plural, model in ROOTS.items():
        addresses = [f"{plural}?limit=200", f"{plural}?limit=200&order=-reference"]
        for reference in model.objects.values_list("reference", flat=True):
            addresses.append(f"{plural}/{reference}")
            if model is Instrument:
                addresses += [f"{plural}/{reference}/scheme", f"{plural}/{reference}/evaluation"]
        for address in addresses:
            answer = program.get(address)
            text = answer.content.decode()
            assert answer.status_code in (200, 404), address
            assert not [word for word in words if word in text], address
            assert not [one for one in hidden if f'"{one}"' in text], address
            pages += answer.status_code == 200
    assert pages > 100


def _strings(value):
    if isinstance(value, dict):
        return [text for pair in value.items() for one in pair for text in _strings(one)]
    if isinstance(value, list):
        return [text for one in value for text in _strings(one)]
    return [value] if isinstance(value, str) else []


def test_a_canary_that_is_shown_would_be_found(demo):
    """The control of the test above: the team does read the planted words."""
    from inventory.models import User

    team = Program(User.objects.create_user("team", role="keeper"))
    text = "".join(team.get(f"instruments/{r}").content.decode() for r in ("ORG-0001", "ORG-0002"))
    assert "zq-" in text


def test_records_of_the_demo_are_as_described(demo):
    keeper = Program(User.objects.create_user("keeper", role="keeper"))
    for plural, model in ROOTS.items():
        found = model.objects.order_by("reference").values_list("reference", flat=True)
        for reference in found[: 6 if plural == "instruments" else 3]:
            answer = keeper.get(f"{plural}/{reference}")
            assert described(answer, "get", f"{plural}/{{reference}}") == [], reference
