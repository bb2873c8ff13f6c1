"""The page of shared pipes: every sharing stop, by pattern, with its device and evidence."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _

from inventory.languages import say_once
from inventory.organ.patterns import PAIR_PATTERNS, STOP_PATTERNS
from publishing.disclosure.values import DeviceValue, PublicInstrument

from .long_lists import ListPart, in_parts
from .rendering import named, word
from .scheme_words import labels_of, partners_in_words

PATH = "shared-pipes.html"
ORDER = (*PAIR_PATTERNS, *STOP_PATTERNS)


@say_once
def pattern_name(pattern: str) -> str:
    """The pattern's name for a heading."""
    names = {
        "common bass": _("Common bass"), "partial borrowing": _("Partial borrowing"),
        "octave extension": _("Octave extension"), "derived mutation": _("Derived mutation"),
        "duplex": _("Duplex"), "transmission": _("Transmission"),
        "transmission with extension": _("Transmission with extension"), "resultant": _("Resultant"),
        "foldback on own pipes": _("Foldback on own pipes"),
        "foldback with pipes of its own": _("Foldback with pipes of its own"), "polyphone": _("Polyphone pipes"),
    }  # fmt: skip
    return names[pattern]


def pattern_explained(pattern: str) -> str:
    """What the pattern is, for somebody who has never seen one."""
    words = {
        "common bass": _(
            "Two stops of one keyboard have their lowest pipes in common; from some key upwards each has its own."
        ),
        "partial borrowing": _(
            "A stop has some keys' pipes from another stop of the same keyboard, at the same pitch."
        ),
        "octave extension": _(
            "Two stops of one keyboard stand on one row, octaves apart: each pipe serves one key at one pitch and "
            "another key at the other."
        ),
        "derived mutation": _(
            "A fifth or third is drawn from the pipes of a unison stop, and shares its tuning."
        ),
        "duplex": _("One row of pipes is played from two manuals (or from two pedals) at the same pitch."),
        "transmission": _("One row of pipes is played from a manual and from the pedal at the same pitch."),
        "transmission with extension": _(
            "One row of pipes is played from two keyboards at different pitches."
        ),
        "resultant": _("One key sounds two pipes a fifth apart, in place of a pipe twice as long."),
        "foldback on own pipes": _(
            "At the top the stop jumps down an octave and repeats pipes it has already."
        ),
        "foldback with pipes of its own": _(
            "At the top the stop jumps down an octave, with pipes made for it."
        ),
        "polyphone": _("One pipe speaks several notes, never two at once: no sharing between stops."),
    }
    return words[pattern]


def anchor_of(pattern: str) -> str:
    """The fragment a pattern's section stands under."""
    return pattern.replace(" ", "-")


class SharedPipes:
    """Gathers the rows of the page while instruments pass by."""

    def __init__(self, devices: Mapping[str, DeviceValue]) -> None:
        self.devices = devices
        self.rows: dict[str, list[dict[str, Any]]] = {pattern: [] for pattern in ORDER}

    def add(self, rows: Sequence[tuple[str, dict[str, Any]]]) -> None:
        """Take the rows of one instrument."""
        for pattern, row in rows:
            self.rows[pattern].append(row)

    def rows_of(self, organ: PublicInstrument) -> list[tuple[str, dict[str, Any]]]:
        """Every stop of every pattern of one instrument's current specification, by pattern."""
        current = organ.current
        if current is None:
            return []
        rows = []
        labels = labels_of(current)
        sums = {stop["id"]: stop for stop in current.answer["stops"]}
        how: dict[str, set[str]] = {}
        seen: dict[str, set[str]] = {}
        for segment in current.segments:
            how.setdefault(segment.stop, set()).add(segment.device)
            seen.setdefault(segment.stop, set()).add(segment.evidence)
        for family in current.answer["families"]:
            of_pattern: dict[str, list[str]] = {}
            for pattern in family["patterns"]:
                stops = of_pattern.setdefault(pattern["pattern"], [])
                stops += [stop for stop in pattern["stops"] if stop not in stops]
            for pattern_code, stops in of_pattern.items():
                for stop in stops:
                    rows.append(
                        (
                            pattern_code,
                            {
                                "href": f"instruments/{organ.reference}.html",
                                "instrument": organ.name,
                                "stop": labels[stop],
                                "partners": partners_in_words(sums[stop], labels),
                                "shared": sums[stop]["shared"],
                                "keys": sums[stop]["keys"],
                                "device": self._devices(how.get(stop, set())),
                                "evidence": ", ".join(
                                    named(value, "Evidence") for value in sorted(seen.get(stop, set()))
                                ),
                            },
                        )
                    )
        return rows

    def _devices(self, codes: set[str]) -> str:
        known = sorted(word(self.devices[code].names) for code in codes if code in self.devices)
        return ", ".join(known) or _("not known")

    def pages(self) -> Iterator[tuple[str, dict[str, Any]]]:
        """Path and context of the page, and of the further parts of patterns with very many rows."""
        lists = {
            pattern: in_parts(rows, f"shared-pipes-{anchor_of(pattern)}.html")
            for pattern, rows in self.rows.items()
            if rows
        }
        devices = [
            {
                "anchor": f"device-{device.code}",
                "name": word(device.names),
                "non_return": device.non_return,
                "explanation": device.explanation,
            }
            for device in self.devices.values()
        ]
        first = [_group(pattern, parts[0]) for pattern, parts in lists.items()]
        yield PATH, _context(first, devices)
        for pattern, parts in lists.items():
            for part in parts[1:]:
                yield part.path, _context([_group(pattern, part)], [])


def _context(groups: list[dict[str, Any]], devices: list[dict[str, Any]]) -> dict[str, Any]:
    """What the template `shared_pipes.html` prints."""
    return {
        "title": _("Shared pipes"),
        "description": _("Every stop that shares pipes with another, by what is shared."),
        "section": PATH,
        "groups": groups,
        "devices": devices,
    }


def _group(pattern: str, part: ListPart) -> dict[str, Any]:
    anchor = anchor_of(pattern)
    return {
        "anchor": anchor,
        "name": pattern_name(pattern),
        "explanation": pattern_explained(pattern),
        "n": part.of,
        "rows": part.rows,
        "parts": [(n, f"{PATH}#{anchor}" if n == 1 else path, here) for n, path, here in part.parts],
    }
