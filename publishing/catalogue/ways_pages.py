"""A page for each way of sharing: every pattern and every device explained, drawn, with all instances and figures."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.estimates.wilson import wilson_interval
from inventory.punctuation import in_figures, semicolons
from publishing.disclosure.values import DeviceValue, Link, PublicInstrument, SpecificationValue

from .list_words import list_words
from .long_lists import in_parts
from .page_scripts import page_script
from .plate_files import ShownPlate
from .plates import shared_rows
from .rendering import named, word
from .scheme_words import labels_of, listed
from .shared_pipes_page import ORDER, anchor_of, pattern_explained, pattern_name

Wanted = tuple[str, str, dict[str, Any]]
"""Template, path, context."""


@dataclass(frozen=True)
class Example:
    """A drawing that shows a way, and whose it is; of several the one with the fewest other ways wins."""

    rank: tuple[int, str]
    organ: Link
    plate: str
    """The drawing's name: drawings are large, and made again for the few that win."""
    looks: str
    """A digest of the drawing, so that a page knows when it is another."""


@dataclass(frozen=True)
class DrawnExample:
    """An example with its drawing."""

    organ: Link
    plate: ShownPlate


Drawn = Callable[[str], Mapping[str, ShownPlate]]
"""The drawings of an instrument by name, given its reference."""
Found = tuple[list[tuple[str, dict[str, str]]], list[tuple[str, Example]]]
"""Rows and examples of one instrument, each with the page it belongs to."""


class WaysPages:
    """Gathers instances while instruments pass by; current specifications only, each instrument counted once."""

    def __init__(self, devices: Mapping[str, DeviceValue]) -> None:
        self.devices = devices
        self.rows: dict[str, list[dict[str, str]]] = {}
        self.examples: dict[str, Example] = {}
        self.described = 0

    def add(self, found: Found | None) -> None:
        """Take the instances in one instrument; None where no stoplist is known."""
        if found is None:
            return
        self.described += 1
        rows, examples = found
        for path, row in rows:
            self.rows.setdefault(path, []).append(row)
        for path, example in examples:
            if path not in self.examples or example.rank < self.examples[path].rank:
                self.examples[path] = example

    def found_in(self, organ: PublicInstrument, plates: Sequence[ShownPlate]) -> Found | None:
        """The instances in one instrument, each with the drawing that shows it."""
        current = organ.current
        if current is None:
            return None
        rows: list[tuple[str, dict[str, str]]] = []
        examples: list[tuple[str, Example]] = []
        labels, drawn = labels_of(current), drawn_by_rank(current, plates)
        patterns: dict[str, list[Sequence[str]]] = {}
        for family in current.answer["families"]:
            for pattern in family["patterns"]:
                patterns.setdefault(path_of_pattern(pattern["pattern"]), []).append(pattern["stops"])
        devices: dict[str, list[str]] = {}
        for segment in current.segments:
            if segment.device in self.devices:
                stops = devices.setdefault(path_of_device(segment.device), [])
                stops += [segment.stop] if segment.stop not in stops else []
        many = len(patterns) + len(devices)
        sections = [plate for plate in plates if plate.plate.name.startswith("section")]
        for path, groups in patterns.items():
            told = semicolons(listed([labels[stop] for stop in stops]) for stops in groups)
            rows.append((path, _row(organ, current, told, {stop for stops in groups for stop in stops})))
            shown = [*_plates_of(groups[0], current, drawn), *plates]
            if shown:
                examples.append((path, _example(many, organ, shown[0])))
        for path, found in devices.items():
            rows.append((path, _row(organ, current, listed([labels[stop] for stop in found]), set(found))))
            shown = [*sections, *_plates_of(found, current, drawn), *plates]
            if shown:
                examples.append((path, _example(many, organ, shown[0])))
        return rows, examples

    def pages(self, drawn: Drawn) -> Iterator[Wanted]:
        """The list of ways, and a page for each."""
        self.drawn = drawn
        listing: list[tuple[str, list[dict[str, Any]]]] = [
            (_("What is shared"), [self._line(path_of_pattern(p), pattern_name(p)) for p in ORDER]),
            (
                _("By what device"),
                [self._line(path_of_device(d.code), word(d.names)) for d in self.devices.values()],
            ),
        ]
        yield (
            "ways.html",
            "methods/index.html",
            {
                "title": _("Ways of sharing pipes"),
                "description": _(
                    "Each pattern and each device explained, drawn, and with every instrument that has it."
                ),
                "groups": listing,
            },
        )
        for pattern in ORDER:
            facts = [(_("Stop by stop"), "shared-pipes.html", anchor_of(pattern))] if self._n(pattern) else []
            kicker = _("pattern: what is shared, computed from the calls")
            yield from self._way(
                path_of_pattern(pattern), pattern_name(pattern), kicker, pattern_explained(pattern), facts
            )
        for device in self.devices.values():
            kicker = _("device: how it is done, as somebody saw, sounded or read it")
            yield from self._way(
                path_of_device(device.code), word(device.names), kicker, device.explanation, [],
                named(device.non_return, "NonReturn"),
            )  # fmt: skip

    def _n(self, pattern: str) -> int:
        return len(self.rows.get(path_of_pattern(pattern), ()))

    def _line(self, path: str, name: str) -> dict[str, Any]:
        return {"href": path, "name": name, "n": len(self.rows.get(path, ()))}

    def _way(
        self,
        path: str,
        name: str,
        kicker: str,
        explained: str,
        links: list[tuple[str, str, str]],
        valve: str = "",
    ) -> Iterator[Wanted]:
        rows, found = self.rows.get(path, []), self.examples.get(path)
        example = DrawnExample(found.organ, self.drawn(found.organ.reference)[found.plate]) if found else None
        for part in in_parts(rows, path):
            yield (
                "way.html",
                part.path,
                {
                    "title": name[:1].upper() + name[1:],
                    "description": explained or name,
                    "section": "shared-pipes.html",
                    "kicker": kicker,
                    "explained": explained,
                    "valve": valve,
                    "links": links,
                    "figure": figure_in_words(len(rows), self.described),
                    "example": example if part.number == 1 else None,
                    "rows": part.rows,
                    "parts": part.parts,
                    "lists_script": page_script("lists"),
                    "list_words": list_words(),
                },
            )


def _row(organ: PublicInstrument, current: SpecificationValue, stops: str, of: set[str]) -> dict[str, str]:
    segments = [one for one in current.segments if one.stop in of]
    layers = {layer.code: layer for layer in organ.layers}
    makers = sorted({m.name for s in segments if s.layer in layers and (m := layers[s.layer].maker)})
    return {
        "href": f"instruments/{organ.reference}.html",
        "instrument": organ.name,
        "stops": stops,
        "makers": ", ".join(makers),
        "evidence": ", ".join(sorted({named(one.evidence, "Evidence") for one in segments if one.evidence})),
    }


def _example(many: int, organ: PublicInstrument, shown: ShownPlate) -> Example:
    looks = hashlib.sha256(f"{shown.plate.wide}{shown.plate.narrow}".encode()).hexdigest()
    return Example((many, organ.reference), organ.link, shown.plate.name, looks)


def path_of_pattern(pattern: str) -> str:
    """Where a pattern is explained."""
    return f"methods/{anchor_of(pattern)}.html"


def path_of_device(code: str) -> str:
    """Where a device is explained."""
    return f"methods/device-{code}.html"


def figure_in_words(count: int, described: int) -> str:
    """The share of the instruments whose stoplist is known, with n and the interval."""
    if not described:
        return _("No published instrument has a stoplist yet.")
    interval = wilson_interval(count, described)
    assert interval is not None  # something was looked at
    low, high = interval
    return ngettext(
        "%(n)s of %(all)s instrument whose stoplist is known: %(share)s %% "
        "(95 %% interval of Wilson: %(low)s–%(high)s %%).",
        "%(n)s of %(all)s instruments whose stoplist is known: %(share)s %% "
        "(95 %% interval of Wilson: %(low)s–%(high)s %%).",
        described,
    ) % {
        "n": count, "all": described, "share": in_figures(f"{100 * count / described:.1f}"),
        "low": in_figures(f"{100 * low:.1f}"), "high": in_figures(f"{100 * high:.1f}"),
    }  # fmt: skip


def drawn_by_rank(current: SpecificationValue, plates: Sequence[ShownPlate]) -> dict[str, ShownPlate]:
    """The drawing of each shared row, by the row's code."""
    by_name = {plate.plate.name: plate for plate in plates}
    return {
        code: by_name[f"rank-{number}"]
        for number, code in enumerate(shared_rows(current.scheme), start=1)
        if f"rank-{number}" in by_name
    }


def _plates_of(
    stops: Sequence[str], current: SpecificationValue, drawn: Mapping[str, ShownPlate]
) -> list[ShownPlate]:
    """Drawings of rows that all these stops draw on."""
    rows = [{one.rank for one in current.segments if one.stop == stop} for stop in stops]
    common = set.intersection(*rows) if rows else set()
    return [plate for code, plate in drawn.items() if code in common]
