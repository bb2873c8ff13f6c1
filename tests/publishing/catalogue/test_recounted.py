"""The figures of the statistics, counted again by the plainest means from the exported files and the fixture.

Nothing here is shared with the sums: every key of every segment is gone through one by one.
"""

from __future__ import annotations

import json
import re
from collections import defaultdict
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.publishing.conftest import ROOT


class Tables(HTMLParser):
    """Rows of the tables of a page, under the anchor of the heading before them: cells and links."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.rows: dict[str, list[list[str]]] = defaultdict(list)
        self.links: dict[str, list[str]] = defaultdict(list)
        self.anchor, self.in_body, self.in_cell = "", False, False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        if tag == "h2":
            self.anchor = named.get("id") or self.anchor
        elif tag == "tbody":
            self.in_body = True
        elif tag == "tr" and self.in_body:
            self.rows[self.anchor].append([])
            self.links[self.anchor].append("")
        elif tag in ("td", "th") and self.in_body:
            self.rows[self.anchor][-1].append("")
            self.in_cell = True
        elif tag == "a" and self.in_cell and self.rows[self.anchor]:
            self.links[self.anchor][-1] = named.get("href") or ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "tbody":
            self.in_body = False
        elif tag in ("td", "th"):
            self.in_cell = False

    def handle_data(self, data: str) -> None:
        if self.in_cell:
            self.rows[self.anchor][-1][-1] += data.strip()


def recount(scheme: dict) -> dict:
    """Callers of every pipe, key by key."""
    keyboards = {one["id"]: one for one in scheme["keyboards"]}
    ranks = {one["id"]: one for one in scheme["ranks"]}
    stops = {one["id"]: one for one in scheme["stops"]}
    calls: set[tuple[str, int, str, int]] = set()
    for segment in scheme["segments"]:
        stop, rank = stops[segment["stop"]], ranks[segment["rank"]]
        if stop.get("state", "present") != "present":
            continue
        keyboard = keyboards[stop["keyboard"]]
        low, high = stop.get("keys") or (1, 10**6)
        first, last = segment["keys"]
        for key in range(first, last + 1):
            if not low <= key <= high:
                continue
            if "pipes" in segment:
                asked = [segment["pipes"][key - first]]
            elif "shift" in segment:
                asked = [key + segment["shift"]]
            else:
                notes = keyboard.get("notes") or list(
                    range(keyboard["low"], keyboard["low"] + keyboard["keys"])
                )
                beyond = list(range(notes[-1] + 1, notes[-1] + 1 + keyboard.get("reach", 0)))
                wanted = (notes + beyond)[key - 1] + segment["interval"]
                asked = pipes_at(rank, wanted)
            for pipe in asked:
                if 1 <= pipe <= (rank["pipes"] or 10**6):  # a pipe that is gone keeps its place in the scheme
                    calls.add((stop["id"], key, rank["id"], pipe))
    callers: dict[tuple[str, int], set[str]] = defaultdict(set)
    for stop_id, _key, rank_id, pipe in calls:
        callers[rank_id, pipe].add(stop_id)
    return {
        "calls": len(calls),
        "called": len(callers),
        "shared": sum(len(those) > 1 for those in callers.values()),
        "callers": callers,
        "stops": {
            stop_id: {
                len(callers[rank_id, pipe]) > 1 for caller, _key, rank_id, pipe in calls if caller == stop_id
            }
            for stop_id in stops
        },
    }


def pipes_at(rank: dict, note: int) -> list[int]:
    """The pipe that speaks a note: by its list of notes, its several tones, or counted from the lowest."""
    several = [int(pipe) for pipe, tones in (rank.get("tones") or {}).items() if note in tones]
    if several:
        return several
    if rank.get("notes"):
        return [place for place, own in enumerate(rank["notes"], start=1) if own == note]
    return [note - rank["low"] + 1] if rank.get("low") is not None else []


@pytest.fixture(scope="module")
def recounted(demo_site) -> dict[str, dict]:
    """The recount of every exported scheme, by reference."""
    return {
        path.name.removesuffix(".scheme.json"): recount(json.loads(path.read_text()))
        for path in sorted((demo_site / "instruments").glob("*.scheme.json"))
    }


@pytest.fixture(scope="module")
def tables(demo_site) -> Tables:
    return Tables((demo_site / "statistics.html").read_text())


def number(text: str) -> int:
    return int(re.sub(r"\D", "", text))


def test_calls_and_pipes_of_every_sharing_instrument_are_as_counted_one_by_one(recounted, tables):
    sharing = {reference: one for reference, one in recounted.items() if one["shared"]}
    printed = {}
    for cells, href in zip(tables.rows["economy"], tables.links["economy"], strict=True):
        printed[re.search(r"instruments/([^/.]+)\.html", href).group(1)] = tuple(map(number, cells[1:4]))
    assert len(sharing) >= 4
    assert printed == {
        reference: (one["calls"], one["called"], one["shared"]) for reference, one in sharing.items()
    }


def test_pipes_by_their_number_of_callers(recounted, tables):
    counted: dict[int, int] = defaultdict(int)
    for one in recounted.values():
        for stops in one["callers"].values():
            counted[len(stops)] += 1
    printed = {number(cells[0]): (number(cells[1]), number(cells[2])) for cells in tables.rows["pipes"]}
    assert printed == {depth: (count, sum(counted.values())) for depth, count in counted.items()}


def test_the_home_page_s_four_figures(recounted, demo_site):
    text = (demo_site / "index.html").read_text()
    printed = [number(found) for found in re.findall(r'<span class="number">([^<]+)</span>', text)][:4]
    public = [
        row
        for row in fixture_rows("inventory.instrument")
        if row["state"] == "released" and row["audience"] == "public"
    ]
    makers = [
        row
        for row in fixture_rows("inventory.maker")
        if row["state"] == "released" and row["audience"] == "public"
    ]
    shared = sum(one["shared"] for one in recounted.values())
    assert printed == [
        len(public),
        sum(bool(one["shared"]) for one in recounted.values()),
        len(makers),
        shared,
    ]


def fixture_rows(model: str) -> list[dict]:
    return [
        row["fields"]
        for row in json.loads((ROOT / "fixtures" / "demo.json").read_text())
        if row["model"] == model
    ]


def test_each_maker_s_figures_as_the_layers_and_events_of_the_fixture_give_them(recounted, tables, demo_site):
    """Sharing counts for the maker of its layer; else the first maker of the history that is not rejected."""
    public = {
        row["reference"]
        for row in fixture_rows("inventory.instrument")
        if row["state"] == "released" and row["audience"] == "public"
    }
    makers = {
        row["reference"]
        for row in fixture_rows("inventory.maker")
        if row["state"] == "released" and row["audience"] == "public"
    }
    layers = {
        (row["instrument"][0], row["code"]): (row.get("maker") or [None])[0]
        for row in fixture_rows("inventory.layer")
    }
    expected: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    unclear = set()
    for reference in public:
        one = recounted.get(reference)
        shares = bool(one and one["shared"])
        sharing_makers = set()
        if shares:
            for segment in fixture_rows("inventory.segment"):
                instrument, specification, stop = segment["stop"]
                if instrument == reference and any(one["stops"].get(stop, set())) and segment.get("layer"):
                    maker = layers[reference, segment["layer"][1]]
                    if maker in makers:
                        sharing_makers.add(maker)
        if len(sharing_makers) == 1:
            maker = sharing_makers.pop()
        elif sharing_makers:
            unclear |= sharing_makers
            continue
        else:
            maker = first_maker(reference, makers, demo_site)
        if maker:
            expected[maker][0] += shares
            expected[maker][1] += 1
    printed = {}
    for cells, href in zip(tables.rows["makers"], tables.links["makers"], strict=True):
        printed[re.search(r"makers/([^/.]+)\.html", href).group(1)] = [number(cells[1]), number(cells[2])]
    settled = {maker: counts for maker, counts in expected.items() if maker not in unclear}
    assert len(settled) >= 3
    assert {maker: printed.get(maker) for maker in settled} == settled
    assert sum(of for _count, of in printed.values()) <= len(public)


def first_maker(reference: str, makers: set[str], site: Path) -> str | None:
    """The maker of the first line of the page's history that names one."""
    page = (site / "instruments" / f"{reference}.html").read_text()
    history = page.partition('id="history"')[2].partition("</ul>")[0]
    for line in history.split("<li>"):
        found = re.search(r"makers/([^/.\"]+)\.html", line)
        if found and found.group(1) in makers and "formerly attributed, rejected" not in line:
            return found.group(1)
    return None


def test_every_figure_has_its_denominator_and_a_way_to_its_records(tables, demo_site):
    assert {"makers", "stops", "patterns", "devices", "pipes", "evidence", "economy"} <= tables.rows.keys()
    for anchor, rows in tables.rows.items():
        for cells, href in zip(rows, tables.links[anchor], strict=True):
            assert href, (anchor, cells)
            path, _hash, fragment = href.partition("#")
            target = demo_site / path
            assert target.is_file(), href
            assert not fragment or f'id="{fragment}"' in target.read_text(), href
            if anchor != "economy":
                count, of = number(cells[1]), number(cells[2])
                assert 0 <= count <= of and of > 0, (anchor, cells)
    text = (demo_site / "statistics.html").read_text()
    assert re.search(r"n = \d+", text) and "NaN" not in text


def test_control_one_pipe_more_is_noticed(demo_site):
    path = sorted((demo_site / "instruments").glob("*.scheme.json"))[0]
    scheme = json.loads(path.read_text())
    before = recount(scheme)
    scheme["segments"] = scheme["segments"][1:]
    assert recount(scheme)["calls"] != before["calls"]
