"""Nothing recorded, hardly anything recorded, and records written to break the page."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.db import models

from inventory.models import Instrument, Keyboard, Rank, Segment, Specification, Stop
from publishing.catalogue.export import export_catalogue
from tests.publishing.canaries import STRUCTURES, Planter, World, is_private, record_models
from tests.publishing.catalogue.browsing import CHROMIUM, FLAGS, Visit, pages_of

HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>{{ 7*7 }}{% x %}&lt;b&gt; ]]> --> \u202eולא\u202c 🎹"
PUBLIC = {"state": "released", "audience": "public", "version": 2, "released_version": 2}


class Elements(HTMLParser):
    """Which elements and attributes a page has, as a browser would read them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def no_broken_figures(site: Path) -> None:
    for path in pages_of(site):
        words = re.sub(r"<[^>]*>", " ", (site / path).read_text())
        assert not re.search(r"\b(NaN|nan|inf|None|undefined)\b", words), path


def test_an_empty_collection_is_a_site_that_says_so(house):
    report = export_catalogue(house / "site")
    assert report.written > 5
    no_broken_figures(house / "site")
    assert "No published instrument shares pipes" in (house / "site" / "shared-pipes.html").read_text()
    assert "No instrument is published" in (house / "site" / "statistics.html").read_text()
    assert "Nothing to count." in (house / "site" / "statistics.html").read_text()
    for path in ("index.html", "instruments/index.html"):
        words = re.sub(r"<[^>]*>", " ", (house / "site" / path).read_text())
        assert "Nothing has been published yet" in words, path


def test_one_instrument_without_a_stoplist_or_anything_else(house):
    Instrument.objects.create(reference="ORG-9001", name="West-gallery organ", status="silent", **PUBLIC)
    export_catalogue(house / "site")
    no_broken_figures(house / "site")
    page = (house / "site" / "instruments/ORG-9001.html").read_text()
    assert "No stoplist has been recorded yet" in page and "place not published" in page
    assert not (house / "site" / "instruments/ORG-9001.scheme.json").exists()


def add_stoplist(instrument: Instrument, stops: int, name: str) -> None:
    specification = Specification.objects.create(
        instrument=instrument, code="now", name="Now", basis="as found", is_current=True
    )
    keyboard = Keyboard.objects.create(specification=specification, code="I", keys=56)
    rank = Rank.objects.create(
        specification=specification, code="row", name=name[:120], pipes=80, low_note=36, counted="physical"
    )
    for number in range(stops):
        stop = Stop.objects.create(
            specification=specification, keyboard=keyboard, code=f"s{number}", order=number, label=name[:120],
            name=name[:120], footage="8" if number % 2 else "4",
        )  # fmt: skip
        Segment.objects.create(
            stop=stop, code="all", first_key=1, last_key=56, rank=rank, interval=0 if number % 2 else 12
        )


def test_very_long_names_and_forty_stops_on_one_row_are_exported(house):
    name = "Unbreakable" * 14
    instrument = Instrument.objects.create(reference="ORG-9001", name=name, status="silent", **PUBLIC)
    add_stoplist(instrument, 40, name)
    export_catalogue(house / "site")
    page = (house / "site" / "instruments/ORG-9001.html").read_text()
    assert page.count('class="feet"') >= 40
    troubles_in_chromium(
        house / "site", ["index.html", "instruments/index.html", "instruments/ORG-9001.html"]
    )


def troubles_in_chromium(site: Path, paths: list[str]) -> None:
    if CHROMIUM is None:
        pytest.skip("no chromium on this machine: exported, not looked at")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        visit = Visit(browser.new_context(), site.as_uri())
        dialogs: list[str] = []
        visit.page.on("dialog", lambda dialog: (dialogs.append(dialog.message), dialog.dismiss()))
        found = [trouble for path in paths for trouble in visit.go(path)]
        browser.close()
    assert dialogs == [] and found == []


def spoil(row: models.Model) -> None:
    """Hostile text in every text a person may write freely."""
    name = row._meta.model_name
    for column in row._meta.concrete_fields:
        free = isinstance(column, models.CharField | models.TextField) and not isinstance(
            column, models.FileField
        )
        kind = f"{name}.{column.name}"
        if not free or column.choices or column.name in ("code", "reference") or kind in STRUCTURES:
            continue
        if (
            type(column) not in (models.CharField, models.TextField)
            or getattr(column, "max_length", None) == 12
        ):
            continue
        setattr(row, column.name, HOSTILE[: column.max_length] if column.max_length else HOSTILE)
    if name in ("term", "device"):
        row.names = {"en": HOSTILE}
    row.save()


def test_hostile_text_in_every_field_is_shown_and_does_nothing(house):
    planter = Planter()
    World(planter, "public", beside=World(planter, "neighbour"))
    for model in record_models():
        for row in model.objects.all():
            spoil(row)
    export_catalogue(house / "site")
    shown = 0
    for path in pages_of(house / "site"):
        text = (house / "site" / path).read_text()
        page = Elements(text)
        for tag, attributes in page.found:
            assert not any(name.startswith("on") for name in attributes), (path, tag, attributes)
            assert (
                tag != "script"
                or attributes.get("src")
                or attributes.get("type", "").startswith("application/")
            ), path
            assert tag != "img" or attributes.get("src") != "x", path
        assert "49" not in re.findall(r"\{\{ (\d+) ", text)
        shown += page.text.count("<script>alert(1)</script>")
    assert shown > 20
    assert not all(is_private(canary) for canary in planter.canaries)
    troubles_in_chromium(house / "site", pages_of(house / "site"))


@pytest.mark.parametrize("sign", ["\x00", "\x08", "\x1b", "\x7f", "\ufffe", "\ud800"])
def test_control_signs_in_a_name_never_break_the_export(house, sign):
    try:
        Instrument.objects.create(reference="ORG-9001", name=f"Organ{sign}x", status="silent", **PUBLIC)
    except (ValueError, UnicodeError):
        return  # the database refuses it: it cannot reach a page
    export_catalogue(house / "site")
    page = (house / "site" / "instruments/ORG-9001.html").read_bytes().decode()
    assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]", page)
