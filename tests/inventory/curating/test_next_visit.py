"""The next visit: one form, one new survey with every part and every open defect, all or nothing."""

import pytest
from django.test import Client

from inventory.actions import change_record
from inventory.models import Change, Defect, DefectObservation, Instrument, Part, PartCondition, Survey
from tests.factory import make_instrument, make_term

VISIT = {"when": "2024-05", "level": "2", "surveyor": "S.", "limits": "The pedal chest."}


@pytest.fixture
def organ(people):
    root = make_instrument(people.curator)
    kind, leak = make_term("part", "bellows"), make_term("defect", "leak")
    bellows, table, roller = (
        Part(instrument=root, code=code, name=code.title(), kind=kind)
        for code in ("bellows", "table", "roller")
    )
    first, second = (
        Survey(instrument=root, code=year, when=year, level=2, surveyor="S.", limits="-")
        for year in ("1990", "2024")
    )
    seen = PartCondition(
        survey=first, code="b", part=bellows, looked_at="present", condition_class=2, urgency_class=1,
        playability="holds", note="One fold is patched.",
    )  # fmt: skip
    passed = PartCondition(survey=second, code="b", part=bellows, looked_at="not looked at")
    wind, worm = (
        Defect(instrument=root, code=code, kind=leak, where=code, part=bellows) for code in ("wind", "worm")
    )
    found = [
        DefectObservation(defect=wind, survey=first, code="1990", course="new", affected=3, out_of=9),
        DefectObservation(defect=worm, survey=first, code="1990", course="new"),
        DefectObservation(defect=worm, survey=second, code="2024", course="cured"),
    ]
    put = [bellows, table, roller, first, second, seen, passed, wind, worm, *found]
    change_record(root, version=root.version, by=people.curator, put=put)
    root.refresh_from_db()
    return root


@pytest.fixture
def desk(people):
    client = Client()
    client.force_login(people.curator)
    return client


def send(desk, organ, **answers):
    data = VISIT | {"record_version": str(organ.version)} | answers
    return desk.post(f"/instruments/{organ.reference}/next-visit/", data)


def test_the_form_lists_what_was_last_seen_and_only_open_defects(desk, organ):
    html = desk.get(f"/instruments/{organ.reference}/next-visit/").content.decode()
    assert "One fold is patched." in html and "1990" in html  # the later visit did not look at it
    assert 'name="defect-wind"' in html and 'name="defect-worm"' not in html
    assert html.count('value="not" checked') == 4  # nothing is answered for anybody
    assert html.count('value="same"') == 2  # nobody can confirm what nobody saw: two parts have it not


def test_confirmed_changed_and_not_looked_at_again_become_one_survey(desk, organ, people):
    version, changes = organ.version, Change.objects.filter(reference=organ.reference).count()
    answers = {
        "part-bellows": "same",
        "part-bellows-note": "typed, and then confirmed after all",
        "part-table": "changed",
        "part-table-looked_at": "present",
        "part-table-condition_class": "3",
        "part-table-note": "Cracked.",
        "defect-wind": "worse",
        "defect-wind-affected": "5",
        "defect-wind-out_of": "9",
    }
    assert send(desk, organ, **answers).status_code == 302
    organ.refresh_from_db()
    survey = Survey.objects.get(instrument=organ, code="2024-2")  # 2024 is another visit's
    parts = {one.part.code: one for one in survey.parts.all()}
    assert (parts["bellows"].looked_at, parts["bellows"].condition_class) == ("present", 2)
    assert parts["bellows"].note == "One fold is patched." and parts["bellows"].urgency_class == 1
    assert (parts["table"].condition_class, parts["table"].urgency_class) == (3, None)
    assert (parts["roller"].looked_at, parts["roller"].condition_class) == ("not looked at", None)
    observed = survey.observations.get()
    assert (observed.defect.code, observed.course, observed.affected, observed.out_of) == (
        "wind",
        "worse",
        5,
        9,
    )
    assert organ.version == version + 1
    history = Change.objects.filter(reference=organ.reference)
    assert history.count() == changes + 1 and history.last().who == people.curator


def test_what_is_not_touched_is_not_looked_at_again(desk, organ):
    assert send(desk, organ).status_code == 302
    survey = Survey.objects.get(instrument=organ, code="2024-2")
    assert {one.looked_at for one in survey.parts.all()} == {"not looked at"} and survey.parts.count() == 3
    assert survey.observations.get().course == "not looked at again"


NEW = {"new-1-kind": "leak", "new-1-where": "Bourdon, c¹–e¹", "new-1-part": "table", "new-1-affected": "5"}


def test_new_defects_are_saved_with_the_visit_that_saw_them(desk, organ):
    version = organ.version
    two = {
        "new-3-kind": "leak",
        "new-3-where": "Trunk",
        "new-3-cause": "Dry glue",
        "new-3-note": "Heard, not seen.",
    }
    assert send(desk, organ, **NEW, **two, **{"defect-wind": "same"}).status_code == 302
    survey = Survey.objects.get(instrument=organ, code="2024-2")
    found = {one.defect.code: one for one in survey.observations.all()}
    assert {code: one.course for code, one in found.items()} == {
        "wind": "same",
        "leak": "new",
        "leak-2": "new",
    }
    first, second = found["leak"], found["leak-2"]
    assert (first.defect.where, first.defect.part.code, first.affected) == ("Bourdon, c¹–e¹", "table", 5)
    assert (second.defect.cause, second.defect.part, second.note) == ("Dry glue", None, "Heard, not seen.")
    organ.refresh_from_db()
    assert organ.version == version + 1  # one change, with everything in it
    html = desk.get(f"/instruments/{organ.reference}/next-visit/").content.decode()
    assert 'name="defect-leak"' in html and 'name="defect-leak-2"' in html  # the next visit asks for them
    assert "Bourdon, c¹–e¹" in desk.get(f"/instruments/{organ.reference}/course/").content.decode()


def test_a_defect_written_down_before_keeps_its_code(desk, organ, people):
    there = Defect(instrument=organ, code="leak", kind=Defect.objects.first().kind, where="Elsewhere")
    change_record(organ, version=organ.version, by=people.curator, put=[there])
    organ.refresh_from_db()
    assert send(desk, organ, **NEW).status_code == 302
    assert set(organ.defects.values_list("code", flat=True)) == {"wind", "worm", "leak", "leak-2"}


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({"new-1-where": "Trunk"}, "Choose what kind of defect it is."),
        ({"new-1-kind": "never heard of", "new-1-where": "Trunk"}, "Choose what kind of defect it is."),
        ({"new-2-kind": "leak"}, "Say where it is"),
        (NEW | {"new-1-part": "of another organ"}, "not of this instrument"),
        (NEW | {"new-1-affected": "some"}, "“some” is no whole number"),
        (NEW | {"new-1-where": "x" * 201}, "200"),
        ({"limits": ""}, "put right what is marked"),
        ({"part-table": "same"}, "Nobody has judged it yet"),
        ({"part-table": "changed", "part-table-looked_at": "present", "part-table-urgency_class": "7"}, "0 to 3"),
        ({"part-table": "changed"}, "Say whether it was looked at"),
        ({"defect-wind": "same", "defect-wind-affected": "some"}, "“some” is no whole number"),
        ({"part-bellows": "changed", "part-bellows-looked_at": "present", "part-bellows-playability": "x" * 121}, "120"),
    ],
)  # fmt: skip
def test_nothing_is_saved_by_halves_and_what_was_typed_stays(desk, organ, answers, words):
    answer = send(desk, organ, **{"defect-wind-note": "typed words"} | answers)
    html = answer.content.decode()
    assert answer.status_code == 422 and words in html and "typed words" in html
    assert Survey.objects.filter(instrument=organ).count() == 2 and organ.defects.count() == 2
    assert Instrument.objects.get(pk=organ.pk).version == organ.version


def test_a_record_changed_meanwhile_is_not_overwritten(desk, organ, people):
    organ.refresh_from_db()
    later = Survey(instrument=organ, code="x", when="2025", level=1, surveyor="S.", limits="-")
    change_record(Instrument.objects.get(pk=organ.pk), version=organ.version, by=people.editor, put=[later])
    answer = send(desk, organ, **{"part-bellows": "same"})
    assert answer.status_code == 409 and "changed the record meanwhile" in answer.content.decode()
    assert not Survey.objects.filter(instrument=organ, when="2024-05").exists()
