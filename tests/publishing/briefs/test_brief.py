"""Briefs of small hand-made records: the same sums everywhere, drafts marked, long records survive."""

from __future__ import annotations

import io
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse
from pypdf import PdfReader

from inventory.actions import change_record
from inventory.models import (
    Consent,
    CostLine,
    Event,
    Funding,
    Instrument,
    Keyboard,
    Package,
    Passage,
    Phase,
    Rank,
    Segment,
    Specification,
    Stop,
    WorksPlan,
)
from inventory.planning import read_works
from inventory.planning.money import say_amount
from publishing.briefs.brief import count_pages, make_brief
from publishing.briefs.words import LANGUAGES, READERS
from publishing.disclosure.briefs import NotForBrief
from tests.factory import add_shared_rank, make_instrument, make_public, make_term
from tests.publishing.briefs.reading import pages_of, text_of


def put(root, by, *rows):
    root.refresh_from_db()
    return change_record(root, version=root.version, by=by, put=rows)


def add_works(root, by, lines=3):
    package = Package(
        instrument=root,
        code="w",
        option="conserve",
        name="New leather",
        target_state="As found.",
        chosen=True,
    )
    phases = [
        Phase(package=package, code=f"p{n}", order=n, name=f"Step {n}", when=f"{2026 + n}") for n in (1, 2)
    ]
    rows = [
        CostLine(
            package=package,
            code=f"l{n}",
            phase=phases[n % 2],
            step=("chests", "wind", "pipes")[n % 3],
            text=f"secret {n}",
            printed_as=f"Work number {n}",
            quantity=n + 1,
            unit="piece",
            low=Decimal("10.10"),
            likely=Decimal("33.33"),
            high=Decimal("77.70"),
            price_year=2025,
            basis="x",
        )
        for n in range(lines)
    ]  # fmt: skip
    money = Funding(
        package=package,
        code="f",
        state="secured",
        amount=Decimal("55.55"),
        giver="hidden",
        printed_as="Friends",
    )
    plan = WorksPlan(instrument=root, code="plan", tax_percent=20, inflation_percent=3)
    put(root, by, package, *phases, *rows, money, plan)


@pytest.fixture
def organ(people, house):
    """A released organ with a shared row and works, no consents."""
    root = make_instrument(people.curator, summary="A small organ.")
    add_shared_rank(root, people.curator)
    add_works(root, people.curator)
    root.refresh_from_db()
    return make_public(root, people.editor)


def consent(root, by, *groups):
    put(
        root,
        by,
        *[Consent(instrument=root, code=group, group=group, given_by="x", when="2020") for group in groups],
    )


@pytest.mark.parametrize("reader", READERS)
def test_the_sums_of_a_brief_are_those_of_the_workroom_for_every_reader(organ, people, reader):
    consent(organ, people.editor, "works")
    works = read_works(organ)
    text = text_of(make_brief(organ.reference, reader=reader))
    sums = [works.budget.total, works.position.gap, *(phase.total for phase in works.budget.phases)]
    for amount in [*sums, *works.budget.correlated]:
        assert say_amount(amount).replace("\u00a0", " ") in text
    assert "never a tender" in text and "Friends" in text
    assert "hidden" not in text and "secret" not in text


def test_changing_one_quantity_changes_the_brief(organ, people):
    line = CostLine.objects.get(code="l2")
    line.quantity = 30
    before = read_works(organ).budget.total
    put(organ, people.editor, line)
    after = read_works(organ).budget.total
    text = text_of(make_brief(organ.reference))
    assert say_amount(after).replace("\u00a0", " ") in text
    assert f"cost {before} XTS" not in text and after != before


@pytest.mark.parametrize(
    "reader, questions",
    [
        ("owner", ["What is to be done?", "By when?", "How much?", "Who helps, who decides?"]),
        ("donor", ["What does my gift do?", "Who else gave?"]),
        ("grant", ["Is it eligible?", "Is it significant?", "Is it the right method?"]),
    ],
)
def test_first_questions_are_answered_on_page_one(organ, reader, questions):
    first = PdfReader(io.BytesIO(make_brief(organ.reference, reader=reader))).pages[0].extract_text()
    for question in questions:
        assert question in first
    assert "XTS" in first


def test_every_option_stands_there_and_what_will_not_be_changed(organ):
    text = text_of(make_brief(organ.reference, reader="grant"))
    for words in (
        "Leave and monitor",
        "Stabilise",
        "Conserve as found (chosen)",
        "Restore to a documented state",
    ):
        assert words in text
    assert "The sharing stays as found" in text


def test_drafts_are_marked_until_a_person_accepts_them(organ, people, client):
    assert "10 passages not yet accepted" in text_of(make_brief(organ.reference))
    client.force_login(people.curator)
    address = reverse("brief-passage", kwargs={"reference": organ.reference})
    for accepted, said in (("keep", 10), ("accept", 9)):
        organ.refresh_from_db()
        client.post(
            address,
            {
                "record_version": organ.version, "section": "benefit", "language": "en", "text": "Heard weekly.",
                "what": accepted,
            },
        )  # fmt: skip
        text = text_of(make_brief(organ.reference))
        assert f"{said} passages not yet accepted" in text
        assert ("Heard weekly. [draft]" in text) == (accepted == "keep")
    row = Passage.objects.get(section="benefit")
    assert row.accepted_by == people.curator.username and "Agreed with the owner" in row.drafted
    organ.refresh_from_db()
    client.post(
        address, {"record_version": organ.version, "section": "benefit", "language": "en", "what": "again"}
    )
    assert not Passage.objects.exists()


def test_a_passage_without_words_and_a_stale_one_are_refused(organ, people, client):
    client.force_login(people.curator)
    address = reverse("brief-passage", kwargs={"reference": organ.reference})
    given = {"section": "benefit", "language": "en", "what": "accept"}
    organ.refresh_from_db()
    assert client.post(address, {**given, "record_version": organ.version, "text": " "}).status_code == 409
    assert client.post(address, {**given, "record_version": 1, "text": "x"}).status_code == 409
    assert (
        client.post(
            address, {**given, "record_version": organ.version, "text": "x", "section": "no"}
        ).status_code
        == 409
    )
    assert not Passage.objects.exists()


def test_without_consent_works_are_told_by_their_steps_only(organ, people):
    text = text_of(make_brief(organ.reference))
    assert "New leather" not in text and "Step 1" not in text and "no consent for it is recorded" in text
    consent(organ, people.editor, "works")
    assert "Step 1" in text_of(make_brief(organ.reference))


def test_a_record_that_is_not_released_gets_a_confidential_brief_only(people, house):
    draft = make_instrument(people.curator)
    with pytest.raises(NotForBrief, match="release it"):
        make_brief(draft.reference)
    text = text_of(make_brief(draft.reference, confidential=True))
    assert text.count("Confidential: for the owner and the team") >= pages_of(
        make_brief(draft.reference, confidential=True)
    )


def test_an_empty_record_makes_a_short_honest_brief(people, house):
    root = make_public(make_instrument(people.curator), people.editor)
    for reader in READERS:
        made = make_brief(root.reference, reader=reader)
        assert 2 <= pages_of(made) <= 6
        assert "No option is chosen yet" in text_of(made)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_brief_says_its_language_and_title_and_has_bookmarks(organ, language):
    made = make_brief(organ.reference, reader="donor", language=language)
    reader = PdfReader(io.BytesIO(made))
    assert reader.trailer["/Root"]["/Lang"] == language
    assert reader.metadata.title.startswith("Test organ")
    assert len(reader.outline) >= 2 and reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert made == make_brief(organ.reference, reader="donor", language=language)


def extreme(people):
    """Forty stops with long names, many events, many lines."""
    long = "Hohlflötenbaßregisterverlängerung mit doppeltem Aufsatz und Überlänge der tiefsten Octave"
    root = make_instrument(
        people.curator,
        name=f"The organ of {long} in the chapel above the second landing",
        summary=f"{long}. " * 14,
    )
    specification = Specification(
        instrument=root, code="as-found", name="As found", basis="as found", is_current=True
    )
    boards = [Keyboard(specification=specification, code=code, name=f"Keyboard {code}", keys=56, low_note=36, order=n)
              for n, code in enumerate(("I", "II", "III", "P"))]  # fmt: skip
    rows = [specification, *boards]
    for number in range(40):
        rank = Rank(
            specification=specification,
            code=f"r{number}",
            name=f"{long[:60]} {number}",
            pipes=56,
            low_note=36,
            counted="label",
        )
        stop = Stop(
            specification=specification,
            code=f"s{number}",
            keyboard=boards[number % 4],
            label=f"Stop{number} {long[:70]}",
            name="x",
            footage="8",
        )
        rows += [rank, stop, Segment(stop=stop, code="all", first_key=1, last_key=56, rank=rank, shift=0)]
    built = make_term("event", "built")
    rows += [
        Event(instrument=root, code=f"e{n}", kind=built, when=f"{1700 + n * 5}", text=f"{long} {long} {long}")
        for n in range(30)
    ]
    change_record(root, version=root.version, by=people.curator, put=rows)
    add_works(root, people.curator, lines=30)
    root.refresh_from_db()
    root = make_public(root, people.editor)
    consent(root, people.editor, "works", "condition")
    return root, long


def test_long_names_and_forty_stops_survive_on_six_pages(people, house):
    root, long = extreme(people)
    made = make_brief(root.reference, reader="grant")
    text = text_of(made)
    assert count_pages(made) == pages_of(made) <= 6
    glued = text.replace(" ", "").replace("-", "")
    for number in range(40):
        assert f"Stop{number}Hohlflöten" in glued
    assert "more in the record" in text
    assert "How much, by when?" in PdfReader(io.BytesIO(made)).pages[0].extract_text()
    for page in PdfReader(io.BytesIO(made)).pages:
        assert len(page.extract_text()) > 400  # no page holds a heading alone
    inside(made)


def inside(pdf):
    """Read line by line as they stand, no line of a stop runs into the next column: it ends where it is broken."""
    lines = [line for page in PdfReader(io.BytesIO(pdf)).pages for line in page.extract_text().splitlines()]
    stops = [line for line in lines if line.startswith("Stop") and "Hohl" in line]
    assert stops and all(len(line) < 40 for line in stops)


def test_the_command_writes_a_file_whole_or_says_why_not(organ, tmp_path, capsys):
    target = tmp_path / "brief.pdf"
    call_command("write_brief", organ.reference, to=str(target), language="fr", reader="donor")
    assert target.read_bytes().startswith(b"%PDF") and "pages" in capsys.readouterr().out
    assert [one.name for one in tmp_path.glob("*.p*")] == ["brief.pdf"]
    for reference, to in (("ORG-NONE", target), (organ.reference, tmp_path / "no" / "x.pdf")):
        with pytest.raises(CommandError) as refused:
            call_command("write_brief", reference, to=str(to))
        assert refused.value.returncode == 2
    assert not (tmp_path / "no").exists()


def test_the_desk_shows_passages_and_gives_the_document(organ, people, client):
    client.force_login(people.surveyor)
    page = client.get(reverse("briefs", kwargs={"reference": organ.reference})).content.decode()
    assert "draft from the record" in page and "The sharing stays as found" in page
    answer = client.get(
        reverse("brief-file", kwargs={"reference": organ.reference}), {"for": "grant", "language": "es"}
    )
    assert answer["Content-Type"] == "application/pdf" and answer["Cache-Control"] == "private, no-store"
    assert Instrument.objects.get(pk=organ.pk).version == organ.version
