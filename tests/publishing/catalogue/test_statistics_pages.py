"""Every number of every page of statistics: with n, denominator and link, and the records add up to it."""

from __future__ import annotations

import json
import math
import re
from collections import defaultdict
from functools import cache
from pathlib import Path

import pytest
from lxml import html

from inventory.organ.repertoire import chorales
from tests.publishing.walking import Listings, check_figures, listings_of, loose_numbers


def pages(site: Path) -> list[Path]:
    found = sorted([*site.glob("statistics*.html"), *(site / "statistics").glob("*.html")])
    assert len(found) > 20
    return [path for path in found if path.name != "statistics-columns.html"]  # a dictionary, no figures


@cache
def tree(path: Path) -> html.HtmlElement:
    return html.fromstring(path.read_text())


@cache
def listings(path: Path) -> Listings:
    return listings_of(tree(path))


def test_no_number_stands_loose(demo_site):
    wrong = {path.name: found for path in pages(demo_site) if (found := loose_numbers(tree(path)))}
    assert not wrong


def test_control_a_loose_number_is_found(demo_site):
    text = (demo_site / "statistics.html").read_text().replace("</h1>", "</h1><p>Of these, 17 share.</p>", 1)
    assert loose_numbers(html.fromstring(text)) == ["Of these, 17 share."]


def test_every_figure_is_the_sum_of_the_records_its_link_leads_to(demo_site):
    checked = 0
    for path in pages(demo_site):
        checked += check_figures(
            tree(path), path.name, lambda target, path=path: listings((path.parent / target).resolve())
        )
    assert checked > 1_000


def test_shares_are_printed_as_they_are_and_never_of_a_handful(demo_site):
    for path in pages(demo_site):
        for row in tree(path).xpath("//tr[@class='figure']"):
            count, of, n = (float(row.get(f"data-{name}")) for name in ("count", "of", "n"))
            value, few = row[4].text_content(), "few" in row[0].text_content()
            assert few == (n < 6 or of < 6), (path.name, row.text_content())
            if few:
                assert "%" not in value and "%" not in "".join(cell.text_content() for cell in row[-3:]), (
                    path.name
                )
            elif value.endswith("%") and value[0].isdigit():
                assert float(value.split()[0]) == pytest.approx(100 * count / of, abs=0.51)
            elif value[0].isdigit():
                assert float(value) == pytest.approx(count / of, abs=0.006)


def test_what_is_not_known_is_listed_in_full(demo_site):
    found = 0
    for path in pages(demo_site):
        for box in tree(path).xpath("//details[contains(@class,'missing')]"):
            told, of = map(int, re.findall(r"\d+", box.xpath("./summary")[0].text_content()))
            assert told == len(box.xpath(".//li")) and told < of
            found += 1
    assert found >= 2


def test_the_registrations_shown_are_all_there_are_up_to_twelve(demo_site):
    for path in (demo_site / "statistics").glob("compared-*.html"):
        for told in tree(path).xpath("//p[contains(@class,'counts')]"):
            every = int(told.get("data-registrations"))
            rows = told.xpath("./following::table[1]//tr[@class='played']")
            rates = [float(row[3].text_content()) for row in rows]
            assert len(rows) == min(12, every) and rates == sorted(rates, reverse=True), path.name
            stops = {code for row in rows for code in row.get("data-stops").split()}
            assert every <= 2 ** max(len(stops), 12) and all(" " in row.get("data-stops") for row in rows)


def test_rarity_is_that_of_the_instruments_listed(demo_site):
    rows = tree(demo_site / "statistics-rarity.html").xpath("//tr[@class='rarity']")
    assert len(rows) > 10
    by_anchor = {}
    for row in rows:
        count, of = int(row.get("data-count")), int(row.get("data-of"))
        assert len(row.xpath("./td[@class='which']/a")) == count
        assert float(row[3].text_content()) == pytest.approx(math.log2(of / count), abs=0.006)
        by_anchor[row.get("id")] = (count, of)
    for path in (demo_site / "statistics").glob("compared-*.html"):
        for row in tree(path).xpath("//tr[@class='rarity']"):
            anchor = row.xpath(".//a/@href")[0].split("#")[1]
            assert by_anchor[anchor] == (int(row.get("data-count")), int(row.get("data-of")))


def test_lists_go_by_how_much_was_looked_at_and_few_stand_last(demo_site):
    table = tree(demo_site / "statistics.html").xpath("//h2[@id='by-maker']/following::table[1]")[0]
    rows = table.xpath(".//tr[@class='figure']")
    large = [float(row.get("data-of")) for row in rows if "few" not in row[0].text_content()]
    small = [row[0].text_content() for row in rows if "few" in row[0].text_content()]
    assert large == sorted(large, reverse=True) and small == sorted(small)
    assert [("few" in row[0].text_content()) for row in rows] == [False] * len(large) + [True] * len(small)


def test_no_causal_words_and_no_broken_numbers(demo_site):
    causal = re.compile(
        r"\b(because of|caused?|influenced?|led to|due to|thanks to|results? in|effect of)\b", re.I
    )
    for path in pages(demo_site):
        words = tree(path).xpath("//main")[0].text_content()
        assert not re.search(r"\b(nan|NaN|inf|None|NaT)\b", words), path.name
        assert not causal.search(words), (path.name, causal.search(words))


def test_coincidence_over_the_repertoire_again_by_sets(demo_site):
    """The first registration of one instrument, played set by set from the published scheme."""
    path = sorted((demo_site / "statistics").glob("compared-*.html"))[0]
    row = tree(path).xpath("//tr[@class='played']")[0]
    reference = path.stem.removeprefix("compared-")
    scheme = json.loads((demo_site / "instruments" / f"{reference}.scheme.json").read_text())
    stops = row.get("data-stops").split()
    keyboard = next(s["keyboard"] for s in scheme["stops"] if s["id"] == stops[0])
    board = next(k for k in scheme["keyboards"] if k["id"] == keyboard)
    notes = board.get("notes") or list(range(board["low"], board["low"] + board["keys"]))
    key_of: dict[int, int] = {}
    for key, note in enumerate(notes, start=1):
        key_of.setdefault(note, key)
    ranks = {one["id"]: one for one in scheme["ranks"]}
    asked: dict[tuple[str, int], set[tuple[str, int]]] = defaultdict(set)
    for segment in scheme["segments"]:
        rank = ranks[segment["rank"]]
        for place, key in enumerate(range(segment["keys"][0], min(segment["keys"][1], len(notes)) + 1)):
            if "pipes" in segment:
                pipe = segment["pipes"][place]
            elif "shift" in segment:
                pipe = key + segment["shift"]
            elif rank.get("notes"):
                wanted = notes[key - 1] + segment["interval"]
                pipe = rank["notes"].index(wanted) + 1 if wanted in rank["notes"] else 0
            else:
                pipe = notes[key - 1] + segment["interval"] - rank["low"] + 1
            if 1 <= pipe <= (rank["pipes"] or 10**6):
                asked[segment["stop"], key].add((rank["id"], pipe))
    repertoire = chorales()
    calls = coincide = 0.0
    for chord, weight in zip(repertoire.note_sets(), repertoire.weights.tolist(), strict=True):
        keys = {key_of[note] for note in chord if note in key_of}
        made = [pipe for stop in stops for key in keys for pipe in asked[stop, key]]
        calls += weight * len(made)
        coincide += weight * (len(made) - len(set(made)))
    assert float(row[1].text_content()) == coincide and float(row[2].text_content()) == calls
    assert float(row[3].text_content()) == pytest.approx(coincide / calls, abs=0.0006)
