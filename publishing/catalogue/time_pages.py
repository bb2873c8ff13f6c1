"""The collection through time: every dated event by decade, and every layer by its maker."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _

from publishing.disclosure.values import Link, PublicInstrument

from .rendering import word

Wanted = tuple[str, str, dict[str, Any]]
Told = tuple[list[tuple[int, dict[str, Any]]], int, list[tuple[Link, dict[str, Any]]]]
"""Dated events by decade, how many have no date, and layers by maker."""


class TimePages:
    """Gathers events and layers while instruments pass by."""

    def __init__(self) -> None:
        self.decades: dict[int, list[dict[str, Any]]] = defaultdict(list)
        self.undated = 0
        self.layers: dict[str, tuple[Link, list[dict[str, Any]]]] = {}

    def add(self, told: Told) -> None:
        """Take what one instrument tells."""
        events, undated, layers = told
        for decade, row in events:
            self.decades[decade].append(row)
        self.undated += undated
        for maker, row in layers:
            self.layers.setdefault(maker.reference, (maker, []))[1].append(row)

    @staticmethod
    def told_by(organ: PublicInstrument) -> Told:
        """What one instrument tells. An event stands in the decade in which it can have been at the earliest."""
        events: list[tuple[int, dict[str, Any]]] = []
        layers: list[tuple[Link, dict[str, Any]]] = []
        undated = 0
        for event in organ.events:
            year = event.when.earliest_year if event.when else None
            if event.when is None or year is None:
                undated += 1
                continue
            events.append(
                (
                    year - year % 10,
                    {
                        "sort": (event.when.sort or 0, organ.reference, event.code),
                        "when": event.when.words,
                        "organ": organ.link,
                        "kind": word(event.kind),
                        "maker": event.maker,
                        "place": event.place or (organ.place.link if organ.place else None),
                    },
                )
            )
        for layer in organ.layers:
            if layer.maker is not None:
                sort = layer.when.sort if layer.when and layer.when.sort is not None else 10**12
                layers.append(
                    (
                        layer.maker,
                        {
                            "sort": (sort, organ.reference, layer.code),
                            "when": layer.when.words if layer.when else _("no date"),
                            "organ": organ.link,
                            "name": layer.name,
                        },
                    )
                )
        return events, undated, layers

    def pages(self) -> Iterator[Wanted]:
        """The overview, and a page for each decade."""
        order = sorted(self.decades)
        most = max((len(rows) for rows in self.decades.values()), default=1)
        yield (
            "timeline.html",
            "timeline.html",
            {
                "title": _("Through time"),
                "description": _(
                    "What was done to the instruments, decade by decade, and the layers each maker left."
                ),
                "decades": [
                    {
                        "name": name_of_decade(decade),
                        "href": path_of_decade(decade),
                        "n": len(self.decades[decade]),
                        "width": f"{100 * len(self.decades[decade]) / most:.1f}",
                        "kinds": ", ".join(
                            f"{kind} {n}"
                            for kind, n in sorted(
                                Counter(row["kind"] for row in self.decades[decade]).items(),
                                key=lambda one: (-one[1], one[0]),
                            )
                        ),
                    }
                    for decade in order
                ],
                "undated": self.undated,
                "layers": [
                    (maker, sorted(rows, key=lambda row: row["sort"]))
                    for _reference, (maker, rows) in sorted(
                        self.layers.items(), key=lambda one: (min(row["sort"] for row in one[1][1]), one[0])
                    )
                ],
            },
        )
        for place, decade in enumerate(order):
            yield (
                "decade.html",
                path_of_decade(decade),
                {
                    "title": name_of_decade(decade),
                    "description": _("Events of the %(decade)s.") % {"decade": name_of_decade(decade)},
                    "section": "timeline.html",
                    "rows": sorted(self.decades[decade], key=lambda row: row["sort"]),
                    "earlier": order[place - 1] if place else None,
                    "later": order[place + 1] if place + 1 < len(order) else None,
                    "name_of": name_of_decade,
                    "path_of": path_of_decade,
                },
            )


def name_of_decade(decade: int) -> str:
    """1850 as people say it."""
    return _("%(year)ss") % {"year": decade}


def path_of_decade(decade: int) -> str:
    """Where the events of ten years are listed."""
    return f"timeline/{decade}.html"
