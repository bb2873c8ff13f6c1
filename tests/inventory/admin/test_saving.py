"""The admin saves through actions: history, versions, stale saves, rights."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Change, Instrument, Specification, Stop
from tests.factory import add_shared_rank, make_instrument, make_public


def form_values(html: str) -> dict[str, str]:
    """What a browser would send from the page's form if nothing were typed."""
    from lxml import html as reader

    form = reader.fromstring(html).forms
    chosen = next(one for one in form if one.get("id", "").endswith("_form"))
    # A browser drops the line break that opens a text area; the parser keeps it.
    return {
        name: value.removeprefix("\n") for name, value in chosen.form_values() if not name.startswith("_")
    }


@pytest.fixture
def desk(people):
    """A signed-in client for each role."""
    made = {}
    for name, person in vars(people).items():
        person.is_staff = True
        person.save()
        made[name] = Client()
        made[name].force_login(person)
    return made


def address(row) -> str:
    return reverse(f"admin:inventory_{row._meta.model_name}_change", args=[row.pk])


def page(client: Client, row) -> str:
    answer = client.get(address(row))
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_save_in_the_admin_raises_the_version_and_is_remembered(people, desk):
    organ = make_instrument(people.surveyor)
    values = form_values(page(desk["curator"], organ)) | {"name": "Choir organ", "why_changed": "label read"}
    answer = desk["curator"].post(address(organ), values)
    assert answer.status_code == 302
    organ.refresh_from_db()
    assert (organ.name, organ.version) == ("Choir organ", 2)
    line = Change.objects.of(organ).first()
    assert line.who == people.curator and line.why == "label read"
    assert line.fields == [{"path": "name", "old": "Test organ", "new": "Choir organ"}]


def test_opening_and_saving_unchanged_changes_nothing(people, desk):
    organ = make_instrument(people.surveyor)
    add_shared_rank(organ, people.curator)
    organ.refresh_from_db()
    version = organ.version
    answer = desk["curator"].post(address(organ), form_values(page(desk["curator"], organ)))
    assert answer.status_code == 302
    organ.refresh_from_db()
    assert organ.version == version


def test_of_two_stale_saves_both_are_shown_and_the_typed_text_survives(people, desk):
    organ = make_instrument(people.surveyor, summary="old summary")
    mine = form_values(page(desk["curator"], organ))
    theirs = form_values(page(desk["editor"], organ)) | {"summary": "THEIR summary", "temperament": "THEIRS"}
    assert desk["editor"].post(address(organ), theirs).status_code == 302
    answer = desk["curator"].post(address(organ), mine | {"summary": "MY summary"})
    assert answer.status_code == 200
    html = answer.content.decode()
    assert "Two versions" in html and "MY summary" in html and "THEIR summary" in html
    assert str(people.editor) in html
    organ.refresh_from_db()
    assert (organ.summary, organ.version) == ("THEIR summary", 2)
    # The form now holds my text where I typed, and theirs where I had not touched the field.
    again = form_values(html)
    assert again["summary"] == "MY summary" and again["temperament"] == "THEIRS"
    assert desk["curator"].post(address(organ), again).status_code == 302
    organ.refresh_from_db()
    assert (organ.summary, organ.temperament, organ.version) == ("MY summary", "THEIRS", 3)


def test_a_stale_save_of_rows_is_refused_too(people, desk):
    organ = make_instrument(people.surveyor)
    specification = add_shared_rank(organ, people.curator)
    mine = form_values(page(desk["curator"], specification))
    theirs = form_values(page(desk["editor"], specification))
    label = next(name for name in mine if re.fullmatch(r"stops-0-label", name))
    assert desk["editor"].post(address(specification), theirs | {label: "THEIRS"}).status_code == 302
    answer = desk["curator"].post(address(specification), mine | {"name": "MY NAME"})
    assert answer.status_code == 200 and "THEIRS" in answer.content.decode()
    assert Stop.objects.filter(label="THEIRS").exists()
    assert not Specification.objects.filter(name="MY NAME").exists()
    again = form_values(answer.content.decode())
    assert again[label] == "THEIRS"
    assert desk["curator"].post(address(specification), again).status_code == 302
    assert Stop.objects.filter(label="THEIRS").exists()
    assert Specification.objects.filter(name="MY NAME").exists()


def test_a_new_record_with_its_rows_is_created_in_one_version(people, desk):
    add = reverse("admin:inventory_maker_add")
    values = form_values(desk["surveyor"].get(add).content.decode()) | {
        "reference": "MKR-9", "name": "A. Maker", "sort_name": "Maker, A.", "kind": "person",
        "names-TOTAL_FORMS": "1", "names-0-code": "a", "names-0-name": "A. Mäker",
    }  # fmt: skip
    answer = desk["surveyor"].post(add, values)
    assert answer.status_code == 302, answer.content.decode()[:2000]
    change = Change.objects.get(reference="MKR-9")
    assert change.version == 1
    assert "makername:a#name" in [entry["path"] for entry in change.fields]


def test_what_a_database_rule_refuses_is_said_and_the_typed_text_is_kept(people, desk):
    organ = make_instrument(people.surveyor)
    values = form_values(page(desk["curator"], organ)) | {"summary": "long text", "reference": "not allowed!"}
    answer = desk["curator"].post(address(organ), values)
    assert answer.status_code == 200 and "long text" in answer.content.decode()
    assert Instrument.objects.get().version == 1


def test_private_fields_are_shown_to_the_team_only_and_names_to_keepers(people, desk):
    organ = make_public(make_instrument(people.surveyor, owner="OWNER-X", contact="CONTACT-X"), people.editor)
    reader, curator, keeper = (page(desk[role], organ) for role in ("reader", "curator", "keeper"))
    assert "OWNER-X" not in reader and "CONTACT-X" not in reader
    assert "OWNER-X" in curator and "CONTACT-X" not in curator
    assert "OWNER-X" in keeper and "CONTACT-X" in keeper


def test_a_reader_cannot_change_a_record_and_nobody_can_delete_one(people, desk):
    organ = make_public(make_instrument(people.surveyor), people.editor)
    assert desk["reader"].post(address(organ), {"name": "x"}).status_code == 403
    delete = reverse("admin:inventory_instrument_delete", args=[organ.pk])
    assert desk["keeper"].post(delete, {"post": "yes"}).status_code == 403
    assert Instrument.objects.filter(pk=organ.pk, name="Test organ").exists()


def test_a_draft_is_not_shown_to_a_reader(people, desk):
    organ = make_instrument(people.surveyor)
    assert desk["reader"].get(address(organ)).status_code in (302, 403)


def test_releasing_from_the_list_goes_through_the_editorial_steps(people, desk):
    organ = make_instrument(people.surveyor)
    lists = reverse("admin:inventory_instrument_changelist")
    for role, step in (("surveyor", "submit_for_review"), ("curator", "release"), ("editor", "release")):
        desk[role].post(lists, {"action": step, "_selected_action": [organ.pk]})
    organ.refresh_from_db()
    assert organ.state == "released"
    assert [c.who.role for c in Change.objects.of(organ)] == ["editor", "surveyor", "surveyor"]


def test_every_list_and_every_page_of_the_admin_opens_for_a_keeper(people, desk):
    from django.contrib import admin as site

    organ = make_instrument(people.surveyor)
    add_shared_rank(organ, people.curator)
    for model, _page_of in site.site._registry.items():
        if model._meta.app_label != "inventory":
            continue
        name = model._meta.model_name
        assert desk["keeper"].get(reverse(f"admin:inventory_{name}_changelist")).status_code == 200, name
        row = model._default_manager.first()
        if row is not None:
            assert desk["keeper"].get(address(row)).status_code == 200, name
