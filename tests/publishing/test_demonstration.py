"""The demo: from an empty folder to a published site, and never over somebody's own records."""

import os
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from publishing.demonstration import DemoRefused, demo_references, load_demo, make_keeper, open_servers
from tests.factory import make_instrument

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.thorough  # the catalogue's own tests start from the same command
def test_the_demo_makes_everything_from_an_empty_folder_and_says_where(tmp_path):
    environment = {**os.environ, "UPPERBOARD_DATA": str(tmp_path / "data")}
    environment.pop("DATABASE_URL", None)
    done = subprocess.run(
        [sys.executable, "manage.py", "demo", "--no-serve", "--to", str(tmp_path / "site")],
        cwd=ROOT, env=environment, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert str(tmp_path / "site" / "index.html") in done.stdout and "password" in done.stdout
    assert (tmp_path / "site" / "index.html").exists()
    assert (tmp_path / "data" / "secret_key").exists()
    again = subprocess.run(
        [sys.executable, "manage.py", "demo", "--no-serve", "--to", str(tmp_path / "site")],
        cwd=ROOT, env=environment, capture_output=True, text=True,
    )  # fmt: skip
    assert again.returncode == 0 and "here already" in again.stdout and " 0 pages written" in again.stdout


def test_the_demo_is_refused_where_there_are_records_of_ones_own(people, settings, tmp_path):
    settings.MEDIA_ROOT = str(tmp_path)
    make_instrument(people.surveyor, reference="MY-OWN-ORGAN")
    with pytest.raises(DemoRefused, match="MY-OWN-ORGAN"):
        load_demo()
    assert "MY-OWN-ORGAN" not in demo_references()


@pytest.mark.django_db
def test_a_new_keeper_has_a_new_password_each_time():
    from inventory.models import User

    first, second = make_keeper(), make_keeper()
    keeper = User.objects.get()
    assert first != second and keeper.check_password(second) and keeper.role == "keeper"


def test_both_servers_answer_on_loopback_only(tmp_path):
    (tmp_path / "index.html").write_text("<p>here")
    served = open_servers(tmp_path, 18_000)
    try:
        assert all("127.0.0.1" in address for address in served.addresses)
        assert {served.workroom.server_address[0], served.catalogue.server_address[0]} == {"127.0.0.1"}
        import threading

        threading.Thread(target=served.catalogue.serve_forever, daemon=True).start()
        with urllib.request.urlopen(served.addresses[1], timeout=10) as answer:
            assert b"here" in answer.read()
        served.catalogue.shutdown()
    finally:
        served.catalogue.server_close()
        served.workroom.server_close()


@pytest.mark.django_db
def test_a_folder_of_somebody_else_is_not_overwritten(tmp_path):
    (tmp_path / "thesis.txt").write_text("two years of work")
    with pytest.raises(CommandError, match="was not written by Upperboard"):
        call_command("publish_catalogue", to=tmp_path, verbosity=0)
    assert (tmp_path / "thesis.txt").read_text() == "two years of work"
