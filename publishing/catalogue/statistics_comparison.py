"""Pages that compare sharing instruments: likeness, rarity, and one page for each of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from django.utils.translation import gettext as _

from inventory.drawings.charts_of_likeness import Point, likeness_map, likeness_squares
from inventory.estimates.classical_scaling import ScalingMap
from inventory.punctuation import in_figures
from publishing.disclosure.values import DeviceValue, PublicInstrument
from publishing.statistics.frames import Frames
from publishing.statistics.likeness import (
    MOST_ON_A_MAP,
    Near,
    clustered_order,
    compared_instruments,
    distances,
    nearest,
    sample_of,
    scaled_map,
)
from publishing.statistics.rarities import TIERS, RareKind, rare_kinds
from publishing.statistics.repertoires import KeyboardView, RegistrationRow, repertoire_views

from . import statistics_words as words
from .packing import digest_of, pack, pack_small, unpack_small
from .plates import Plate
from .registering import registering_context
from .scheme_words import interval_between_keys, labels_of
from .signature_words import signature_in_words
from .statistics_page import small_script
from .statistics_tables import Wanted, exact, percent, plain, slug

MOST_SQUARES = 60
"""More instruments than this make squares too small to see; the map still shows them."""
MOST_REASONS = 5
KINDS_ON_A_PAGE = 200
"""Kinds of scheme of one tier on a page of rarity."""
MOST_NAMED = 200
"""Instruments named beside a kind; the table of signatures has the others."""
NO_MAKER = "–"


def compared_path(reference: str) -> str:
    """The page on which one sharing instrument is compared with others."""
    return f"statistics/compared-{reference}.html"


@dataclass(frozen=True)
class Played:
    """What coincides when a sharing instrument is played: worked out where the instrument is, told in every language."""

    views: tuple[KeyboardView, ...]
    labels: Mapping[str, str]
    """Names of its stops."""


def packed_repertoire(organ: PublicInstrument) -> bytes | None:
    """What an instrument that shares plays, small enough to keep for thousands; None for others."""
    current = organ.current
    if current is None or not current.answer["families"] or current.basis == "projected":
        return None
    views = repertoire_views(current.scheme, current.answer["families"])
    return pack_small(Played(tuple(views), labels_of(current)))


@dataclass(frozen=True)
class Ordered:
    """Where the compared instruments stand beside each other."""

    sampled: list[str]
    """Those on the map, by reference."""
    references: list[str]
    """The same, so that like stands beside like."""
    near: list[list[float]] | None
    """Likeness of every pair in that order; None where there are too many to draw, or too few."""
    scaled: ScalingMap | None


class ComparisonPages:
    """The pages that compare, made from the tables of one view and from what each sharing instrument plays."""

    def __init__(self, devices: Mapping[str, DeviceValue], played: Mapping[str, bytes]) -> None:
        self.devices, self.played = devices, played

    def pages(self, frames: Frames) -> Iterator[Wanted]:
        """The page of likeness, that of rarity, and one for each sharing instrument."""
        self.compared = compared_instruments(frames)
        table = frames.instruments.set_index("reference")
        self.names: dict[str, str] = table["name"].to_dict()
        self.makers: dict[str, str] = table["maker_name"].where(table["maker_name"] != "", NO_MAKER).to_dict()
        kinds = {tier: rare_kinds(frames, tier) for tier in TIERS}
        rare: dict[str, list[tuple[str, int, RareKind]]] = {}
        for tier, found in kinds.items():
            for place, kind in enumerate(found, start=1):
                for reference in kind.references:
                    rare.setdefault(reference, []).append((tier, place, kind))
        nearby = {reference: nearest(self.compared, reference) for reference in self.compared.references}
        order = self._ordered()
        path = "statistics-comparison.html"
        yield Wanted("statistics_comparison.html", path, partial(self._comparison, order, nearby))
        for path, shown in rarity_pages(kinds):
            yield Wanted("statistics_rarity.html", path, partial(self._rarity, kinds, path, shown))
        for reference in self.compared.references:
            near, schemes, played = (
                nearby[reference],
                rare.get(reference, []),
                self.played.get(reference, b""),
            )
            named = [(self.names[r], self.makers[r]) for r in (reference, *(one.reference for one in near))]
            counts = [(tier, n, kind.count, kind.total, kind.signature) for tier, n, kind in schemes]
            told = (reference, named, near, counts, played, len(self.compared.references), self.devices)
            page = partial(self._compared, reference, near, schemes, played)
            path = compared_path(reference)
            yield Wanted("statistics_compared.html", path, page, digest_of(pack(told)))

    def _ordered(self) -> Ordered:
        places = sample_of(self.compared)
        apart = distances(self.compared, places)
        order = clustered_order(apart)
        near = 1 - apart[np.ix_(order, order)] if 2 <= len(order) <= MOST_SQUARES else None
        return Ordered(
            [self.compared.references[p] for p in places],
            [self.compared.references[places[n]] for n in order],
            near.tolist() if near is not None else None,
            scaled_map(apart),
        )

    def _comparison(self, order: Ordered, nearby: Mapping[str, list[Near]]) -> dict[str, Any]:
        references, near, scaled = order.references, order.near, order.scaled
        number = {reference: place for place, reference in enumerate(references, start=1)}
        squares = flat = None
        if near is not None:
            labels, title = [self.names[r] for r in references], _("Likeness of every pair")
            squares = Plate(
                likeness_squares(labels, near, title, prefix="squares"),
                likeness_squares(labels, near, title, prefix="squares-n", narrow=True),
            )
        if scaled is not None:
            marks = self._marks(references)
            points = [
                Point(number[r], float(x), float(y), marks[r])
                for r, (x, y) in zip(order.sampled, scaled.points, strict=True)
            ]
            title = _("A map of likeness")
            flat = Plate(
                likeness_map(points, title, prefix="map"),
                likeness_map(points, title, prefix="map-n", narrow=True),
            )
        rows = []
        for reference in references:
            found = nearby[reference][:1]
            rows.append(
                {
                    "number": number[reference], "name": self.names[reference], "maker": self.makers[reference],
                    "href": compared_path(reference), "near": self._near(found[0]) if found else None,
                }
            )  # fmt: skip
        return {
            "title": _("Instruments compared"),
            "description": _("How alike the schemes of sharing instruments are, on stated variables."),
            "section": "statistics.html",
            "rows": rows,
            "squares": squares,
            "map": flat,
            "shown": percent(scaled.shown) if scaled else "",
            "variables": [words.variable_name(v.name, self.devices) for v in self.compared.variables],
            "all": len(self.compared.references),
            "most": MOST_ON_A_MAP,
            "sampled": len(order.sampled) < len(self.compared.references),
        }

    def _marks(self, references: list[str]) -> dict[str, str]:
        """The five makers with most instruments by name, all others together: so many shapes can be told apart."""
        counts: dict[str, int] = {}
        for reference in references:
            counts[self.makers[reference]] = counts.get(self.makers[reference], 0) + 1
        named = sorted((m for m in counts if m != NO_MAKER), key=lambda m: (-counts[m], m))[:5]
        return {r: self.makers[r] if self.makers[r] in named else _("others") for r in references}

    def _near(self, near: Near) -> dict[str, Any]:
        def named(names: tuple[str, ...]) -> str:
            return ", ".join(words.variable_name(name, self.devices) for name in names[:MOST_REASONS]) or "–"

        # What they have beyond the size of a scheme says more: patterns, devices, chests first.
        alike = tuple(sorted(near.alike, key=lambda name: ":" not in name))
        return {
            "reference": near.reference, "name": self.names[near.reference], "maker": self.makers[near.reference],
            "likeness": in_figures(f"{near.likeness:.3f}"), "exact": exact(near.likeness), "compared": near.compared,
            "asked": near.asked, "alike": named(alike), "unlike": named(near.unlike),
        }  # fmt: skip

    def _rarity(
        self, kinds: Mapping[str, list[RareKind]], path: str, shown: Mapping[str, range]
    ) -> dict[str, Any]:
        def pages(tier: str) -> list[tuple[int, str, bool]]:
            last = -(-len(kinds[tier]) // KINDS_ON_A_PAGE)
            found = [(n, rarity_path(tier, (n - 1) * KINDS_ON_A_PAGE + 1)) for n in range(1, last + 1)]
            return [(n, there, there == path) for n, there in found]

        return {
            "title": _("Rarity"),
            "description": _("How many unified instruments of this inventory show each scheme of sharing."),
            "section": "statistics.html",
            "tiers": [
                {
                    "tier": tier,
                    "title": tier_title(tier),
                    "pages": pages(tier) if len(kinds[tier]) > KINDS_ON_A_PAGE else [],
                    "rows": [
                        {
                            "anchor": f"{tier}-{place}", "count": (kind := kinds[tier][place - 1]).count,
                            "signature": signature_in_words(kind.signature, self.devices),
                            "total": kind.total, "bits": in_figures(f"{kind.bits:.2f}"),
                            "instruments": [(r, self.names[r]) for r in kind.references[:MOST_NAMED]],
                            "more": max(0, kind.count - MOST_NAMED),
                        }
                        for place in places
                    ],
                }
                for tier, places in shown.items()
            ],
        }  # fmt: skip

    def _compared(
        self, reference: str, near: list[Near], kinds: list[tuple[str, int, RareKind]], played: bytes
    ) -> dict[str, Any]:
        rare = [
            {
                "tier": tier_title(tier), "count": kind.count, "total": kind.total,
                "signature": signature_in_words(kind.signature, self.devices),
                "bits": in_figures(f"{kind.bits:.2f}"), "href": f"{rarity_path(tier, place)}#{tier}-{place}",
            }
            for tier, place, kind in kinds
        ]  # fmt: skip
        return {
            "title": _("%(name)s, compared") % {"name": self.names[reference]},
            "description": _(
                "Its nearest neighbours, the rarity of its scheme, and what coincides when it is played."
            ),
            "section": "statistics.html",
            "reference": reference,
            "name": self.names[reference],
            "near": [self._near(one) for one in near],
            "among": len(self.compared.references),
            "rare": rare,
            "repertoire": repertoire_in_words(unpack_small(played)) if played else [],
            "registrations_script": small_script("registrations")[0],
        }


def repertoire_in_words(played: Played) -> list[dict[str, Any]]:
    """What coincides on each keyboard, for the page of one instrument."""
    labels = played.labels
    return [
        {
            "title": _("Keyboard %(keyboard)s: %(stops)s")
            % {"keyboard": view.keyboard, "stops": ", ".join(labels[s] for s in view.stops)},
            "anchor": f"played-{slug(view.keyboard)}-{slug('-'.join(view.stops))[:40]}",
            "registrations": view.registrations,
            "registering": registering_context(view.meetings, labels, first_drawn(view)),
            "dropped": plain(view.dropped), "notes": plain(view.notes),
            "dropped_share": percent(view.dropped / view.notes),
            "rows": [
                {
                    "stops": " + ".join(labels[s] for s in row.stops), "codes": " ".join(row.stops),
                    "coincide": plain(row.coincide), "calls": plain(row.calls),
                    "rate": in_figures(f"{row.rate:.3f}"),
                    "intervals": parts_at_intervals(row),
                }
                for row in view.rows
            ],
        }
        for view in played.views
    ]  # fmt: skip


def rarity_path(tier: str, place: int) -> str:
    """The page on which a kind of scheme stands, by its place among the kinds of its tier, from 1."""
    number = 1 + (place - 1) // KINDS_ON_A_PAGE
    return "statistics-rarity.html" if number == 1 else f"statistics/rarity-{tier}-{number}.html"


def rarity_pages(kinds: Mapping[str, list[RareKind]]) -> Iterator[tuple[str, dict[str, range]]]:
    """The pages of rarity with the places they show of each tier: the first kinds of all on one, the rest by tier."""
    first = {tier: range(1, 1 + min(len(found), KINDS_ON_A_PAGE)) for tier, found in kinds.items()}
    yield "statistics-rarity.html", first
    for tier, found in kinds.items():
        for start in range(KINDS_ON_A_PAGE + 1, len(found) + 1, KINDS_ON_A_PAGE):
            places = range(start, min(start + KINDS_ON_A_PAGE, len(found) + 1))
            yield rarity_path(tier, start), {tier: places}


def first_drawn(view: KeyboardView) -> frozenset[str]:
    """The registration that stands first in the table is drawn when the page opens."""
    return frozenset(view.rows[0].stops) if view.rows else frozenset()


def parts_at_intervals(row: RegistrationRow) -> str:
    """The part of the coincidences at each interval, the largest first."""
    if not row.coincide:
        return "–"
    ordered = sorted(row.intervals.items(), key=lambda found: (-found[1], found[0]))
    names = {i: interval_between_keys(i) if i else _("same key") for i in row.intervals}
    return ", ".join(
        f"{names[interval]} {in_figures(f'{weight / row.coincide:.2f}')}" for interval, weight in ordered
    )


def tier_title(tier: str) -> str:
    """A tier of the signature in words."""
    return {
        "idea": _("The idea: keyboards, footages, patterns, completion of the treble"),
        "execution": _("The execution: the idea with its devices"),
        "size": _("The size: the execution with compasses and numbers of pipes"),
    }[tier]
