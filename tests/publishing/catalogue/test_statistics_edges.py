"""Pages of statistics of next to nothing, of very much, and of one edited instrument."""

from __future__ import annotations

import posixpath
import re
from dataclasses import replace

import pytest
from lxml import html

from publishing.catalogue import statistics_few, statistics_page
from publishing.catalogue.rendering import Renderer, open_site
from publishing.catalogue.statistics_pages import StatisticsPages, statistics_part
from publishing.disclosure.values import Link, PublicPlace
from publishing.statistics.examples import example_instrument
from tests.publishing.walking import check_figures, listings_of


def files_of(*organs) -> dict[str, str]:
    """Every page and table of the statistics of these instruments."""
    parts = [statistics_part(organ) for organ in organs]
    made = dict(StatisticsPages({}, lambda: parts).pages(Renderer(open_site())))
    return {path: content.decode() for path, content in made.items() if path.endswith((".html", ".csv"))}


def words_of(page: str) -> str:
    return " ".join(html.fromstring(page).xpath("//main")[0].text_content().split())


def undated():
    organ = example_instrument()
    return replace(organ, layers=tuple(replace(layer, when=None, maker=None) for layer in organ.layers))


CASES = {
    "empty": (),
    "one": (example_instrument(),),
    "nothing shared": (example_instrument(shares=False), example_instrument("ORG-2", shares=False)),
    "no dates, no makers": (undated(),),
    "no specification": (replace(example_instrument(), specifications=()),),
}


@pytest.mark.parametrize("case", CASES)
def test_little_is_said_to_be_little_and_nothing_is_broken(case):
    made = files_of(*CASES[case])
    for path, page in made.items():
        shown = words_of(page) if path.endswith(".html") else page
        assert not re.search(r"\b(nan|NaN|inf|NaT|None)\b", shown), (path, shown[:300])
    overview = words_of(made["statistics.html"])
    assert "%" not in re.sub(r"95 %", "", overview)
    if case == "empty":
        assert "there is nothing to count" in overview and "Nothing to count." in overview
    if case in ("empty", "one", "nothing shared", "no specification"):
        assert "there is nothing to compare" in words_of(made["statistics-comparison.html"])
    if case in ("empty", "nothing shared", "no specification"):
        assert "No published instrument is unified" in words_of(made["statistics-rarity.html"])
    if case == "no dates, no makers":
        assert "Not known of 1 of 1 instruments" in overview
    if case == "one":
        assert "No other published instrument shares pipes." in words_of(
            made["statistics/compared-ORG-1.html"]
        )


def test_the_records_of_a_large_group_stand_in_the_table(monkeypatch):
    monkeypatch.setattr(statistics_page, "MOST_LISTED", 3)
    made = files_of(*(example_instrument(f"ORG-{n}") for n in range(5)))
    page = made["statistics/as-found-all-instruments.html"]
    assert "as-found-contributions.csv" in page and 'class="listing' not in page
    anchors = set(re.findall(r'id="([^"]+)"', page))
    links = re.findall(r'as-found-all-instruments.html#([^"]+)"', "".join(made.values()))
    assert links and set(links) <= anchors
    rows = [
        line
        for line in made["statistics/as-found-contributions.csv"].splitlines()
        if line.startswith("stops,part")
    ]
    assert len(rows) == 5


def test_an_edit_changes_only_what_it_says():
    """The contributions of the other instruments are the same to the letter."""
    before = files_of(*(example_instrument(f"ORG-{n}") for n in range(4)))
    after = files_of(*(example_instrument(f"ORG-{n}", shares=n != 2) for n in range(4)))
    name = "statistics/as-found-contributions.csv"

    def others(made: dict[str, str]) -> list[str]:
        return [line for line in made[name].splitlines() if "ORG-2" not in line]

    assert before[name] != after[name] and others(before) == others(after)


def test_groups_of_few_share_pages_and_long_lists_have_pages_of_their_own(monkeypatch):
    monkeypatch.setattr(statistics_few, "SHARED_BY", 2)
    monkeypatch.setattr(statistics_few, "LISTED_ON", 2)
    monkeypatch.setattr(statistics_page, "MOST_GROUPS", 2)
    monkeypatch.setattr(statistics_page.ViewPages, "most_groups", 2)
    organs = [in_town(example_instrument(f"ORG-{n}", shares=n % 2 == 0), f"PLC-{n // 2}") for n in range(6)]
    organs += [in_town(example_instrument(f"ORG-{n}"), "PLC-9") for n in range(10, 16)]
    made = files_of(*organs)
    lists = [path for path in made if "as-found-place-list-" in path]
    few = [path for path in made if "as-found-place-few-" in path]
    assert len(lists) == 2 and len(few) == 2
    assert [path for path in made if "as-found-place-PLC" in path] == ["statistics/as-found-place-PLC-9.html"]
    assert 'href="statistics/as-found-place-list-1.html"' in made["statistics.html"]
    checked = 0
    for path in ("statistics.html", *lists):
        folder = posixpath.dirname(path)
        checked += check_figures(
            html.fromstring(made[path]),
            path,
            lambda to, folder=folder: listings_of(
                html.fromstring(made[posixpath.normpath(posixpath.join(folder, to))])
            ),
        )
    assert checked > 40
    assert sum(made[path].count('class="listing') for path in few) == 3
    names = [
        row for path in lists for row in re.findall(r'class="figure".*?<th scope="row">(\S+)', made[path])
    ]
    assert len(names) == 4 and len(set(names)) == 4


def in_town(organ, reference: str):
    """The instrument in a church of a town: a building is no group of its own."""
    links = tuple(Link("places", f"{reference}{end}", f"{reference}{end}") for end in ("-church", ""))
    place = PublicPlace(
        links[0].reference, 1, "", links[0].name, (), "building", "", links[1:], None, links[0]
    )
    return replace(organ, place=place)
