"""Data, editions and what needs an address, as they stand in a whole export."""

from __future__ import annotations

import io
import json
import re

import feedparser
import pytest
from django.core.management import CommandError, call_command
from django.utils import translation
from lxml import html

from inventory.actions import change_record, withdraw
from publishing.catalogue.export import DeadLinks, NewEdition, export_catalogue
from publishing.catalogue.links import check_links
from publishing.catalogue.pages import Catalogue
from publishing.catalogue.pictures import PictureMaker
from publishing.editions import make_edition
from publishing.formats.addresses import read_address
from publishing.models import Edition
from tests.factory import add_shared_rank, make_instrument, make_public
from tests.publishing.formats.web_checks import atom_problems, sitemap_problems

pytestmark = pytest.mark.django_db
ADDRESS = read_address("https://organs.example/c/")
NEEDS_ADDRESS = {"changes.atom", "sitemap.xml", "robots.txt"}


@pytest.fixture
def organ(people):
    made = make_instrument(people.curator, name="First organ", summary="Two stops, one row.")
    add_shared_rank(made, people.curator)
    made.refresh_from_db()
    return make_public(made, people.editor)


def site(address=None) -> dict[str, bytes]:
    with translation.override("en"):
        return dict(Catalogue(PictureMaker(), address).pages())


def words(page: bytes) -> str:
    return " ".join(html.fromstring(page).text_content().split())


def test_without_an_address_nothing_is_written_that_needs_one(organ):
    files = site()
    assert not NEEDS_ADDRESS & files.keys()
    for path, content in files.items():
        if path.endswith(".html"):
            assert (
                b"ld+json" not in content and b"canonical" not in content and b"changes.atom" not in content
            )


def test_with_an_address_feed_sitemap_and_linked_data_are_written_and_valid(people, organ):
    make_edition(by=people.editor, name="Spring")
    files = site(ADDRESS)
    assert files.keys() >= NEEDS_ADDRESS
    assert atom_problems(files["changes.atom"]) == []
    read = feedparser.parse(files["changes.atom"])
    assert not read.bozo and len(read.entries) >= 2
    assert sitemap_problems(files["sitemap.xml"], ADDRESS.root) == []
    pages = {path for path in files if path.endswith(".html")}
    assert files["sitemap.xml"].count(b"<url>") == len(pages)
    page = files[f"instruments/{organ.reference}.html"]
    linked = json.loads(re.search(rb'<script type="application/ld\+json">(.*?)</script>', page)[1])
    assert linked["@id"] == f"https://organs.example/c/instruments/{organ.reference}.html"
    assert b'<link rel="canonical" href="https://organs.example/c/instruments/' in page
    linked = json.loads(
        re.search(rb'<script type="application/ld\+json">(.*?)</script>', files["data.html"])[1]
    )
    assert linked["@id"] == "https://organs.example/c/data.html#dataset"
    assert [path for path in pages if b'"Dataset"' in files[path]] == ["data.html"]


def test_every_link_leads_somewhere_with_and_without_address_and_editions(people, organ):
    assert check_links(site()).problems == ()
    make_edition(by=people.editor, name="Spring")
    withdraw(organ, version=organ.version, by=people.editor, because="A test")
    make_edition(by=people.editor, name="Summer", changes="One record withdrawn.")
    assert check_links(site()).problems == check_links(site(ADDRESS)).problems == ()


def test_the_same_records_give_the_same_bytes(people, organ):
    make_edition(by=people.editor, name="Spring")
    assert site(ADDRESS) == site(ADDRESS)


def test_older_editions_stay_in_the_site_with_the_same_bytes(people, organ):
    make_edition(by=people.editor, name="Spring")
    first = {path: content for path, content in site().items() if path.startswith("data/1/")}
    organ.name = "Another name"
    organ = change_record(organ, version=organ.version, by=people.curator, put=[organ])
    withdraw(organ, version=organ.version, by=people.editor, because="A test")
    make_edition(by=people.editor, name="Summer")
    later = site(ADDRESS)
    assert {path: content for path, content in later.items() if path.startswith("data/1/")} == first
    assert len(first) > 20 and b"First organ" in first["data/1/instruments.csv"]
    assert f"instruments/{organ.reference}.html" in later
    assert b"First organ" not in later["data/2/instruments.csv"] + later["data/instruments.csv"]
    # The page of an edition names no record that is not public any more.
    assert "Another name" not in words(later["editions/2.html"])
    assert organ.reference in words(later["editions/2.html"])


def test_a_records_page_quotes_the_last_edition_and_says_so(people, organ):
    path = f"instruments/{organ.reference}.html"
    assert "In the whole collection" not in words(site()[path])
    make_edition(by=people.editor, name="Spring")
    make_public(make_instrument(people.curator), people.editor)
    assert "as edition 1 (" in words(
        site()[path]
    ) and "1 of 1 instruments whose stoplist is known share pipes" in words(site()[path])


def test_changes_tell_what_is_new_since_the_last_edition(people, organ):
    assert "nothing to compare with" in words(site()["changes.html"])
    make_edition(by=people.editor, name="Spring")
    assert "No record changed." in words(site()["changes.html"])
    new = make_public(make_instrument(people.curator, name="Second organ"), people.editor)
    told = words(site()["changes.html"])
    assert "New (1)" in told and f"Second organ {new.reference}" in told


def test_how_to_cite_names_the_last_edition_with_its_hash(people, organ):
    assert "No edition has been made yet" in words(site()["cite.html"])
    edition = make_edition(by=people.editor, name="Spring")
    for page in ("cite.html", "editions/1.html"):
        assert f"Edition 1, “Spring”, {edition.made_on}. SHA-256 {edition.digest}." in words(site()[page])


def test_every_column_of_every_table_stands_in_the_dictionary(organ):
    files = site()
    document, page = json.loads(files["data/datapackage.json"]), html.fromstring(files["data.html"])
    for resource in document["resources"]:
        name = resource["path"].removesuffix(".csv")
        heading = page.get_element_by_id(f"table-{name}")
        table = heading.xpath("following::table[1]")[0]
        told = [cell.text_content().strip() for cell in table.xpath("tbody/tr/th")]
        assert told == [field["name"] for field in resource["schema"]["fields"]]
        assert all(cell.text_content().strip() for cell in table.xpath("tbody/tr/td[last()]"))


def test_the_command_makes_an_edition_and_a_site(people, organ, tmp_path):
    out = io.StringIO()
    call_command(
        "publish_catalogue", to=tmp_path / "site", address="https://organs.example/c", edition="Spring",
        changes="All.", by=people.editor.username, verbosity=0, stdout=out, skip_checks=True,
    )  # fmt: skip
    assert "pages written" in out.getvalue().splitlines()[-1]
    assert (tmp_path / "site" / "data" / "1" / "datapackage.json").is_file()
    assert (tmp_path / "site" / "sitemap.xml").is_file()
    assert Edition.editions.get().made_by == people.editor


@pytest.mark.parametrize(
    "options, told",
    [
        ({"address": "organs.example"}, "https://organs.example/catalogue/"),
        ({"edition": "Spring"}, "--by"),
        ({"edition": "Spring", "by": "nobody-at-all"}, "nobody-at-all"),
        ({"changes": "All."}, "--edition"),
        ({"by": "somebody"}, "--edition"),
    ],
)
def test_the_command_refuses_in_one_line_and_changes_nothing(people, organ, tmp_path, options, told):
    with pytest.raises(CommandError, match=told) as refused:
        call_command("publish_catalogue", to=tmp_path / "site", verbosity=0, skip_checks=True, **options)
    assert "\n" not in str(refused.value)
    assert not (tmp_path / "site").exists() and not Edition.editions.exists()


def test_an_export_that_fails_leaves_no_edition(people, organ, tmp_path, monkeypatch):
    monkeypatch.setattr("publishing.catalogue.pages.InLanguage._lists", lambda self: iter(()))
    with pytest.raises(DeadLinks):
        export_catalogue(tmp_path / "site", edition=NewEdition(people.editor, "Spring"))
    assert not Edition.editions.exists() and not (tmp_path / "site").exists()
