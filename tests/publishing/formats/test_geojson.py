"""GeoJSON against the official schema; positions are middles of squares, never the place."""

from __future__ import annotations

import json
from decimal import Decimal

import jsonschema
import pytest

from publishing.disclosure.parts import shown_position
from publishing.disclosure.values import Link, PublicInstrument, PublicPlace
from publishing.formats.geojson import collection_text, feature_of, feature_text

from .conftest import ROOT

pytestmark = pytest.mark.django_db


def validator(schemas, name: str) -> jsonschema.protocols.Validator:
    schema = json.loads((schemas / "geojson" / f"{name}.json").read_text())
    return jsonschema.validators.validator_for(schema)(schema)


def test_the_official_schema_sorts_its_own_66_fixtures(schemas):
    check = validator(schemas, "GeoJSON")
    folder = schemas / "geojson" / "fixtures"
    verdicts = {
        (kind, path.name, str(path.parent.name)): check.is_valid(json.loads(path.read_text()))
        for kind in ("valid", "invalid")
        for path in (folder / kind).rglob("*.json")
    }
    assert len(verdicts) == 66
    assert [key for key, good in verdicts.items() if good != (key[0] == "valid")] == []


def test_the_demos_features_are_valid(demo, schemas):
    check = validator(schemas, "FeatureCollection")
    document = json.loads(demo.files["instruments.geojson"])
    assert [error.message for error in check.iter_errors(document)] == []
    assert len(document["features"]) == len(demo.instruments)
    document["features"][0]["geometry"] = {"type": "Point", "coordinates": [1]}
    assert not check.is_valid(document)


def organ_at(position) -> PublicInstrument:
    place = PublicPlace(
        "PLC-1", 1, "", "A town", (), "town", "", (), position, Link("places", "PLC-1", "A town")
    )
    return PublicInstrument(
        "ORG-1", 1, "", "An organ", "in use", None, place, "", None, None, "", "", (), (), (), (), (), (), (), (), (),
        Link("instruments", "ORG-1", "An organ"),
    )  # fmt: skip


def test_longitude_comes_first_and_the_middle_of_the_square_is_given():
    # RFC 7946, 3.1.1; the square of 0.1 degrees that holds 50.0123, 3.0456 has its middle at 50.05, 3.05.
    feature = feature_of(organ_at(shown_position(Decimal("50.0123"), Decimal("3.0456"), Decimal("0.1"))))
    assert feature["geometry"] == {"type": "Point", "coordinates": [3.05, 50.05]}
    # standards.md 3.6 gives 6,608 m for this square at 50 N (pyproj, ellipsoid); ours is on a sphere, rounded up.
    assert feature["properties"]["coordinateUncertaintyInMeters"] == pytest.approx(6608, abs=30)
    assert feature["properties"]["coordinatePrecision"] == 0.1
    assert "0.1 degrees" in feature["properties"]["dataGeneralizations"]


def test_an_instrument_without_a_published_position_has_no_geometry_and_says_so(schemas):
    feature = feature_of(organ_at(None))
    assert feature["geometry"] is None and feature["properties"]["informationWithheld"]
    assert validator(schemas, "Feature").is_valid(feature)
    feature.pop("geometry")
    assert not validator(schemas, "Feature").is_valid(feature)


def test_no_exact_position_of_the_demo_stands_in_it(demo):
    fixture = json.loads((ROOT / "fixtures" / "demo.json").read_text(encoding="utf-8"))
    exact = [
        (float(row["fields"]["longitude"]), float(row["fields"]["latitude"]))
        for row in fixture
        if row["model"] == "inventory.place" and row["fields"].get("latitude")
    ]
    shown = [
        tuple(one["geometry"]["coordinates"])
        for one in json.loads(demo.files["instruments.geojson"])["features"]
        if one["geometry"]
    ]
    assert exact and shown
    assert not set(exact) & set(shown)


def test_an_empty_collection_is_still_a_collection():
    assert json.loads(collection_text([])) == {"type": "FeatureCollection", "features": []}
    assert json.loads(collection_text([feature_text(organ_at(None))]))["features"][0]["id"] == "ORG-1"
