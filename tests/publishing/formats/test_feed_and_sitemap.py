"""Feed and sitemap: what the standards demand, the same bytes whatever the clock says, and broken copies found."""

from __future__ import annotations

import datetime
import html
import urllib.robotparser

import feedparser
import pytest
from lxml import etree

from publishing.formats.addresses import read_address
from publishing.formats.feed import MOST_ENTRIES, Entry, feed_text
from publishing.formats.sitemap import robots_text, sitemap_files
from tests.tools import fetch_sitemap_schema

from .web_checks import atom_problems, sitemap_problems

ADDRESS = read_address("https://organs.example/c/")
ENTRIES = [
    Entry(
        datetime.date(2031, 3, 1),
        "editions/1.html",
        "Edition 1: <First> & “only”",
        "All <b>records</b>.",
        "1",
    ),
    Entry(datetime.date(2030, 5, 2), "instruments/ORG-1.html", "An organ (ORG-1)", "Released.", "3"),
    Entry(datetime.date(2030, 5, 2), "instruments/ORG-2.html", "An organ (ORG-2)", "Released.", "1"),
]


def feed(entries=ENTRIES) -> bytes:
    return feed_text(
        entries,
        ADDRESS,
        path="changes.atom",
        title="Changes",
        author="Test",
        language="en",
        rights="CC BY 4.0",
    )


def test_the_feed_has_what_the_standard_demands_also_without_entries():
    assert atom_problems(feed()) == [] and atom_problems(feed([])) == []


def test_the_feed_tells_the_day_of_its_newest_entry_and_not_the_clocks():
    assert feed() == feed() == feed(ENTRIES[::-1])
    assert feed().count(b"2031-03-01T00:00:00+00:00</updated>") == 2  # the feed's and the entry's
    assert b"2000-01-01T00:00:00+00:00</updated>" in feed([])


def test_names_of_entries_are_tags_that_tell_versions_apart():
    text = feed().decode()
    assert "<id>tag:organs.example,2031-03-01:editions/1.html/1</id>" in text
    assert "<id>tag:organs.example,2030-05-02:instruments/ORG-1.html/3</id>" in text


def test_markup_in_a_summary_stays_text():
    assert "All &amp;lt;b&amp;gt;records" in feed().decode()


def test_only_the_newest_entries_are_kept():
    many = [
        Entry(datetime.date(2030, 1, 1) + datetime.timedelta(days=n), f"a/{n}.html", "A", "A", "1")
        for n in range(300)
    ]
    text = feed(many).decode()
    assert text.count("<entry>") == MOST_ENTRIES and "a/299.html" in text and "a/199.html" not in text


@pytest.mark.parametrize(
    "old, new, expected",
    [
        (b"<entry>", b"<entri>", "not well-formed"),
        (b"<id>tag:organs.example,2031-03-01:editions/1.html/1</id>", b"", "0 times id"),
        (b"2031-03-01T00:00:00+00:00", b"1 March 2031", "no date of RFC 3339"),
        (b"ORG-2.html/1</id>", b"ORG-1.html/3</id>", "twice"),
        (b'href="https://organs.example/c/editions', b'href="editions', "absolute address"),
        (b'rel="self"', b'rel="via"', "no link to itself"),
        (b"<author>", b"<contributor>", "not well-formed"),
        (b"http://www.w3.org/2005/Atom", b"http://www.w3.org/2005/atom", "the root is"),
    ],
)
def test_a_broken_feed_is_found(old, new, expected):
    assert old in feed()
    assert any(expected in problem for problem in atom_problems(feed().replace(old, new)))


def test_a_reader_of_feeds_finds_every_entry_with_its_day_its_address_and_its_words():
    read = feedparser.parse(feed())
    assert not read.bozo and read.version == "atom10" and read.feed.language == "en"
    assert read.feed.links == [
        {"href": "https://organs.example/c/changes.html", "rel": "alternate", "type": "text/html"},
        {"href": "https://organs.example/c/changes.atom", "rel": "self", "type": "application/atom+xml"},
    ]
    told = [
        (one.id, one.link, one.title, one.summary, one.updated_parsed[:3], one.published_parsed[:3])
        for one in read.entries
    ]
    assert told == [
        (
            f"tag:organs.example,{one.day}:{one.path}/{one.version}", f"https://organs.example/c/{one.path}",
            one.title, html.escape(one.summary),
            one.day.timetuple()[:3], one.day.timetuple()[:3],
        )
        for one in ENTRIES
    ]  # fmt: skip


@pytest.mark.parametrize(
    "old, new, found",
    [
        (b"</entry>", b"</entrie>", lambda read: read.bozo),
        (b"<entry>", b"<entry><p:x/>", lambda read: read.bozo),
        (b"2031-03-01T00:00:00+00:00", b"once", lambda read: read.entries[0].updated_parsed is None),
        (b"http://www.w3.org/2005/Atom", b"http://example.org/atom", lambda read: read.version != "atom10"),
        (b" href=", b" hreff=", lambda read: "link" not in read.entries[0] or "href" not in read.entries[0].links[0]),
    ],
)  # fmt: skip
def test_a_reader_of_feeds_stumbles_over_a_broken_copy(old, new, found):
    assert old in feed() and found(feedparser.parse(feed().replace(old, new)))


DAYS = {"index.html": "", "instruments/ORG-1.html": "2030-05-02", "places/A & B.html": ""}


def test_the_sitemap_is_well_formed_and_names_every_page_once():
    ((path, content),) = sitemap_files(DAYS, ADDRESS)
    assert path == "sitemap.xml" and sitemap_problems(content, ADDRESS.root) == []
    assert b"<loc>https://organs.example/c/</loc>" in content
    assert (
        b"<loc>https://organs.example/c/instruments/ORG-1.html</loc><lastmod>2030-05-02</lastmod>" in content
    )
    assert content.count(b"<url>") == 3


def test_a_long_sitemap_is_cut_into_files_that_an_index_lists():
    files = dict(sitemap_files({f"{n}.html": "" for n in range(7)}, ADDRESS, most=3))
    assert sorted(files) == ["sitemap-1.xml", "sitemap-2.xml", "sitemap-3.xml", "sitemap.xml"]
    assert [one for content in files.values() for one in sitemap_problems(content, ADDRESS.root)] == []
    assert sum(content.count(b"<url>") for content in files.values()) == 7
    assert files["sitemap.xml"].count(b"<sitemap>") == 3


@pytest.mark.parametrize(
    "old, new, expected",
    [
        (b"</urlset>", b"", "not well-formed"),
        (b"sitemap/0.9", b"sitemap/0.8", "the root is"),
        (b"2030-05-02", b"May 2030", "no date"),
        (b"https://organs.example/c/instruments", b"/instruments", "no address below"),
        (b"places/A%20%26%20B.html", b"instruments/ORG-1.html", "twice"),
    ],
)
def test_a_broken_sitemap_is_found(old, new, expected):
    ((_path, content),) = sitemap_files(DAYS, ADDRESS)
    assert old in content
    assert any(expected in problem for problem in sitemap_problems(content.replace(old, new), ADDRESS.root))


@pytest.fixture(scope="module")
def schema(tmp_path_factory) -> etree.XMLSchema:
    """The schema of sitemaps.org; links to translations, which it leaves to others, by their two attributes."""
    reason = fetch_sitemap_schema.why_not()
    if reason:
        pytest.skip(reason)
    folder = tmp_path_factory.mktemp("schema")
    (folder / "link.xsd").write_text(LINK)
    (folder / "all.xsd").write_text(ALL % {"sitemap": fetch_sitemap_schema.fetch().as_uri()})
    return etree.XMLSchema(etree.parse(folder / "all.xsd"))


LINK = """<schema xmlns="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xhtml">
<element name="link"><complexType><attribute name="rel" use="required" fixed="alternate"/>
<attribute name="hreflang" use="required" type="language"/><attribute name="href" use="required" type="anyURI"/>
</complexType></element></schema>"""
ALL = """<schema xmlns="http://www.w3.org/2001/XMLSchema">
<import namespace="http://www.sitemaps.org/schemas/sitemap/0.9" schemaLocation="%(sitemap)s"/>
<import namespace="http://www.w3.org/1999/xhtml" schemaLocation="link.xsd"/></schema>"""
SPOKEN = {f"{folder}{path}": day for folder in ("", "fr/", "es/") for path, day in DAYS.items()}


def test_the_sitemap_keeps_to_the_schema_of_the_protocol_with_and_without_translations(schema):
    for days, languages in ((DAYS, ()), (SPOKEN, ("en", "fr", "es"))):
        ((_path, content),) = sitemap_files(days, ADDRESS, languages=languages)
        assert (b"hreflang" in content) is bool(languages)
        assert schema.validate(etree.fromstring(content)), schema.error_log


@pytest.mark.parametrize(
    "old, new, expected",
    [
        (b"<lastmod>2030-05-02", b"<lastmod>May 2030", "May 2030"),
        (b"<loc>https://organs.example/c/</loc>", b"", "loc"),
        (b"lastmod>", b"lastchange>", "lastchange"),
        (b"<loc>https://organs.example/c/</loc>", b"<loc>index</loc>", "minLength"),
        (b"sitemap/0.9", b"sitemap/0.8", "No matching global"),
        (b' hreflang="fr"', b"", "hreflang"),
    ],
)
def test_a_sitemap_that_breaks_the_schema_is_found(schema, old, new, expected):
    ((_path, content),) = sitemap_files(SPOKEN, ADDRESS, languages=("en", "fr", "es"))
    assert old in content and not schema.validate(etree.fromstring(content.replace(old, new)))
    assert expected in str(schema.error_log)


def test_robots_may_read_everything_and_no_path_is_named():
    text = robots_text(ADDRESS).decode()
    reader = urllib.robotparser.RobotFileParser()
    reader.parse(text.splitlines())
    assert reader.can_fetch("any", "https://organs.example/c/instruments/ORG-1.html")
    assert reader.site_maps() == ["https://organs.example/c/sitemap.xml"]
    assert "Disallow" not in text
