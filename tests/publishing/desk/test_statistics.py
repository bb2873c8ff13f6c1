"""Figures in the workroom: the catalogue's, walked number by number; choices, downloads, studies, edges."""

from __future__ import annotations

import io
import re
import subprocess
import sys
import zipfile
from dataclasses import replace
from functools import cache

import pandas as pd
import pytest
from django.test import Client
from lxml import html

from publishing.desk import figures
from publishing.desk.figures import Figures
from publishing.statistics.examples import example_instrument
from publishing.statistics.frames import frames_of
from tests.factory import add_shared_rank, make_instrument, make_public
from tests.publishing.walking import Listings, check_figures, listings_of, loose_numbers

ADDRESS = "/desk/statistics/"


def page_of(client: Client, address: str) -> html.HtmlElement:
    answer = client.get(address)
    assert answer.status_code == 200, (address, answer.content[:300])
    assert "private" in answer["Cache-Control"]
    return html.fromstring(answer.content.decode())


def follower(client: Client, kept: dict[str, Listings]):
    """Follows a link to the lists of records there, each page once."""

    def follow(target: str) -> Listings:
        if target not in kept:
            kept[target] = listings_of(page_of(client, target))
        return kept[target]

    return follow


def test_every_number_has_n_denominator_and_a_link_to_records_that_add_up_to_it(demo):
    kept: dict[str, Listings] = {}
    checked = 0
    for query in ("by=decade", "by=level&view=1900"):
        address = f"{ADDRESS}?{query}"
        root = page_of(demo.reader, address)
        assert not loose_numbers(root)
        checked += check_figures(root, address, follower(demo.reader, kept))
        words = root.xpath("//main")[0].text_content()
        assert not re.search(r"\b(nan|NaN|inf|NaT)\b", words)
    groups = [target for target in kept if "by=all" not in target]
    for target in [*groups[::5], *(t for t in kept if "by=all" in t)][:6]:
        root = page_of(demo.reader, target)
        assert not loose_numbers(root), target
        checked += check_figures(root, target, follower(demo.reader, kept))
    assert len(groups) > 12 and checked > 200


def test_control_a_number_that_its_records_do_not_add_up_to_is_found(demo):
    root = page_of(demo.reader, f"{ADDRESS}?by=level")
    (row,) = root.xpath("//h2[@id='instruments']/following::tr[@class='figure'][1]")
    alone = html.fromstring(f"<main><table>{html.tostring(row, encoding='unicode')}</table></main>")
    follow = follower(demo.reader, {})
    assert check_figures(alone, "right", follow) == 1
    alone.xpath("//tr")[0].set("data-count", "27")
    with pytest.raises(AssertionError):
        check_figures(alone, "wrong", follow)


def test_the_table_downloaded_here_is_the_catalogue_s_byte_for_byte(demo, demo_site):
    for name in ("contributions", "maker-periods", "segments"):
        told = demo.reader.get(f"/desk/statistics/table/{name}.csv").content
        assert told == (demo_site / "statistics" / f"as-found-{name}.csv").read_bytes()


def test_of_the_database_released_records_are_shown_and_no_others(people, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    shown = make_instrument(people.surveyor)
    add_shared_rank(shown, people.curator, keys=12)
    shown.refresh_from_db()
    make_public(shown, people.editor)
    hidden = make_instrument(people.surveyor, name="Qwyxthorpe organ")
    add_shared_rank(hidden, people.curator, keys=12)
    client = Client()
    client.force_login(people.keeper)  # sees drafts elsewhere
    root = page_of(client, f"{ADDRESS}group/?by=all&key=instruments")
    references = set(root.xpath("//tr/@data-reference"))
    assert references == {shown.reference}
    for address in (ADDRESS, f"{ADDRESS}table/segments.csv", f"{ADDRESS}table/instruments.csv"):
        content = client.get(address).content.decode()
        assert hidden.reference not in content and "Qwyxthorpe" not in content


def test_downloads_hold_the_same_rows_in_both_forms_for_every_table(demo):
    for name in (*figures.TABLE_NAMES, "contributions"):
        csv = demo.curator.get(f"/desk/statistics/table/{name}.csv?view=as-built")
        parquet = demo.curator.get(f"/desk/statistics/table/{name}.parquet?view=as-built")
        assert csv.headers["Content-Disposition"] == f'attachment; filename="as-built-{name}.csv"'
        one = pd.read_csv(io.BytesIO(csv.content), keep_default_na=False)
        other = pd.read_parquet(io.BytesIO(parquet.content))
        assert list(one.columns) == list(other.columns) and len(one) == len(other) > 0


@pytest.mark.parametrize(
    "query", ["view=yesterday", "view=at&year=", "view=at&year=99999", "by=colour", "view=%00"]
)
def test_what_is_not_offered_is_refused_in_words(demo, query):
    answer = demo.reader.get(f"{ADDRESS}?{query}")
    assert answer.status_code == 422 and "Traceback" not in answer.content.decode()
    for address in ("group/?view=x", "group/?by=maker&key=MKR-NONE", "table/stops.xlsx", "table/users.csv"):
        assert demo.reader.get(ADDRESS + address).status_code == 404


def test_a_study_of_a_subset_is_downloaded_and_its_script_agrees(demo, tmp_path):
    chosen = page_of_study(demo, "view=as-found&pattern=octave+extension")
    held = int(re.search(r"(\d+) of \d+ published", chosen.text_content()).group(1))
    (href,) = chosen.xpath("//a[contains(@href,'study.zip')]/@href")
    answer = demo.reader.get(href)
    assert answer.headers["Content-Type"] == "application/zip" and "private" in answer["Cache-Control"]
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        packed.extractall(tmp_path)
    assert len(pd.read_csv(tmp_path / "instruments.csv")) == held > 5
    assert len((tmp_path / "recompute.py").read_text().splitlines()) <= 30
    done = subprocess.run([sys.executable, tmp_path / "recompute.py"], capture_output=True, text=True)
    assert done.returncode == 0 and "as told" in done.stdout, done.stderr
    for query in ("pattern=none", "maker=MKR-NONE", "view=x"):
        assert demo.reader.get(f"/desk/statistics/study.zip?{query}").status_code == 422


def page_of_study(demo, query: str) -> html.HtmlElement:
    answer = demo.reader.get(f"/desk/statistics/study/?{query}")
    assert answer.status_code == 200
    return html.fromstring(answer.content.decode())


def undated():
    organ = example_instrument()
    return replace(organ, layers=tuple(replace(layer, when=None, maker=None) for layer in organ.layers))


EDGES = {
    "empty": (),
    "one": (example_instrument(),),
    "nothing shared": (example_instrument(shares=False), example_instrument("ORG-2", shares=False)),
    "no dates, no makers": (undated(),),
    "no specification": (replace(example_instrument(), specifications=()),),
}


@pytest.mark.parametrize("case", EDGES)
def test_little_is_said_to_be_little_and_nothing_is_broken(case, demo, show_tables):
    read = cache(lambda view: Figures(frames_of(EDGES[case], view), {}, {}))
    show_tables(read)
    kept: dict[str, Listings] = {}
    for address in (
        ADDRESS,
        f"{ADDRESS}?by=decade",
        f"{ADDRESS}?view=as-built&by=level",
        f"{ADDRESS}?view=1700",
    ):
        root = page_of(demo.reader, address)
        words = root.xpath("//main")[0].text_content()
        assert not re.search(r"\b(nan|NaN|inf|NaT|None)\b", words), address
        assert "%" not in words.replace("95 %", ""), address
        check_figures(root, address, follower(demo.reader, kept))
        if case == "empty":
            assert "there is nothing to count" in words and "Nothing to count." in words
    assert "Not known of any instrument" in page_of(demo.reader, f"{ADDRESS}?by=place").text_content()
    study = page_of_study(demo, "").text_content()
    assert ("No published instrument is chosen" in study) == (case == "empty")
    assert demo.reader.get("/desk/statistics/study.zip").status_code == 200
    for path in ("figures", "figures?by=decade", "rows?table=segments"):
        told = demo.reader.get(f"/api/v1/statistics/{path}")
        assert told.status_code == 200 and "NaN" not in told.content.decode()
