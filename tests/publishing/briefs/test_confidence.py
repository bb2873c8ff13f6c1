"""A word in every field of every model: none that is private gets into a brief unless asked for and marked."""

from __future__ import annotations

import pytest
from django.apps import apps

from inventory.models import Consent, CostLine, Instrument, Package, Passage
from inventory.models.users import Role
from inventory.visibility import group_of
from publishing.briefs.brief import make_brief
from publishing.briefs.identification import make_identification_sheet
from publishing.disclosure.briefs import ASKED
from tests.publishing.briefs.reading import text_of
from tests.publishing.canaries import Planter, World

READERS = ("owner", "donor")
"""A grant body gets the sections of an owner, in another order."""


@pytest.fixture
def planted(house):
    """One complete instrument; its package is chosen, so that everything a brief could tell is at hand."""
    planter = Planter()
    world = World(planter, "public")
    world.get(Package).__class__.objects.update(chosen=True)
    Passage.objects.update(accepted=True)
    return planter, world, world.get(Instrument)


def group_name(canary):
    model, _point, column = canary.field.partition(".")
    return group_of(apps.get_model("inventory", model), column)


def told(planter, pdf):
    """Planted words that stand in the document."""
    text = text_of(pdf).replace(" ", "")
    return {
        canary for canary in planter.canaries if any(form.replace(" ", "") in text for form in canary.forms)
    }


def leaked(found, allowed):
    """Words of groups that are neither public nor allowed."""
    return {
        canary.field
        for canary in found
        for group in [group_name(canary)]
        if (group.audience != "public" or group.needs_consent) and group.name not in allowed
    }


@pytest.mark.parametrize("reader", READERS)
def test_without_consent_a_brief_tells_what_everybody_may_know_and_what_is_made_for_it(planted, reader):
    planter, world, root = planted
    Consent.objects.all().delete()
    found = told(planter, make_brief(root.reference, reader=reader))
    assert not leaked(found, {"briefs"})
    fields = {canary.field for canary in found}
    assert {"instrument.name", "instrument.summary", "costline.printed_as"} <= fields


def test_with_consents_condition_and_works_come_along(planted):
    planter, world, root = planted
    for group in ("condition", "works"):
        Consent.objects.create(instrument=root, code=group, group=group, given_by="x", when="2020")
    found = told(planter, make_brief(root.reference))
    assert not leaked(found, {"briefs", "condition", "works"})
    assert {"package.target_state", "phase.name", "survey.findings", "funding.printed_as"} <= {
        c.field for c in found
    }


@pytest.mark.parametrize("reader", READERS)
def test_a_confidential_brief_tells_no_owner_value_store_access_person_or_size(planted, reader):
    planter, world, root = planted
    Consent.objects.all().delete()
    CostLine.objects.update(printed_as="")
    made = make_brief(root.reference, reader=reader, confidential=True)
    found = told(planter, made)
    assert not leaked(found, ASKED | {"briefs"})
    assert "costline.text" in {canary.field for canary in found}
    assert "costline.basis" not in {canary.field for canary in found}
    assert "Confidential: for the owner and the team" in text_of(made)


def test_a_brief_with_and_without_the_private_facts_is_the_same(planted):
    planter, world, root = planted
    before = make_brief(root.reference)
    Instrument.objects.filter(pk=root.pk).update(
        owner="changed", value_estimate="changed", store="changed", access_note="x"
    )
    CostLine.objects.update(text="changed", basis="changed")
    assert make_brief(root.reference) == before


def test_the_identification_sheet_names_no_value_store_access_or_person(planted, people):
    planter, world, root = planted
    pdf = make_identification_sheet(root, people.editor, "en")
    found = told(planter, pdf)
    groups = {group_name(canary).name for canary in found}
    assert not groups & {"values", "stores", "access", "persons", "owners", "position", "openings", "hazards"}
    assert {"materials", "identity"} <= groups
    assert "Private" in text_of(pdf)


def test_a_reader_of_lower_rank_would_get_less(planted, people):
    planter, world, root = planted
    people.reader.role = Role.READER
    groups = {
        group_name(one).name for one in told(planter, make_identification_sheet(root, people.reader, "en"))
    }
    assert not groups & {"materials", "sizes"}


def test_what_hides_in_a_photograph_does_not_come_along(planted):
    planter, world, root = planted
    photograph = root.photographs.first()
    assert photograph.file.size
    made = make_brief(root.reference)
    hidden = [c for c in planter.canaries if "inside the original" in c.where]
    assert hidden and not any(form.encode() in made for canary in hidden for form in canary.forms)
