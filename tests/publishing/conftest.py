"""The demo collection, exported once by the commands a person types; tests only read it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
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


@pytest.fixture(scope="session")
def demo_house(tmp_path_factory) -> DemoHouse:
    """The demo, migrated, loaded and exported in a folder of its own."""
    folder = tmp_path_factory.mktemp("demo-house")
    house = DemoHouse(folder / "data", folder / "site")
    pictures = house.data / "media" / "photographs"
    pictures.mkdir(parents=True)
    for picture in (ROOT / "fixtures" / "pictures").glob("*.jpg"):
        shutil.copy(picture, pictures)
    house.manage("migrate", "-v0")
    house.manage("loaddata", "-v0", "vocabularies", "demo")
    house.manage("publish_catalogue", "--to", str(house.site), PYTHONHASHSEED="1")
    return house


@pytest.fixture(scope="session")
def small_house(demo_house, tmp_path_factory) -> DemoHouse:
    """The demo with three public instruments only, for tests that export many times."""
    folder = tmp_path_factory.mktemp("small-house")
    house = DemoHouse(folder / "data", folder / "site")
    shutil.copytree(demo_house.data, house.data)
    house.manage(
        "shell", "-c", "from inventory.models import Instrument as I; "
        "I.objects.exclude(reference__in=['ORG-0001', 'ORG-0002', 'ORG-0003']).update(audience='team')"
    )  # fmt: skip
    house.manage("publish_catalogue", "--to", str(house.site))
    return house


@pytest.fixture(scope="session")
def demo_site(demo_house) -> Path:
    """The exported demo; look, never write."""
    return demo_house.site
