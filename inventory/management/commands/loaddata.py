"""loaddata: Django's command, which hands fixtures of records with natural keys to the loader in bulk."""

import json
from pathlib import Path

from django.apps import apps
from django.core import serializers
from django.core.management.base import CommandError
from django.core.management.commands import loaddata
from django.db import DEFAULT_DB_ALIAS

from inventory.fixture_loading import FixtureError, load_fixtures, mark_loaded
from inventory.models.base import NaturalModel


class Command(loaddata.Command):
    """The same rows as Django's, in seconds: it would ask several questions for every row."""

    def loaddata(self, fixture_labels: list[str]) -> None:
        """Load in bulk where every fixture is JSON of records without primary keys, else as Django does."""
        self.serialization_formats = serializers.get_public_serializer_formats()
        plain = self.using == DEFAULT_DB_ALIAS and not (self.ignore or self.app_label or self.excluded_models)
        paths = (
            [Path(found[0]) for label in fixture_labels for found in self.find_fixtures(label)]
            if plain
            else []
        )
        if not paths or not all(is_natural(path) for path in paths):
            super().loaddata(fixture_labels)
            mark_loaded()
            return
        try:
            loaded = load_fixtures(paths)
        except FixtureError as error:
            raise CommandError(str(error))
        if self.verbosity >= 1:
            total = loaded.created + loaded.changed + loaded.same
            self.stdout.write(f"Installed {total} object(s) from {len(paths)} fixture(s)")


def is_natural(path: Path) -> bool:
    """Whether a fixture holds nothing but records known by their natural keys."""
    try:
        rows = json.loads(path.read_text(encoding="utf-8"))
        return all("pk" not in row and issubclass(apps.get_model(row["model"]), NaturalModel) for row in rows)
    except (OSError, ValueError, LookupError, TypeError, KeyError):
        return False
