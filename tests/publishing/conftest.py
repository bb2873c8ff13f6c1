"""The demo collection, exported once by the commands a person types; tests only read it."""

from __future__ import annotations

import fcntl
import os
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.core.files.storage import default_storage

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class DemoHouse:
    """A data folder of its own with the demo in it, and the site exported from it."""

    data: Path
    site: Path

    def environment(self, **changed: str) -> dict[str, str]:
        """The environment commands run in: this data folder, and no other database."""
        own = {name: value for name, value in os.environ.items() if not name.startswith(("DATABASE_URL",))}
        return {
            **own,
            "UPPERBOARD_DATA": str(self.data),
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            **changed,
        }

    def manage(self, *arguments: str, **changed: str) -> subprocess.CompletedProcess[str]:
        """Run manage.py to its end; a failure shows what it said."""
        done = subprocess.run(
            [sys.executable, "manage.py", *arguments],
            cwd=ROOT, env=self.environment(**changed), capture_output=True, text=True, timeout=900,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        return done


@pytest.fixture
def house(settings, tmp_path, db) -> Path:
    """An empty database, and a media and a data folder of the test's own."""
    settings.MEDIA_ROOT, settings.DATA_DIR = str(tmp_path / "media"), tmp_path / "data"
    assert default_storage.location == str(tmp_path / "media")
    return tmp_path


def made_once(
    tmp_path_factory: pytest.TempPathFactory, name: str, make: Callable[[DemoHouse], None]
) -> DemoHouse:
    """A house that the first worker to ask makes and all workers look at; the others wait for it."""
    folder = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent
    house = DemoHouse(folder / name / "data", folder / name / "site")
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / name / "made").exists():
            shutil.rmtree(folder / name, ignore_errors=True)
            (folder / name).mkdir()
            make(house)
            (folder / name / "made").touch()
    return house


def make_demo(house: DemoHouse) -> None:
    """Migrate, load the demo and export it."""
    pictures = house.data / "media" / "photographs"
    pictures.mkdir(parents=True)
    for picture in (ROOT / "fixtures" / "pictures").glob("*.jpg"):
        shutil.copy(picture, pictures)
    house.manage("migrate", "-v0")
    house.manage("loaddata", "-v0", "vocabularies", "demo")
    house.manage("publish_catalogue", "--to", str(house.site), PYTHONHASHSEED="1")


def pytest_collection_finish(session: pytest.Session) -> None:
    """The first worker has the demo made while it tests other things, so that none has to wait for it."""
    wanted = any("demo_house" in getattr(item, "fixturenames", ()) for item in session.items)
    if wanted and os.environ.get("PYTEST_XDIST_WORKER") == "gw0":
        factory = session.config._tmp_path_factory  # type: ignore[attr-defined]
        threading.Thread(target=made_once, args=(factory, "demo-house", make_demo), daemon=True).start()


@pytest.fixture(scope="session")
def demo_house(tmp_path_factory) -> DemoHouse:
    """The demo, migrated, loaded and exported in a folder of its own; look, never write."""
    return made_once(tmp_path_factory, "demo-house", make_demo)


@pytest.fixture(scope="session")
def small_house(demo_house, tmp_path_factory) -> DemoHouse:
    """The demo with three public instruments only, for tests that export many times."""

    def make(house: DemoHouse) -> None:
        shutil.copytree(demo_house.data, house.data)
        house.manage(
            "shell", "-c", "from inventory.models import Instrument as I; "
            "I.objects.exclude(reference__in=['ORG-0001', 'ORG-0002', 'ORG-0003']).update(audience='team')"
        )  # fmt: skip
        house.manage("publish_catalogue", "--to", str(house.site))

    return made_once(tmp_path_factory, "small-house", make)


@pytest.fixture(scope="session")
def spoken_site(demo_house, tmp_path_factory) -> Path:
    """The six instruments of the demo with the heaviest pages, exported in every language."""
    pages = (demo_house.site / "instruments").glob("ORG-*.html")
    heaviest = sorted(pages, key=lambda page: page.stat().st_size)[-6:]

    def make(house: DemoHouse) -> None:
        shutil.copytree(demo_house.data, house.data)
        house.manage(
            "shell", "-c", "from inventory.models import Instrument as I; "
            f"I.objects.exclude(reference__in={[page.stem for page in heaviest]}).update(audience='team')"
        )  # fmt: skip
        house.manage(
            "publish_catalogue", "--to", str(house.site), DJANGO_SETTINGS_MODULE="tests.spoken_settings"
        )

    return made_once(tmp_path_factory, "spoken-house", make).site


@pytest.fixture(scope="session")
def demo_site(demo_house) -> Path:
    """The exported demo; look, never write."""
    return demo_house.site
