"""Instruments as GeoJSON (RFC 7946): middles of fixed squares with their radius, or no geometry at all.

Positions are generalised on a fixed grid and never moved at random; property names for
that are those of Darwin Core (after A. D. Chapman, Current Best Practices for
Generalizing Sensitive Species Occurrence Data, GBIF 2020, doi 10.15468/doc-5jp4-5g10).
"""

from __future__ import annotations

import json
from typing import Any

from publishing.disclosure.values import PublicInstrument

GENERALISED = (
    "Middle of a fixed square of {grid:g} degrees that holds the place; the place itself is not published."
)
WITHHELD = "No position is published."


def feature_of(organ: PublicInstrument) -> dict[str, Any]:
    """One instrument as a feature; without a published position its geometry is null."""
    at = organ.place.position if organ.place else None
    properties: dict[str, Any] = {
        "name": organ.name,
        "status": organ.status,
        "version": organ.version,
        "place": organ.place.reference if organ.place else None,
        "placeName": organ.place.name if organ.place else None,
        "sharesPipes": bool(organ.current and organ.current.answer["families"]),
    }
    if at is None:
        properties["informationWithheld"] = WITHHELD
        return {"type": "Feature", "id": organ.reference, "geometry": None, "properties": properties}
    properties |= {
        "coordinateUncertaintyInMeters": at.radius_m,
        "coordinatePrecision": at.grid_degrees,
        "dataGeneralizations": GENERALISED.format(grid=at.grid_degrees),
    }
    # Longitude first: RFC 7946, 3.1.1.
    point = {"type": "Point", "coordinates": [round(at.longitude, 6), round(at.latitude, 6)]}
    return {"type": "Feature", "id": organ.reference, "geometry": point, "properties": properties}


def collection_text(features: list[str]) -> str:
    """Features, each as JSON text, as one collection."""
    return '{"type": "FeatureCollection", "features": [\n' + ",\n".join(features) + "\n]}\n"


def feature_text(organ: PublicInstrument) -> str:
    """One feature on one line."""
    return json.dumps(feature_of(organ), ensure_ascii=False)
