"""Every kind of bad link is planted and found; a good site has none."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from publishing.catalogue.link_reading import srcset_addresses
from publishing.catalogue.links import check_links, collect_links, join_links

GOOD = {
    "index.html": b"""<!doctype html><html><head><link rel="stylesheet" href="style/site.css">
        <link rel="canonical" href="https://example.org/"><link rel="icon" href="data:image/svg+xml,<svg/>">
        <style>h1 { background: url("style/a.png") }</style></head><body id="top-of-page">
        <a href="#top-of-page">a</a><a href="#top">b</a><a href="#">c</a><a href="">d</a><a href="?q=1">e</a>
        <a href="a/one.html">f</a><a href="a/one.html?x=1#part-2">g</a><a href="./a/../a/one.html">h</a>
        <a href="a/%C3%A9%20b.html#caf%C3%A9">i</a><a href="https://example.org/x">j</a>
        <a href="mailto:a@example.org">k</a><img src="style/a.png" srcset="style/a.png 1x, style/b.png 2x" alt="">
        <label for="q">q</label><input id="q"><object data="a/drawing.svg#stop-1"></object>
        <a href="a/scan.pdf#page=3">l</a></body></html>""",
    "a/one.html": b'<h2 id="part-2">x</h2><a href="../index.html">up</a><p style="background:url(../style/a.png)">',
    "a/\u00e9 b.html": '<a name="caf\u00e9"></a>'.encode(),
    "a/drawing.svg": b'<svg xmlns="http://www.w3.org/2000/svg"><defs><g id="stop-1"/><marker id="m"/></defs>'
    b'<use href="#stop-1"/><use xlink:href="#stop-1"/><path marker-end="url(#m)"/><a href="one.html"/></svg>',
    "a/scan.pdf": b"%PDF",
    "style/site.css": b"@import 'more.css'; /* url(gone.png) */ a { background: url( b.png ) } b { fill: url(#m) }",
    "style/more.css": b"",
    "style/a.png": b"1",
    "style/b.png": b"2",
}


def problems(page: str | bytes, path: str = "page.html") -> list[tuple[str, int]]:
    content = page if isinstance(page, bytes) else page.encode()
    report = check_links({**GOOD, path: content})
    assert all(problem.page == path for problem in report.problems)
    assert all(problem.message and str(problem) for problem in report.problems)
    return [(problem.kind, problem.line) for problem in report.problems]


def test_a_good_site_has_no_problems_and_outside_links_are_counted():
    report = check_links(GOOD)
    assert report.problems == ()
    assert report.outside == 3  # canonical, example.org/x, mailto
    assert report.inside > 25


@pytest.mark.parametrize(
    ("markup", "kind"),
    [
        ('<a href="gone.html">', "dead page"),
        ('<a href="A/one.html">', "dead page"),  # capitals count
        ('<img src="gone.png">', "dead page"),
        ('<img src="style/a.png" srcset="style/a.png 1x, gone.png 2x">', "dead page"),
        ('<source srcset="gone.webp 480w">', "dead page"),
        ('<link rel="preload" imagesrcset="gone.png 2x" href="style/a.png">', "dead page"),
        ('<video poster="gone.png">', "dead page"),
        ('<object data="gone.svg">', "dead page"),
        ('<script src="gone.js"></script>', "dead page"),
        ('<link rel="stylesheet" href="gone.css">', "dead page"),
        ('<link rel="next" href="gone.html">', "dead page"),
        ('<form action="gone.html">', "dead page"),
        ('<p style="background: url(gone.png)">', "dead page"),
        ("<style>p { background: url('gone.png') }</style>", "dead page"),
        ("<style>@import 'gone.css';</style>", "dead page"),
        ("<style>p { background: url(gone.png)", "dead page"),
        ('<svg><use href="gone.svg#a"/></svg>', "dead page"),
        ('<svg><image xlink:href="gone.png"/></svg>', "dead page"),
        ('<meta http-equiv="refresh" content="0; url=gone.html">', "dead page"),
        ('<a href="#nowhere">', "dead fragment"),
        ('<a href="a/one.html#nowhere">', "dead fragment"),
        ('<svg><use href="#nowhere"/></svg>', "dead fragment"),
        ('<svg><use xlink:href="a/drawing.svg#nowhere"/></svg>', "dead fragment"),
        ('<svg><path fill="url(#nowhere)"/></svg>', "dead fragment"),
        ('<label for="nowhere">', "dead fragment"),
        ('<p aria-labelledby="nowhere">', "dead fragment"),
        ('<a href="../secret.html">', "leaves the site"),
        ('<a href="a/">', "folder"),
        ('<a href="a">', "folder"),
        ('<a href=".">', "folder"),
        ('<a href="/index.html">', "absolute path"),
        ('<a href="file:///c/index.html">', "absolute path"),
        ('<img src="file:///c/a.png">', "absolute path"),
        ('<a href="a\\one.html">', "backslash"),
        ('<img src="style\\a.png">', "backslash"),
        ('<a href="javascript:void(0)">', "script link"),
        ('<a href="gopher://example.org">', "unknown scheme"),
        ('<img src="">', "no address"),
        ('<img src="https://example.org/a.png">', "foreign request"),
        ('<img src="//example.org/a.png">', "foreign request"),
        ('<img srcset="http://example.org/a.png 2x">', "foreign request"),
        ('<script src="https://example.org/a.js"></script>', "foreign request"),
        ('<link rel="stylesheet" href="https://example.org/a.css">', "foreign request"),
        ('<link rel="PRECONNECT" href="https://example.org">', "foreign request"),
        ('<iframe src="https://example.org"></iframe>', "foreign request"),
        ('<video src="https://example.org/a.mp4">', "foreign request"),
        ('<style>@import url(https://example.org/a.css);</style>', "foreign request"),
        ('<p style="background:url(&quot;https://example.org/a.png&quot;)">', "foreign request"),
        ('<svg><use href="https://example.org/a.svg#b"/></svg>', "foreign request"),
        ('<a href="a/one.html" ping="https://example.org/count">', "foreign request"),
        ('<meta http-equiv="Refresh" content="5;URL=\'https://example.org\'">', "foreign request"),
        ('<base href="a/">', "base address"),
        ('<i id="x"></i><b id="x"></b>', "id twice"),
    ],
)  # fmt: skip
def test_every_kind_of_bad_link_is_found_with_its_line(markup, kind):
    assert problems("<p>\n\n" + markup) == [(kind, 3)]


def test_bad_links_in_style_sheets_and_drawings_are_found_with_their_line():
    css = b'/* one\ntwo */ a { background: url(gone.png) }\n@import url("https://example.org/a.css");'
    assert problems(css, "style/new.css") == [("dead page", 2), ("foreign request", 3)]
    svg = b'<svg>\n<use href="#gone"/><style>a { fill: url(b.svg) }</style></svg>'
    assert problems(svg, "a/new.svg") == [("dead fragment", 2), ("dead page", 2)]
    assert problems(b"<p>\n\xff\xfe</p>") == [("not UTF-8", 2)]


def test_links_may_be_collected_apart_and_joined_later_against_all_paths():
    first = collect_links("one.html", b'<a href="two.html#x">')
    assert [problem.kind for problem in join_links([first], ["one.html"]).problems] == ["dead page"]
    second = collect_links("two.html", b'<p id="x">')
    assert join_links([second, first], ["one.html", "two.html"]).problems == ()
    changed = collect_links("two.html", b'<p id="y">')
    assert [problem.kind for problem in join_links([first, changed], ["one.html", "two.html"]).problems] == [
        "dead fragment"
    ]


def test_ordinary_outside_links_are_no_request():
    assert problems('<a href="https://example.org">x</a><blockquote cite="https://example.org/b">') == []


def test_addresses_of_a_srcset():
    assert list(srcset_addresses("a.png, b.png 2x,c,d.png 300w")) == ["a.png", "b.png", "c,d.png"]
    assert list(srcset_addresses("  ")) == []


@settings(max_examples=150)
@given(st.text(alphabet="<>/=\"'# ahrefsvgurl()@:.\\%&;!-[]\n", max_size=120))
def test_any_text_is_read_without_an_error(text):
    for path in ("x.html", "x.css", "x.svg"):
        check_links({path: text.encode()})
