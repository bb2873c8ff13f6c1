"""Same data, same bytes: whatever is private beside it, in whatever order it was written, in whatever process."""

from __future__ import annotations

import json
import math
import shutil
from decimal import Decimal
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import models

from inventory.models import Instrument, Root
from inventory.models.evidence import AboutRecord
from inventory.models.fields import EdtfField
from inventory.visibility import group_of
from publishing.catalogue.export import export_catalogue
from tests.publishing.canaries import record_models
from tests.publishing.conftest import ROOT, DemoHouse


def bytes_of(site: Path) -> dict[str, bytes]:
    """Every file of a site, our own mark too."""
    return {
        path.relative_to(site).as_posix(): path.read_bytes() for path in site.rglob("*") if path.is_file()
    }


def differing(one: Path, other: Path) -> list[str]:
    """Paths in which two sites are not the same."""
    first, second = bytes_of(one), bytes_of(other)
    return sorted(path for path in first.keys() | second.keys() if first.get(path) != second.get(path))


def load_demo(house: Path, demo_house: DemoHouse, fixture: Path | str = "demo") -> None:
    """The demo in the test's own database; pictures made once are not made again."""
    shutil.copytree(
        demo_house.data, house / "data", ignore=shutil.ignore_patterns("*.sqlite3*", "secret_key")
    )
    shutil.copytree(demo_house.data / "media", house / "media")
    call_command("loaddata", "vocabularies", str(fixture), verbosity=0)


def blank(column: models.Field, row: models.Model) -> object:
    """Nothing, as far as the column can hold nothing; where it must hold something, something else.

    An exact position becomes another one in the same square: only the square is public.
    """
    if column.name in ("latitude", "longitude") and getattr(row, "grid_degrees", None):
        grid, value = row.grid_degrees, getattr(row, column.name)
        return None if value is None else math.floor(value / grid) * grid + grid / 5
    if column.null:
        return None
    if isinstance(column, models.DecimalField):
        return Decimal(0)
    if isinstance(column, models.CharField | models.TextField | models.DateField) and not column.choices:
        return "1900" if isinstance(column, EdtfField) else ""
    return getattr(row, column.attname)


def forget_private_facts() -> int:
    """Delete confidential records and rows, and empty every private field; how many things were forgotten."""
    forgotten = 0
    for model in record_models():
        if issubclass(model, Root):
            hidden = model.objects.exclude(state__in=["released", "withdrawn"], audience="public")
            forgotten += forget_roots(model, hidden)
        elif any(column.name == "audience" for column in model._meta.concrete_fields):
            forgotten += model.objects.exclude(audience="public").delete()[0]
    for model in record_models():
        private = [
            column
            for column in model._meta.concrete_fields
            if group_of(model, column.name).audience != "public"
            and not column.is_relation
            and not column.primary_key
            and column.name not in ("code", "released_version")
        ]
        for row in model.objects.all() if private else ():
            for column in private:
                new = blank(column, row)
                forgotten += getattr(row, column.attname) != new
                setattr(row, column.attname, new)
            row.save()
    return forgotten


def forget_roots(model: type[Root], hidden: models.QuerySet) -> int:
    """Delete records with everything that names them; a row that must name one goes with it."""
    keys = list(hidden.values_list("pk", flat=True))
    for other in record_models():
        for column in other._meta.concrete_fields:
            if column.related_model is model and not issubclass(other, AboutRecord):
                pointing = other.objects.filter(**{f"{column.name}__in": keys})
                pointing.update(**{column.name: None}) if column.null else pointing.delete()
            elif column.related_model is model:
                other.objects.filter(**{f"{column.name}__in": keys}).delete()
    return model.objects.filter(pk__in=keys).delete()[0]


@pytest.mark.django_db
def test_with_and_without_the_private_facts_every_byte_is_the_same(house, demo_house):
    load_demo(house, demo_house)
    assert forget_private_facts() > 100
    assert not Instrument.objects.exclude(audience="public").exists()
    export_catalogue(house / "without")
    assert differing(demo_house.site, house / "without") == []


def test_control_one_changed_byte_and_one_file_more_are_noticed(tmp_path):
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "same.html").write_text("same")
    (tmp_path / "one" / "page.html").write_text("a")
    (tmp_path / "other" / "page.html").write_text("b")
    (tmp_path / "other" / "more.html").write_text("")
    assert differing(tmp_path / "one", tmp_path / "other") == ["more.html", "page.html"]


@pytest.mark.django_db
def test_records_written_in_another_order_give_the_same_bytes(house, demo_house):
    """The keys of the database are nobody's data."""
    kinds: dict[str, list[object]] = {}
    for row in json.loads((ROOT / "fixtures" / "demo.json").read_text()):
        kinds.setdefault(row["model"], []).insert(0, row)
    backwards = house / "backwards.json"
    backwards.write_text(json.dumps([row for rows in kinds.values() for row in rows]))
    load_demo(house, demo_house, backwards)
    export_catalogue(house / "site")
    assert differing(house / "site", demo_house.site) == []


def test_another_process_with_another_order_of_sets_gives_the_same_bytes(small_house, tmp_path):
    small_house.manage(
        "publish_catalogue",
        "--to",
        str(tmp_path / "site"),
        PYTHONHASHSEED="4242",
        LC_ALL="C",
        TZ="Pacific/Auckland",
    )
    assert differing(tmp_path / "site", small_house.site) == []


def test_a_second_export_over_the_first_changes_nothing(small_house, tmp_path):
    to = tmp_path / "site"
    shutil.copytree(small_house.site, to)
    said = small_house.manage("publish_catalogue", "--full", "--to", str(to)).stdout
    assert said.startswith("0 pages written, ") and ", 0 removed, " in said
    assert differing(to, small_house.site) == []
