"""What everybody may know of danger: by consent, row by row, and the same whatever stays confidential."""

from __future__ import annotations

from itertools import permutations

import pytest
from django.utils import translation

from inventory.danger_words import judgement_in_words
from inventory.models import Consent, Criterion, Danger, Decision, Instrument, Judgement
from publishing.briefs.register import NoNotice, make_notice, make_public_register, make_team_register
from publishing.catalogue.danger_page import DangerPages, danger_context
from publishing.disclosure.danger import public_list, read_criteria, read_dangers, read_public_dangers
from publishing.disclosure.instruments import open_collection, read_instruments
from tests.factory import make_instrument, make_people, make_public, make_term
from tests.publishing.briefs.reading import pages_of, text_of

pytestmark = pytest.mark.django_db
CODES = ("mechanism", "decay", "feasible")


@pytest.fixture
def organs():
    people = make_people()
    kind = make_term("danger", "closing", en="closing soon", fr="fermeture proche")
    for code, judgement in zip(CODES, ("loss", "likely", "help"), strict=True):
        Criterion.objects.create(
            code=code, version=1, judgement=judgement, name=code.title(), more_means=f"more {code}"
        )
    made = []
    for number, value in enumerate((5, 3, 1)):
        organ = make_public(make_instrument(people.curator, name=f"Organ {number}"), people.editor)
        for code in CODES:
            judge(organ, code, value)
        Danger.objects.create(
            instrument=organ,
            code="sale",
            kind=kind,
            text="To be sold.",
            deadline=f"203{number}",
            audience="public",
        )
        Decision.objects.create(
            instrument=organ, code="d", when="2026", advice="save", step="save", decision="Write.", audience="public",
            custodian_told="2026-03-14", told_how="zqhow", custodian_reply="zqreply", reply_printed_as="We agree.",
        )  # fmt: skip
        Consent.objects.create(instrument=organ, code="c", group="danger", given_by="zqgiver", when="2026")
        made.append(organ)
    made[0].keeper = people.keeper
    return made


def judge(organ: Instrument, criterion: str, value: int, **more) -> Judgement:
    values = {
        "code": criterion,
        "audience": "public",
        "assessor": "zqassessor",
        "because": f"seen {criterion}",
    } | more
    return Judgement.objects.create(
        instrument=organ, low=value, high=value, interests="none", when="2026",
        criterion=Criterion.objects.get(code=criterion), **values,
    )  # fmt: skip


def everything_public() -> tuple:
    collection = open_collection()
    pages = DangerPages()
    for organ in read_instruments(list(collection.instruments), collection):
        pages.add(DangerPages.told_by(organ))
    return list(pages.pages()), make_public_register("en")


def test_nothing_is_public_without_a_consent_that_stands(organs):
    Consent.objects.filter(instrument=organs[0]).update(withdrawn=True)
    Consent.objects.filter(instrument=organs[1]).delete()
    assert list(read_public_dangers()) == [organs[2].reference]


def test_nothing_is_public_of_a_record_that_is_not_released_for_everybody(organs):
    Instrument.objects.filter(pk=organs[0].pk).update(audience="team")
    Instrument.objects.filter(pk=organs[1].pk).update(state="draft")
    assert list(read_public_dangers()) == [organs[2].reference]
    assert organs[0].reference not in str(everything_public()[0])


@pytest.mark.parametrize("audience", ["signed in", "team", "named"])
def test_confidential_rows_change_no_byte_of_pages_and_register(organs, audience):
    before = everything_public()
    judge(organs[2], "mechanism", 5, code="secret", audience=audience, because="zqsecret")
    Danger.objects.create(
        instrument=organs[2],
        code="thieves",
        kind=Danger.objects.first().kind,
        text="zqsecret",
        audience=audience,
    )
    Decision.objects.create(
        instrument=organs[2], code="e", when="2027", decision="zqsecret", audience=audience
    )
    assert everything_public() == before
    # A control: the same judgement for everybody does change it.
    Judgement.objects.filter(code="secret").update(audience="public")
    assert everything_public() != before


def test_no_person_and_no_unprinted_reply_is_told(organs):
    pages, register = everything_public()
    told = str(pages) + text_of(register) + text_of(make_notice(organs[0].reference, "en"))
    for word in ("zqassessor", "zqgiver", "zqhow", "zqreply", "14 March"):
        assert word not in told
    assert "We agree." in told and "seen mechanism" in str(read_dangers([organs[0].pk]))


def test_judgements_that_differ_stay_open_since_nobody_is_named(organs):
    judge(organs[0], "mechanism", 2, code="second")
    found = public_list(read_public_dangers(), read_criteria())
    assert found.judgements["loss"].entries[organs[0].reference]["mechanism"] == (2, 5)


def test_the_order_of_rows_and_their_numbers_change_nothing(organs):
    values = read_public_dangers()
    wanted = public_list(values, read_criteria())
    for order in permutations(values):
        found = public_list({reference: values[reference] for reference in order}, read_criteria())
        assert {r: e.bands for r, e in found.entries.items()} == {
            r: e.bands for r, e in wanted.entries.items()
        }


def test_no_day_of_today_enters_the_public_list(organs):
    Danger.objects.update(deadline="1850", deadline_earliest="1850-01-01")
    found = public_list(read_public_dangers(), read_criteria())
    assert not any(entry.is_emergency for entry in found.entries.values())


def test_reasons_and_change_are_told_in_words(organs):
    found = public_list(read_public_dangers(), read_criteria())
    told = judgement_in_words(found, organs[1].reference, "loss", with_change=True)
    assert told.stands == "band 2 of 3"
    assert [reason.judged for reason in told.reasons] == ["3"]
    assert "would move it to band" in told.change
    assert told.chance.startswith("first in 0.0 %")


@pytest.mark.parametrize("language", ["en", "fr", "es"])
def test_the_register_and_the_notice_read_back_in_every_language(organs, language):
    register, notice = make_public_register(language), make_notice(organs[0].reference, language)
    assert make_public_register(language) == register
    assert pages_of(notice) == 1
    for words in (organs[0].name, "To be sold.", "2030"):
        assert words in text_of(register) and words in text_of(notice)
    if language == "fr":
        assert "Fermeture proche" in text_of(notice)


def test_a_long_notice_stays_on_its_page(organs):
    long = "The building is sold and the new owner wants the gallery. " * 9
    Danger.objects.update(text=long, asked=long[:299], who_can_avert="town and county " * 12)
    kind = Danger.objects.first().kind
    for number in range(4):
        Danger.objects.create(
            instrument=organs[0],
            code=f"more-{number}",
            kind=kind,
            text=long,
            asked=long[:299],
            audience="public",
        )
    assert pages_of(make_notice(organs[0].reference, "en")) == 1


def test_a_notice_is_refused_where_nothing_public_is_open(organs):
    Danger.objects.filter(instrument=organs[0]).update(ended="averted", outcome="Bought by the town.")
    with pytest.raises(NoNotice, match="consent"):
        make_notice(organs[0].reference, "en")
    assert "Bought by the town." in text_of(make_public_register("en"))


def test_the_team_s_register_says_that_it_is_confidential_and_what_is_advised(organs):
    from datetime import date

    told = text_of(make_team_register(organs[0].keeper, "en", today=date(2026, 11, 25)))
    assert "Confidential" in told and "25 November 2026" in told and "Advice today: save now" in told
    assert "Confidential" not in text_of(make_public_register("en"))
    assert "zqreply" not in told


def test_an_empty_register_is_a_page_and_no_error(db):
    assert "No instrument stands on this list." in text_of(make_public_register("en"))


def test_criteria_are_named_in_the_reader_s_language_where_somebody_put_them_in_it(organs):
    Criterion.objects.filter(code="decay").update(names={"fr": "Dégradation"}, meanings={"fr": "elle avance"})
    with translation.override("fr"):
        found = public_list(read_public_dangers(), read_criteria())
        told = {one.name: one for code in found.judgements for one in reasons_of(found, organs[0], code)}
        assert (told["Dégradation"].means, told["Dégradation"].is_put) == ("elle avance", True)
        assert not told["Mechanism"].is_put  # as it was written, and marked as such on the page
        context = danger_context(read_instruments([organs[0].pk], open_collection())[0])
        shown = {str(one["criterion"]) for one in context["judgements"]}
        assert shown == {"Dégradation", '<span lang="en">Mechanism</span>', '<span lang="en">Feasible</span>'}
        assert "Dégradation" in text_of(make_public_register("fr"))
    assert "Decay" in text_of(make_public_register("en"))


def reasons_of(found, organ, code):
    return judgement_in_words(found, organ.reference, code, with_change=False).reasons
