"""What is kept of links: read back as it was, and found again by where they lead."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from publishing.catalogue import kept as keeping
from publishing.catalogue.export import DeadLinks, _Export
from publishing.catalogue.kept import Kept
from publishing.catalogue.link_reading import collect_links


def page(body: str) -> bytes:
    return f'<!doctype html>\n<html lang="en"><body>{body}</body></html>'.encode()


SITE = {
    "index.html": page('<a href="a/caf%C3%A9.html#x">x</a><a href="a/b.html">b</a>'),
    "a/b.html": page('<p id="here"><a href="#here">here</a><a href="../index.html">up</a>'),
    "a/café.html": page('<p id="x"><img src="../pictures/one.jpg" alt="">'),
    "c.html": page('<a href="a/b.html#here">b</a>'),
    "d.html": page('<a href=" index.html ">up</a>'),
}


@pytest.fixture
def kept():
    held = Kept(None, "v", "")
    for path, content in SITE.items():
        held.put_links(collect_links(path, content))
    yield held
    held.close()


def test_links_are_read_back_as_they_were(kept):
    for path, content in SITE.items():
        assert kept.links(path) == collect_links(path, content)
    assert [one.path for one in kept.all_links()] == sorted(SITE)
    assert kept.links("no.html") is None


def test_pages_are_found_by_what_they_lead_to_however_it_is_written(kept, monkeypatch):
    assert kept.pages_leading_to([]) == set()
    assert kept.pages_leading_to(["a/café.html"]) == {"index.html"}
    assert kept.pages_leading_to(["pictures/one.jpg"]) == {"a/café.html"}
    assert kept.pages_leading_to(["index.html"]) == {"a/b.html", "d.html"}
    monkeypatch.setattr(keeping, "MOST_SOUGHT", 1)
    assert kept.pages_leading_to(["index.html", "a/b.html"]) is None


@pytest.mark.parametrize(
    ("gone", "changed", "dead"),
    [
        ((), {}, 0),
        (("d.html",), {}, 0),  # nothing leads there
        (("a/b.html",), {}, 2),
        ((), {"a/b.html": page("no id any more")}, 1),
        ((), {"a/b.html": page('<p id="here">')}, 0),
        (("pictures/one.jpg",), {}, 1),
    ],
)
def test_links_of_pages_that_stay_to_what_is_gone_are_dead(kept, gone, changed, dead):
    former = [*SITE, "pictures/one.jpg"]
    lost = set()
    for path, content in changed.items():
        links = collect_links(path, content)
        if not kept.links(path).ids <= links.ids:
            lost.add(path)
        kept.put_links(links)
    kept.is_new = False
    export = SimpleNamespace(trusted=dict.fromkeys(former, (0, 0, 0)))
    catalogue = SimpleNamespace(
        seen=dict.fromkeys(path for path in former if path not in gone), fresh=set(changed), lost=lost
    )
    if not dead:
        _Export._check_links(export, catalogue, kept)
        return
    with pytest.raises(DeadLinks) as found:
        _Export._check_links(export, catalogue, kept)
    assert len(found.value.report.problems) == dead
