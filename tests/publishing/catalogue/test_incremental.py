"""An export that takes over what did not change gives the bytes of one that makes everything anew."""

from __future__ import annotations

import pickle
from concurrent.futures import Executor, ThreadPoolExecutor
from pathlib import Path

import pytest

from inventory.models import Claim
from publishing.catalogue import making, statistics_pages
from publishing.catalogue.export import export_catalogue
from publishing.catalogue.manifest import verify_site
from tests.publishing.catalogue.editing import RandomEditor
from tests.publishing.catalogue.test_same_bytes import differing


def follow(house: Path, editor: RandomEditor, edits: int) -> list[str]:
    """After each edit export over the last site and beside it anew; the edits made. Same bytes, or it fails."""
    made = []
    export_catalogue(house / "site")
    for _number in range(edits):
        made.append(editor.edit())
        export_catalogue(house / "site")
        export_catalogue(house / "anew", full=True)
        assert differing(house / "site", house / "anew") == [], made[-5:]
        assert verify_site(house / "site") == []
    return made


def test_after_each_random_edit_the_bytes_are_those_of_a_full_export(house, people, monkeypatch):
    monkeypatch.setattr(
        statistics_pages, "VIEWS", statistics_pages.VIEWS[:1]
    )  # the thorough test has them all
    follow(house, RandomEditor(people.keeper, seed=11), edits=10)


def test_an_edit_of_one_instrument_renders_no_other(house, people, monkeypatch):
    monkeypatch.setattr(statistics_pages, "VIEWS", statistics_pages.VIEWS[:1])
    editor = RandomEditor(people.keeper, seed=11)
    export_catalogue(house / "site")
    made: list[str] = []
    make = making.InstrumentMaker.make
    monkeypatch.setattr(
        making.InstrumentMaker, "make", lambda self, organ: made.append(organ.reference) or make(self, organ)
    )
    organ = editor.organ()
    editor.put(organ, Claim(instrument=organ, code="more", about="pitch_hz", value="440"))
    report = export_catalogue(house / "site")
    assert made == [organ.reference]
    # Its page and drawing sheets, the tables and pages that state its version.
    assert 0 < report.written < 30 < report.unchanged


@pytest.mark.parametrize("workers", [1, 2, 3])
def test_any_number_of_workers_makes_the_same_bytes(house, people, monkeypatch, workers):
    monkeypatch.setattr(statistics_pages, "VIEWS", statistics_pages.VIEWS[:1])
    RandomEditor(people.keeper, seed=5)
    export_catalogue(house / "alone")
    with ThreadPoolExecutor(1) as pool:
        export_catalogue(house / "site", executor=Sent(pool), waiting=workers)
    assert differing(house / "alone", house / "site") == []


class Sent(Executor):
    """An executor whose work goes and comes as bytes, as to another machine."""

    def __init__(self, pool: Executor) -> None:
        self.pool = pool

    def submit(self, work, /, *arguments, **named):
        packed = pickle.dumps((work, arguments, named))

        def done() -> object:
            sent, given, more = pickle.loads(packed)
            return pickle.loads(pickle.dumps(sent(*given, **more)))

        return self.pool.submit(done)


@pytest.mark.thorough
@pytest.mark.parametrize("seed", range(10))
def test_after_each_of_fifty_random_edits_more_the_bytes_are_those_of_a_full_export(house, people, seed):
    follow(house, RandomEditor(people.keeper, seed=seed), edits=50)
