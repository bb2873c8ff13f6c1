"""Every page in real Chromium: axe finds nothing, the console is silent, nothing scrolls sideways at 360 px."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import resolve

from inventory.actions import change_record
from inventory.curating import urls
from inventory.models import Citation, Claim, Defect, Event, Layer, Photograph, Source, Survey, Tie
from tests.factory import (
    add_shared_rank,
    make_instrument,
    make_maker,
    make_people,
    make_place,
    make_public,
    make_term,
)
from tests.inventory.curating.conftest import settle
from tests.inventory.curating.test_browser_tables import picture
from tests.inventory.hostile_scripts import EVERYTHING
from tests.inventory.hostile_worlds import Worlds

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LONG = "Unbreakablylongwordwithoutanyspace" * 4


@pytest.fixture
def cast(transactional_db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return make_people()


def furnish(cast, words: str = "plain"):
    """An instrument with rows of many kinds, all text fields holding the words."""
    kinds = {
        name: make_term(name, f"{name}-1", en=f"{words[:60]} kind")
        for name in ("event", "part", "defect", "source", "hazard", "danger", "role", "action")
    }
    place = make_place(cast.keeper, name=words[:120], note=words, access=words)
    maker = make_maker(cast.keeper, name=words[:160], sort_name=words[:160], note=words)
    source = Source(reference="SRC-T1", name=words[:200], kind=kinds["source"], author=words[:160])
    from inventory.actions import create_record

    create_record(source, by=cast.keeper)
    twin = make_instrument(cast.keeper, name=words[:160])
    organ = make_instrument(
        cast.keeper, name=words[:160], place=place, summary=words, owner=words, temperament=words[:60],
        working_note=words, access_note=words, store=words,
    )  # fmt: skip
    organ.action = kinds["action"]
    layer = Layer(instrument=organ, code="l", name=words[:160], maker=maker, note=words, when="1841~")
    survey = Survey(instrument=organ, code="s", when="2020", level=3, surveyor=words[:120], limits=words)
    rows = [
        organ,
        layer,
        Event(
            instrument=organ, code="e", kind=kinds["event"], when="1841", maker=maker, role=kinds["role"],
            layer=layer, place=place, text=words,
        ),
        survey,
        Defect(instrument=organ, code="d", kind=kinds["defect"], where=words[:200], cause=words[:200]),
        Citation(instrument=organ, code="c", about="name", source=source, quote=words, locator=words[:120]),
        Claim(instrument=organ, code="k1", about="name", value=words[:300], source=source),
        Claim(
            instrument=organ, code="k2", about="name", value="other", preferred=True, because=words
        ),
        Tie(instrument=organ, code="t", kind="twin", other=twin, note=words[:300]),
    ]  # fmt: skip
    front = Photograph(
        instrument=organ, code="front", shows=words[:200], credit=words[:120], licence="CC BY 4.0"
    )
    front.file.save("front.jpg", ContentFile(picture()), save=False)
    change_record(organ, version=1, by=cast.curator, put=[*rows, front], why=words[:300])
    add_shared_rank(organ, cast.curator)
    return make_public(organ, cast.editor)


def pages(organ) -> list[str]:
    one = f"/instruments/{organ.reference}/"
    return [
        "/", "/?q=organ", "/instruments/", "/instruments/?q=zz&state=draft", "/instruments/new/", "/makers/",
        "/places/", "/sources/", one, f"{one}parts/condition/", f"{one}fields/main/", f"{one}fields/voice/",
        f"{one}rows/events/add/", f"{one}rows/events/e/edit/", f"{one}rows/events/e/remove/",
        f"{one}rows/part-conditions/add/", f"{one}changes/", f"{one}changes/compare/?from=1&to=3",
        f"{one}changes/2/undo/", f"{one}evidence/?about=name", f"{one}findings/",
        f"/makers/{organ.layers.get().maker.reference}/", f"/places/{organ.place.reference}/", "/sources/SRC-T1/",
        "/people/", "/account/", "/account/second-factor/set-up/", "/help/tour/", "/help/dates/",
        "/help/shortcuts/", "/help/evidence/", "/help/review/", f"{one}read-stoplist/", f"{one}compare-stoplists/",
        f"{one}stoplists/as-found/", f"{one}stoplists/as-found/copy/", f"{one}stoplists/as-found/scheme/",
        f"{one}add-photographs/", f"{one}photographs/front/",
    ]  # fmt: skip


NO_PAGES = {
    "choose", "claim-prefer", "date-reading", "field-sheet", "finding-answer", "finding-reopen",
    "invitation", "invitation-withdraw", "invite", "language", "list-csv", "list-forget", "list-open",
    "list-save", "list-xlsx", "person-forget-device", "photograph-file", "pipe-give", "pipe-take-back",
    "record-step", "scheme-try", "second-factor", "second-factor-forget", "sign-in", "sign-out",
    "trials-trace", "works-choose",
}  # fmt: skip
"""Addresses that answer with no page of their own, or whose page is looked at in a test of its own."""


def others(one: str, person) -> tuple[list[str], set[str]]:
    """Pages that need no more than the address of an instrument, or nothing at all, new ones among them; and
    the names of addresses that are no pages: they take only what is posted, or answer with a file."""
    known = {*NO_PAGES, "stoplist-read", "stoplist-compare", "photographs-add", "findings", "home", "people"}
    known |= {"account", "second-factor-setup"}
    client, found, silent = Client(), [], set()
    client.force_login(person)
    for pattern in urls.urlpatterns:
        rest = str(pattern.pattern)
        place = one if rest.startswith("instruments/<slug:reference>/") else "/"
        rest = rest.removeprefix("instruments/<slug:reference>/")
        if "<" in rest or pattern.name in known:
            continue
        answer = client.get(place + rest)
        is_page = answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
        found += [place + rest] if is_page else []
        silent |= set() if is_page else {pattern.name}
    return found, silent


def shown(violations) -> list[str]:
    return [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in violations]


@pytest.mark.parametrize("width, scheme", [(360, "light"), (1280, "dark")])
def test_every_page_is_accessible_silent_and_fits(cast, open_desk, width, scheme):
    organ = furnish(cast, f"An organ with {LONG}")
    desk = open_desk(cast.keeper, width=width, scheme=scheme)
    axe, wrong = Axe(), {}
    # At a desk in the dark only what light and width change is looked at again, on every other page.
    options = {"resultTypes": ["violations"], "elementRef": False}
    if scheme == "dark":
        options["runOnly"] = {"type": "rule", "values": ["color-contrast"]}
    more, silent = others(f"/instruments/{organ.reference}/", cast.keeper)
    paths = [*pages(organ), *more]
    seen = {resolve(path.partition("?")[0]).view_name for path in paths}
    assert {one.name for one in urls.urlpatterns} - NO_PAGES - silent - {"person"} <= seen
    for path in paths[:: 1 if scheme == "light" else 2]:
        page = desk.open(path)
        page.evaluate("() => document.querySelectorAll('details').forEach(one => { one.open = true; })")
        found = shown(axe.run(page, options=options).response["violations"])
        if page.evaluate("document.documentElement.scrollWidth") > width:
            found.append(f"scrolls sideways: {page.evaluate('document.documentElement.scrollWidth')}")
        if found or desk.complaints:
            wrong[path] = found + desk.complaints
            desk.complaints.clear()
    assert not wrong


def test_signing_in_is_accessible(cast, open_desk):
    desk = open_desk(None, width=360)
    page = desk.open("/instruments/")
    assert "/sign-in/" in page.url
    assert shown(Axe().run(page).response["violations"]) == []
    page.fill("[name=username]", "nobody")
    page.fill("[name=password]", "wrong")
    page.click("button.main")
    page.wait_for_selector(".message.error")
    assert shown(Axe().run(page).response["violations"]) == [] and desk.complaints == []


def test_scripts_in_every_text_are_shown_and_never_run(cast, open_desk):
    organ = furnish(cast, EVERYTHING)
    desk = open_desk(cast.keeper)
    for path in [
        *pages(organ),
        *others(f"/instruments/{organ.reference}/", cast.keeper)[0],
        "/?q=%3Cscript%3Ealert(1)%3C/script%3E",
        "/instruments/?q=%22%3E%3Cimg+src=x%3E",
    ]:
        desk.open(path)
    assert desk.dialogs == [] and desk.complaints == []
    assert "<script>alert(1)</script>" in desk.open(f"/instruments/{organ.reference}/").inner_text("body")


@pytest.mark.thorough
def test_no_text_of_any_field_of_any_row_runs(cast, open_desk):
    worlds = Worlds()
    desk = open_desk(cast.keeper)
    for address in [one for one in worlds.addresses() if not one.startswith("/choose/")]:
        page = desk.open(address)
        assert page.evaluate("document.querySelectorAll('iframe, object, embed, base, video').length") == 0
        assert page.evaluate(
            "[...document.querySelectorAll('a, form')].every(one => !/^javascript:/i.test(one.href || one.action || ''))"
        ), address
    assert desk.dialogs == []


def test_the_keys_lead_to_the_search_box_unless_they_are_turned_off(cast, open_desk):
    desk = open_desk(cast.reader)
    page = desk.open("/help/shortcuts/")
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") == "search"
    page.uncheck("#shortcuts-on")
    page.focus("h1 >> xpath=..")
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") != "search"


def test_the_pages_work_without_scripts(cast, chromium, live_server):
    organ = furnish(cast)
    client = Client()
    client.force_login(cast.curator)
    context = chromium.new_context(java_script_enabled=False)
    cookie = {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}
    context.add_cookies([cookie])
    page = context.new_page()
    page.goto(f"{live_server.url}/instruments/{organ.reference}/")
    page.click("text=Show: Condition and danger")
    assert page.locator("text=plain").count() >= 1
    page.goto(f"{live_server.url}/instruments/{organ.reference}/")
    page.click("#rows-events >> text=Change")
    page.fill("[name=when]", "vers 1850")
    page.click("button.main")
    page.check("input[type=radio]")
    page.click("button.main")
    assert organ.events.get().when == "1850~"
    context.close()


def test_the_checks_find_a_planted_fault(cast, open_desk):
    desk = open_desk(cast.reader, width=360)
    page = desk.open("/help/tour/")
    planted = "<img src='x.png'>"
    page.evaluate("html => document.querySelector('main').insertAdjacentHTML('beforeend', html)", planted)
    assert any(one.startswith("image-alt") for one in shown(Axe().run(page).response["violations"]))
    settle(page)
    assert desk.complaints  # the picture that is not there
