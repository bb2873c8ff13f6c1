"""The knobs of the repertoire view: what a page needs to work out every registration by itself."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from inventory.organ.meetings import Meetings

from .scheme_words import interval_between_keys


def registering_context(
    meetings: Meetings, labels: Mapping[str, str], drawn: frozenset[str]
) -> dict[str, Any]:
    """Knobs, those drawn at first, and the table of meetings with the words of the page."""
    intervals = sorted(
        {
            high - low
            for meeting in meetings.weights
            for low, _a in meeting
            for high, _b in meeting
            if high >= low
        }
    )
    data = {
        "calls": [_whole(calls) for calls in meetings.calls],
        "meetings": [
            [_whole(weight), *(number for call in meeting for number in call)]
            for meeting, weight in meetings.weights.items()
        ],
        "intervals": {str(i): interval_between_keys(i) if i else _("same key") for i in intervals},
        "words": {
            "sum": _("{coincide} of {calls} weighted calls coincide: {rate}."),
            "none": _("Of {calls} weighted calls not one coincides."),
            "few": _("Draw two stops or more: alone a stop meets only itself."),
            "interval": _("{interval}: {weight}, {part} of those that coincide"),
        },
    }
    return {
        "knobs": [{"stop": stop, "label": labels[stop], "drawn": stop in drawn} for stop in meetings.stops],
        # Nothing in a page's data may end its script element.
        "json": json.dumps(data, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c"),
    }


def _whole(number: float) -> float:
    return int(number) if number == int(number) else number
