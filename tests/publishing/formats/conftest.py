"""The demo's open data, made once for all tests of formats; the database is left as it was."""

from __future__ import annotations

import datetime
import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection, transaction

ROOT = Path(__file__).resolve().parents[3]


@dataclass
class Demo:
    """Frozen values and files of the demo."""

    instruments: list[Any] = field(default_factory=list)
    collection: Any = None
    files: dict[str, bytes] = field(default_factory=dict)
    again: dict[str, bytes] = field(default_factory=dict)
    release: Any = None
    edition: Any = None
    frozen: dict[str, bytes] = field(default_factory=dict)


class _Undo(Exception):
    """Ends the transaction."""


@pytest.fixture(scope="session")
def demo(django_db_setup, django_db_blocker) -> Demo:
    """The demo read through disclosure, its package made twice, and an edition, which reads it once more."""
    from inventory.models import Role, User
    from publishing.disclosure.instruments import open_collection
    from publishing.editions import make_edition
    from publishing.formats.datapackage import DataPackage
    from publishing.formats.release import Release

    made = Demo()
    # pytest-django makes a test database only for tests marked django_db: without the mark this would be a real one.
    assert "test" in Path(connection.settings_dict["NAME"]).name, (
        "mark the module: pytestmark = mark.django_db"
    )
    with django_db_blocker.unblock():
        try:
            with transaction.atomic():
                call_command("loaddata", "vocabularies", "demo", verbosity=0)
                made.collection = open_collection()
                made.instruments = list(made.collection.read_instruments())
                for target in (made.files, made.again):
                    package = DataPackage(made.collection)
                    for organ in made.instruments:
                        package.add(organ)
                    target.update(package.files(Release("Test collection", "CC BY 4.0", "", "")))
                    made.release = package.release
                editor = User.objects.create_user(
                    "an-editor", password="a long enough word", role=Role.EDITOR
                )
                made.edition = make_edition(
                    by=editor, name="First", changes="All.", day=datetime.date(2031, 3, 1)
                )
                made.frozen = dict(made.edition.files())
                raise _Undo
        except _Undo:
            pass
    return made


@pytest.fixture(scope="session")
def schemas() -> Path:
    """The folder of official schemas beside the checkout; tests that need it skip where it is absent."""
    folder = ROOT / ".." / "shared" / "schemas"
    if not folder.is_dir():
        pytest.skip("the folder of official schemas (shared/schemas beside the checkout) is absent")
    return folder


@pytest.fixture(scope="session")
def canaries() -> dict[str, str]:
    """Private words of the demo, each with the field it stands in."""
    listed = json.loads((ROOT / "fixtures" / "canaries.json").read_text(encoding="utf-8"))
    return {one["token"]: f"{one['model']}.{one['field']}" for one in listed}
