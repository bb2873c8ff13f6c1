"""Instruments made by real processes: the same bytes; one that is killed leaves the old site whole and is told of."""

from __future__ import annotations

import io
import os
import signal
from contextlib import contextmanager
from multiprocessing import active_children

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Instrument
from publishing.catalogue.beginning import workers_of
from publishing.catalogue.coast import Coast
from publishing.catalogue.export import export_catalogue
from publishing.catalogue.making import Facts, make_instruments
from publishing.catalogue.manifest import verify_site
from publishing.catalogue.map_page import Locators
from publishing.catalogue.packing import pack
from publishing.management.commands import publish_catalogue
from tests.publishing.catalogue.editing import RandomEditor
from tests.publishing.catalogue.test_same_bytes import differing


def test_a_process_begun_from_nothing_knows_the_program_before_it_reads_what_it_is_given(tmp_path):
    facts = Facts(("en",), None, {}, None, {}, Locators(Coast((), 0.0), None), tmp_path)
    with workers_of(2) as pool:
        assert pool is not None and pool.submit(make_instruments, pack(facts), []).result(timeout=120) == []
    with workers_of(1) as pool:
        assert pool is None


@pytest.mark.thorough
def test_real_processes_make_the_same_bytes_and_one_that_is_killed_leaves_the_old_site(
    house, people, monkeypatch
):
    # A process begun from nothing reads its settings from the environment.
    monkeypatch.setenv("UPPERBOARD_DATA", str(house / "data"))
    monkeypatch.setenv("UPPERBOARD_MEDIA", str(house / "media"))
    RandomEditor(people.keeper, seed=5)
    export_catalogue(house / "alone")
    with workers_of(2) as pool:
        assert pool is not None
        export_catalogue(house / "site", executor=pool, waiting=4)
        assert differing(house / "alone", house / "site") == [] and verify_site(house / "site") == []

        Instrument.objects.update(name="Another name")
        began = len(active_children())
        for child in active_children():
            os.kill(child.pid, signal.SIGKILL)

        @contextmanager
        def these(count):
            yield pool

        monkeypatch.setattr(publish_catalogue, "workers_of", these)
        with pytest.raises(CommandError, match="ended from outside.*The old site was left as it was.*fewer"):
            call_command(
                "publish_catalogue",
                to=house / "site",
                full=True,
                workers=2,
                stdout=io.StringIO(),
                verbosity=0,
            )
    assert began >= 1 and differing(house / "alone", house / "site") == []
    assert "Another name" not in "".join(page.read_text() for page in (house / "site").rglob("*.html"))
    # With a whole process the next export succeeds.
    monkeypatch.undo()
    export_catalogue(house / "site")
    assert verify_site(house / "site") == [] and differing(house / "alone", house / "site") != []
