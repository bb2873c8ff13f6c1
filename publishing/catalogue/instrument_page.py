"""The page of one instrument: everything it prints, from its frozen value."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext
from markupsafe import Markup

from inventory.languages import active_language
from inventory.organ.notes import note_name
from inventory.punctuation import labelled, semicolons
from publishing.disclosure.values import (
    CitationValue,
    DeviceValue,
    PublicInstrument,
    SpecificationValue,
    StopValue,
)

from .about_words import about_in_words
from .evidence_words import certain_sums, evidence_in_a_cell, same_in_all, unnamed_visits, visit_rows
from .finding_words import findings_in_words
from .pictures import PictureMaker
from .plates import plates
from .player import player_context
from .record_texts import marked, told
from .rendering import named
from .scheme_words import (
    compass_in_words,
    feet,
    interval_in_words,
    joined,
    pattern_names,
    pretty_footage,
    scheme_rows,
    sharing_sentences,
    sum_rows,
    totals_in_words,
)

_LANGUAGE = re.compile("[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
"""What may stand as a language of a text: people type other things into that field, too."""


def instrument_context(
    organ: PublicInstrument, devices: Mapping[str, DeviceValue], pictures: PictureMaker
) -> dict[str, Any]:
    """What the template `instrument.html` prints."""
    current = organ.current
    context: dict[str, Any] = {
        "organ": organ,
        "title": organ.name,
        "description": told(organ.summary, organ.summary_in) or organ.name,
        "section": "instruments/index.html",
        "made": made_in_words(organ),
        "status": status_in_words(organ),
        "pictures": [pictures.make(value) for value in organ.pictures],
        "counts": [],
        "play": None,
        "plates": [],
        "disagreements": [],
        "claims": claims_by_field(organ),
        "citations": [_citation(one, organ) for one in organ.citations],
    }
    if current is not None:
        rows = scheme_rows(organ, current, devices)
        for row in rows:
            value = row["value"]
            row["mark"] = value.evidence
            row["evidence"] = evidence_in_a_cell(value, organ)
        context |= {
            "counts": counted(current),
            "disagreements": disagreements(current),
            "sentences": sharing_sentences(current, devices),
            "plates": plates(current),
            "play": player_context(organ, current),
            "scheme_rows": (shared_rows := [row for row in rows if row["shared"]]),
            "same_of_shared": {k: v for k, v in same_in_all(shared_rows).items() if k != "device"},
            "own_rows": (own_rows := [row for row in rows if not row["shared"]]),
            "same_of_own": same_in_all(own_rows),
            "sum_rows": [row for row in sum_rows(current) if row["shared"]],
            "totals": totals_in_words(current.answer),
            "certain": certain_sums(current),
            "visits": visit_rows(organ, current),
            "unnamed_visits": unnamed_visits(current),
            "findings": findings_in_words(current),
            "stoplist": stoplist(current),
            "labels_language": labels_language(current),
            "couplers": couplers(current),
            "rank_rows": rank_rows(organ, current),
            "earlier": [
                {
                    "labels": labels_language(one),
                    "name": one.name,
                    "when": one.when.words if one.when else "",
                    "stoplist": stoplist(one),
                }
                for one in organ.specifications
                if one is not current
            ],
        }
    return context


def labels_language(specification: SpecificationValue) -> str:
    """The language to mark the labels with; empty where none is known or it is the page's own."""
    language = specification.language
    return language if _LANGUAGE.fullmatch(language) and language != active_language() else ""


def status_in_words(organ: PublicInstrument) -> str:
    """What became of it, and since when; how a date is joined depends on its kind."""
    status, since = named(organ.status, "InstrumentStatus"), organ.status_since
    if since is None:
        return status
    words = {"status": status, "date": since.words}
    if since.is_one_day:
        return pgettext("a day", "%(status)s since %(date)s") % words
    if since.is_one_date:
        return _("%(status)s since %(date)s") % words
    return _("%(status)s, since when: %(date)s") % words


def made_in_words(organ: PublicInstrument) -> str:
    """Date and maker of the first new build by the maker of a layer, else of the first event or layer that has them."""
    hands = {layer.maker.reference for layer in organ.layers if layer.maker}
    told = [event for event in organ.events if event.when and event.maker]
    for event in sorted(
        told,
        key=lambda one: (one.kind_code != "built", one.maker is None or one.maker.reference not in hands),
    ):
        if event.when and event.maker:
            return f"{event.when.words}, {event.maker.name}"
    for layer in organ.layers:
        if layer.when:
            return layer.when.words + (f", {layer.maker.name}" if layer.maker else "")
    return ""


def computed_counts(specification: SpecificationValue) -> dict[str, int | None]:
    """Knobs, stops, ranks and pipes as the rows themselves give them; None where they cannot."""
    recorded = [rank.pipes for rank in specification.ranks]
    return {
        "knobs": knobs_of(specification),
        "stops": len(specification.stops) or None,
        "ranks": len(specification.ranks) or None,
        "pipes": sum(p for p in recorded if p is not None) if recorded and None not in recorded else None,
    }


def knobs_of(specification: SpecificationValue) -> int | None:
    """Knobs recorded one by one, and one for each stop, coupler and accessory of which no knob is; None if none is."""
    if not specification.knobs:
        return None
    drawn = {
        stop for _label, _kind, positions in specification.knobs for stops in positions for stop in stops
    }
    alone = [stop for stop in specification.stops if stop.code not in drawn]
    couplers = [coupler for coupler in specification.couplers if not coupler[-1]]
    return len(specification.knobs) + len(alone) + len(couplers) + len(specification.accessories)


def counted(specification: SpecificationValue) -> list[dict[str, Any]]:
    """Four figures, each with every way it was counted; a computed number is called computed."""
    words = {"knobs": _("knobs"), "stops": _("stops"), "ranks": _("ranks"), "pipes": _("pipes")}
    computed = computed_counts(specification)
    figures = []
    for what, name in words.items():
        told = [count for count in specification.counts if count.what == what]
        lines: list[str] = [
            Markup(", ").join(
                filter(
                    None,
                    [
                        _("%(n)s: %(how)s") % {"n": count.number, "how": named(count.how, "HowCounted")},
                        marked(count.note),
                    ],
                )
            )
            for count in told
        ]
        if computed[what] is not None:
            lines.append(_("%(n)s: from the rows of this record") % {"n": computed[what]})
        first = next((count.number for count in told if count.how in ("physical", "knob", "label")), None)
        number = first if first is not None else computed[what]
        if number is not None or lines:
            figures.append({"what": name, "number": "–" if number is None else number, "lines": lines})
    return figures


def disagreements(specification: SpecificationValue) -> list[str]:
    """Counts of one thing that differ, each difference said and none mended."""
    said = []
    computed = computed_counts(specification)
    for what in ("knobs", "stops", "ranks", "pipes"):
        told = {
            count.number: named(count.how, "HowCounted")
            for count in specification.counts
            if count.what == what
        }
        own = computed[what]
        if own is not None:
            told.setdefault(own, _("the rows of this record"))
        if len(told) > 1:
            parts = [f"{number} ({how})" for number, how in sorted(told.items())]
            said.append(
                _("The counts of %(what)s differ by %(difference)s: %(parts)s.")
                % {"what": _(what), "difference": max(told) - min(told), "parts": ", ".join(parts)}
            )
    return said


def stoplist(specification: SpecificationValue) -> list[dict[str, Any]]:
    """Stops in groups: by division where there are divisions, else by keyboard."""
    keyboards = {keyboard.code: keyboard for keyboard in specification.keyboards}
    divisions = {code: (name, keyboard) for code, name, keyboard in specification.divisions}
    groups: dict[str, dict[str, Any]] = {}
    for stop in specification.stops:
        key = stop.division or f"keyboard {stop.keyboard}"
        if key not in groups:
            keyboard = keyboards[stop.keyboard]
            name = (
                divisions[stop.division][0] if stop.division in divisions else keyboard.name or keyboard.code
            )
            groups[key] = {
                "name": name,
                "compass": compass_in_words(specification, keyboard.code),
                "stops": [],
            }
        groups[key]["stops"].append(_stop_line(stop, specification))
    for keyboard in specification.keyboards:
        if not any(stop.keyboard == keyboard.code for stop in specification.stops):
            groups[f"keyboard {keyboard.code}"] = {
                "name": keyboard.name or keyboard.code,
                "compass": joined([compass_in_words(specification, keyboard.code), _("no stops of its own")]),
                "stops": [],
            }
    return list(groups.values())


def _stop_line(stop: StopValue, specification: SpecificationValue) -> dict[str, Any]:
    asides = []
    if stop.state != "present":
        asides.append(named(stop.state, "StopState"))
    if stop.half:
        asides.append({"bass": _("bass half"), "treble": _("treble half")}[stop.half])
    if stop.keys:
        notes = specification.scheme.keyboard_of(stop.code).notes
        first, last = stop.keys
        if 1 <= first <= last <= len(notes):
            asides.append(
                _("from %(low)s to %(high)s")
                % {"low": note_name(notes[first - 1]), "high": note_name(notes[last - 1])}
            )
    if stop.earlier_name:
        asides.append(_("formerly %(name)s") % {"name": stop.earlier_name})
    if stop.note:
        asides.append(marked(stop.note))
    printed = pretty_footage(stop.footage) if feet(stop.footage, stop.label) else ""
    return {"label": stop.label, "feet": printed, "asides": asides}


def couplers(specification: SpecificationValue) -> str:
    """Couplers in one line; permanent ones are said to be."""
    parts = []
    for label, _origin, _target, shift, always in specification.couplers:
        words = label + (f" ({interval_in_words(shift)})" if shift else "")
        parts.append(_("%(coupler)s, permanent") % {"coupler": words} if always else words)
    return semicolons(parts)


def rank_rows(organ: PublicInstrument, specification: SpecificationValue) -> list[dict[str, Any]]:
    """Ranks with how they were counted and where ranges of their pipes come from."""
    rows = []
    for rank in specification.ranks:
        origin = semicolons(
            labelled(f"{first}–{last}" if last > first else first, text or layer)
            for first, last, layer, _certainty, text in rank.ranges
        )
        rows.append(
            {
                "name": rank.name,
                "pipes": _("not counted") if rank.pipes is None else rank.pipes,
                "counted": named(rank.counted, "HowCounted"),
                "low": note_name(rank.low_note) if rank.low_note is not None else _("not known"),
                "form": rank.form,
                "origin": origin,
            }
        )
    return rows


def claims_by_field(organ: PublicInstrument) -> list[tuple[str, list[Any]]]:
    """Contradictory claims side by side, under what they are about."""
    found: dict[str, list[Any]] = {}
    for claim in organ.claims:
        found.setdefault(about_in_words(claim.about, organ), []).append(claim)
    return list(found.items())


def _citation(citation: CitationValue, organ: PublicInstrument) -> dict[str, Any]:
    return {
        "source": citation.source,
        "locator": citation.locator,
        "certainty": citation.certainty,
        "quote": citation.quote,
        "note": citation.note,
        "about_words": about_in_words(citation.about, organ),
    }


def idea_in_words(specification: SpecificationValue | None) -> str:
    """The sharing of an instrument in a few words, for lists."""
    if specification is None:
        return _("no stoplist yet")
    names = pattern_names()
    found = dict.fromkeys(
        names[pattern["pattern"]]
        for family in specification.answer["families"]
        for pattern in family["patterns"]
    )
    if not found:
        return _("no shared pipes")
    shared = specification.answer["pipes_shared"]
    pipes = ngettext("%(n)s shared pipe", "%(n)s shared pipes", shared) % {"n": shared}
    return f"{', '.join(found)} · {pipes}"
