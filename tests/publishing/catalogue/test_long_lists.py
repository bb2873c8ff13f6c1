"""Long lists in parts: every row once, every part led to from every other."""

from __future__ import annotations

import posixpath

from lxml import html

from publishing.catalogue import long_lists
from publishing.catalogue.long_lists import in_parts
from publishing.catalogue.rendering import Renderer, open_site
from publishing.catalogue.shared_pipes_page import SharedPipes
from publishing.statistics.examples import example_instrument


def test_a_short_list_is_one_page_at_its_own_address():
    for rows in ([], [1, 2]):
        (part,) = in_parts(rows, "makers/index.html", most=2)
        assert (part.path, list(part.rows), part.parts, part.of) == ("makers/index.html", rows, (), len(rows))


def test_the_parts_of_a_long_list_hold_every_row_once_and_name_each_other():
    parts = in_parts(range(5), "methods/duplex.html", most=2)
    assert [part.path for part in parts] == [
        "methods/duplex.html", "methods/parts/duplex-2.html", "methods/parts/duplex-3.html",
    ]  # fmt: skip
    assert [row for part in parts for row in part.rows] == [0, 1, 2, 3, 4]
    for part in parts:
        assert [path for _n, path, _here in part.parts] == [one.path for one in parts]
        assert [path for _n, path, here in part.parts if here] == [part.path]


def test_every_stop_of_a_pattern_stands_once_on_its_pages(monkeypatch):
    monkeypatch.setattr(long_lists, "ROWS", 3)
    shared = SharedPipes({})
    for n in range(4):  # two stops each
        shared.add(shared.rows_of(example_instrument(f"ORG-{n}")))
    renderer = Renderer(open_site())
    more = {"lists_script": "assets/lists.js", "list_words": "{}"}
    made = {path: html.fromstring(renderer.page("shared_pipes.html", path, **context, **more))
            for path, context in shared.pages()}  # fmt: skip
    assert list(made) == [
        "shared-pipes.html", "parts/shared-pipes-octave-extension-2.html", "parts/shared-pipes-octave-extension-3.html",
    ]  # fmt: skip
    rows = [row for page in made.values() for row in page.xpath("//table[contains(@class,'broad')]/tbody/tr")]
    assert len(rows) == 8
    for path, page in made.items():
        assert "n = 8" in page.xpath("string(//h2[@id='octave-extension'])")
        for link in page.xpath("//nav[@aria-label='Parts of the list']//a/@href"):
            target = posixpath.normpath(posixpath.join(posixpath.dirname(path), link.partition("#")[0]))
            assert target in made and target != path
