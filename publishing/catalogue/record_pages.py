"""Pages of makers, places and sources, and their lists."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from django.utils.translation import gettext as _

from inventory.punctuation import in_figures
from publishing.disclosure.instruments import Collection
from publishing.disclosure.values import PublicInstrument, PublicMaker, PublicPlace, PublicSource

from .about_words import about_in_words
from .instrument_page import idea_in_words, made_in_words
from .long_lists import in_parts
from .record_texts import marked, told
from .rendering import named, word

Row = dict[str, str]
Wanted = tuple[str, str, dict[str, Any]]
"""Template, path, context."""


class RecordPages:
    """Gathers what each maker, place and source is named for while instruments pass by."""

    def __init__(self, collection: Collection) -> None:
        self.collection = collection
        self.works: dict[str, list[Row]] = defaultdict(list)
        self.standing: dict[str, list[Row]] = defaultdict(list)
        self.cited: dict[str, list[Row]] = defaultdict(list)

    def add(self, said: Sequence[tuple[str, str, Row]]) -> None:
        """Take what one instrument says of others."""
        for kind, reference, row in said:
            getattr(self, kind)[reference].append(row)

    @staticmethod
    def said_by(organ: PublicInstrument) -> list[tuple[str, str, Row]]:
        """What one instrument says of others: which list, whose, and the row."""
        said: list[tuple[str, str, Row]] = []
        href, name = f"instruments/{organ.reference}.html", organ.name
        for event in organ.events:
            if event.maker is not None:
                doubt = named(event.attribution, "Attribution") if event.attribution else ""
                place = event.place.name if event.place else (organ.place.name if organ.place else "")
                said.append(
                    (
                        "works",
                        event.maker.reference,
                        {
                            "when": event.when.words if event.when else _("no date"),
                            "href": href,
                            "name": name,
                            "what": ", ".join(filter(None, [word(event.kind), place, doubt])),
                            "sort": f"{event.when.sort if event.when and event.when.sort is not None else 10**12:020d}",
                        },
                    )
                )
        if organ.place is not None:
            row = {
                "when": made_in_words(organ),
                "href": href,
                "name": name,
                "what": idea_in_words(organ.current),
            }
            for place in (organ.place.link, *organ.place.within):
                said.append(("standing", place.reference, row))
        for citation in organ.citations:
            row = {"when": "", "href": href, "name": name, "what": about_in_words(citation.about, organ)}
            said.append(("cited", citation.source.reference, row))
        return said

    def pages(self) -> Iterator[Wanted]:
        """Every page of a maker, a place and a source, and the three lists."""
        found = self.collection
        for maker in found.makers.values():
            yield "record.html", f"makers/{maker.reference}.html", self._maker(maker)
        for place in found.places.values():
            yield "record.html", f"places/{place.reference}.html", self._place(place)
        for source in found.sources.values():
            yield "record.html", f"sources/{source.reference}.html", self._source(source)
        yield from _list_pages(
            "makers/index.html",
            {
                "title": _("Makers"),
                "description": _("Persons and firms that made, changed or moved the instruments."),
                "rows": [
                    {
                        "when": years_of(maker),
                        "href": f"makers/{maker.reference}.html",
                        "name": maker.name,
                        "what": first_sentence(told(maker.note, maker.note_in)),
                    }
                    for maker in sorted(found.makers.values(), key=lambda m: (m.sort_name, m.reference))
                ],
            },
        )
        yield from _list_pages(
            "places/index.html",
            {
                "title": _("Places"),
                "description": _("Where the instruments stand, as far as it is published."),
                "rows": [
                    {
                        "when": named(place.kind, "PlaceKind"),
                        "href": f"places/{place.reference}.html",
                        "name": place.name,
                        "what": ", ".join(one.name for one in place.within),
                    }
                    for place in sorted(found.places.values(), key=lambda p: (p.name, p.reference))
                ],
            },
        )
        yield from _list_pages(
            "sources/index.html",
            {
                "title": _("Sources"),
                "description": _("Documents, inscriptions and people on whose word the records rest."),
                "rows": [
                    {
                        "when": source.when.words if source.when else "",
                        "href": f"sources/{source.reference}.html",
                        "name": source.name,
                        "what": ", ".join(filter(None, [source.author, source.held_at, source.shelfmark])),
                    }
                    for source in sorted(found.sources.values(), key=lambda s: (s.name, s.reference))
                ],
            },
        )

    def _maker(self, maker: PublicMaker) -> dict[str, Any]:
        works = sorted(self.works[maker.reference], key=lambda row: (row["sort"], row["href"]))
        facts = [
            (_("Dates"), years_of(maker)),
            (_("Active"), maker.active.words if maker.active else ""),
            (_("Workshop"), maker.workshop.name if maker.workshop else ""),
        ]
        return _record(
            maker,
            kind=_("maker"),
            kicker=named(maker.kind, "MakerKind"),
            section="makers/index.html",
            facts=facts,
            variants=maker.variants,
            ties=maker.ties,
            lists=[(_("Works in this inventory"), works)],
        )

    def _place(self, place: PublicPlace) -> dict[str, Any]:
        position = ""
        if place.position is not None:
            at = place.position
            position = _(
                "%(latitude)s, %(longitude)s: the middle of a square of %(grid)s°; the place lies within "
                "%(radius)s m of it"
            ) % {
                "latitude": in_figures(f"{at.latitude:.4f}"),
                "longitude": in_figures(f"{at.longitude:.4f}"),
                "grid": in_figures(f"{at.grid_degrees:g}"),
                "radius": at.radius_m,
            }
        facts = [
            (_("Lies in"), ", ".join(one.name for one in place.within)),
            (_("Other names"), ", ".join(place.other_names)),
            (_("Shown position"), position),
        ]
        return _record(
            place,
            kind=_("place"),
            kicker=named(place.kind, "PlaceKind"),
            section="places/index.html",
            facts=facts,
            lists=[(_("Instruments here"), self.standing[place.reference])],
        )

    def _source(self, source: PublicSource) -> dict[str, Any]:
        facts = [
            (_("Author"), source.author),
            (_("Date"), source.when.words if source.when else ""),
            (_("Held at"), source.held_at),
            (_("Shelfmark"), source.shelfmark),
        ]
        return _record(
            source,
            kind=_("source"),
            kicker=word(source.kind),
            section="sources/index.html",
            facts=facts,
            lists=[(_("Cited for"), self.cited[source.reference])],
        )


def _list_pages(path: str, context: dict[str, Any]) -> Iterator[Wanted]:
    """The pages of a list of records."""
    for part in in_parts(context["rows"], path):
        yield "list.html", part.path, context | {"section": path, "rows": part.rows, "parts": part.parts}


def _record(record: Any, *, kind: str, kicker: str, section: str, **more: Any) -> dict[str, Any]:
    facts = [(term, words) for term, words in more.pop("facts", []) if words]
    return {
        "record": record,
        "kind": kind,
        "kicker": kicker,
        "section": section,
        "title": record.name,
        "description": told(getattr(record, "note", ""), getattr(record, "note_in", ())) or record.name,
        "note": marked(getattr(record, "note", ""), getattr(record, "note_in", ())),
        "facts": facts,
        "variants": (),
        "ties": (),
        **more,
    }


def years_of(maker: PublicMaker) -> str:
    """Born and died, founded and closed, as far as known."""
    if maker.began and maker.ended:
        return f"{maker.began.words} – {maker.ended.words}"
    if maker.began:
        return _("from %(year)s") % {"year": maker.began.words}
    if maker.ended:
        return _("until %(year)s") % {"year": maker.ended.words}
    return maker.active.words if maker.active else ""


def first_sentence(text: str) -> str:
    """The first sentence of a note, for lists."""
    head, stop, _rest = text.partition(". ")
    return head + (stop.strip() if stop else "")
