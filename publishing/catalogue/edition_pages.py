"""Pages of editions and of what changed, their frozen files, and the feed of both."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from django.utils.translation import gettext as _

from publishing.disclosure.instruments import Collection
from publishing.editions import Differences, Versions, differences
from publishing.formats.addresses import Address
from publishing.formats.feed import Entry, day_of, feed_text
from publishing.formats.release import Release
from publishing.models import Edition

Wanted = tuple[str, str, dict[str, Any]]
"""Template, path, context."""
MOST_LISTED = 200  # records in one list of a page; the data have all


class EditionPages:
    """All editions of one export, oldest first; frozen files are read one edition at a time."""

    def __init__(
        self, collection: Collection, versions: Versions, days: Mapping[str, str], release: Release
    ) -> None:
        self.collection, self.versions, self.days, self.release = collection, versions, days, release
        self.editions: list[Edition] = list(Edition.editions.in_order())
        groups = (collection.makers, collection.places, collection.sources)
        self.names = {
            f"{one.link.folder}/{one.reference}": one.name for group in groups for one in group.values()
        } | {f"instruments/{one.reference}": one.name for one in collection.instruments.values()}
        self.with_page = {
            *self.names,
            *(f"{one.link.folder}/{one.link.reference}" for one in collection.gone),
        }

    def files(self) -> Iterator[tuple[str, bytes]]:
        """The frozen files of every edition: the same bytes in every export."""
        for number in [one.number for one in self.editions]:
            for path, content in Edition.editions.get(number=number).files():
                yield f"data/{number}/{path}", content

    def pages(self) -> Iterator[Wanted]:
        """The list of editions, a page for each, and the page of changes."""
        yield (
            "editions.html",
            "editions.html",
            {
                "title": _("Editions"),
                "description": _("States of the whole collection that can be cited and never move."),
                "editions": list(reversed(self.editions)),
            },
        )
        before: Edition | None = None
        for edition in self.editions:
            yield "edition.html", f"editions/{edition.number}.html", self._edition(edition, before)
            before = edition
        yield "changes.html", "changes.html", self._changes()

    def _edition(self, edition: Edition, before: Edition | None) -> dict[str, Any]:
        return {
            "title": _("Edition %(number)s: %(name)s") % {"number": edition.number, "name": edition.name},
            "description": _("Frozen on %(day)s.") % {"day": edition.made_on.isoformat()},
            "section": "editions.html",
            "edition": edition,
            "before": before,
            "lists": self._lists(differences(before.records, edition.records), edition.records)
            if before
            else [],
            "cited": cite_edition(edition, self.release.publisher),
            "counts": [
                (_("instruments"), edition.figures["instruments"]),
                (_("instruments whose stoplist is known"), edition.figures["described"]),
                (_("instruments that share pipes"), edition.figures["sharing"]),
                (_("stops"), edition.figures["stops"]),
                (_("pipes called"), edition.figures["pipes_called"]),
                (_("shared pipes"), edition.figures["pipes_shared"]),
                *((kind, len(edition.records[folder])) for folder, kind in _kinds().items()),
            ],
            "files": sorted(
                {"datapackage.json", "instruments.geojson", "CITATION.cff", "checksums-sha256.txt"}
            ),
            "tables": sorted(edition.counts.items()),
        }

    def _changes(self) -> dict[str, Any]:
        last = self.editions[-1] if self.editions else None
        found = differences(last.records, self.versions) if last else None
        dated = sorted(
            ((day, path) for path, day in self.days.items() if day),
            key=lambda one: (one[0], one[1]),
            reverse=True,
        )
        return {
            "title": _("Changes"),
            "description": _("What is new since the last edition, and when records were released."),
            "last": last,
            "lists": self._lists(found, self.versions) if found else [],
            "anything": bool(found),
            "released": [
                {"when": day, **self._row(path.removesuffix(".html"), self.versions)}
                for day, path in dated[:MOST_LISTED]
            ],
            "more": max(0, len(dated) - MOST_LISTED),
            "undated": sum(1 for day in self.days.values() if not day),
            "has_feed": self.release.address is not None,
        }

    def _lists(self, found: Differences, versions: Versions) -> list[dict[str, Any]]:
        words = (
            (_("New"), found.new),
            (_("Changed"), found.changed),
            (_("No longer published"), found.gone),
        )
        return [
            {
                "heading": heading,
                "count": len(rows),
                "rows": [
                    self._row(f"{kind}/{reference}", versions) for kind, reference in rows[:MOST_LISTED]
                ],
            }
            for heading, rows in words
            if rows
        ]

    def _row(self, record: str, versions: Versions) -> dict[str, Any]:
        """A record by folder and reference, with a link where it has a page now, and its name while that is public."""
        folder, _stroke, reference = record.partition("/")
        version = versions.get(folder, {}).get(reference)
        return {
            "href": f"{record}.html" if record in self.with_page else "",
            "reference": reference,
            "name": self.names.get(record, ""),
            "version": version,
        }

    def feed(self, address: Address, language: str) -> bytes:
        """The feed of editions and released records."""
        entries = [
            Entry(
                day=one.made_on,
                path=f"editions/{one.number}.html",
                title=_("Edition %(number)s: %(name)s") % {"number": one.number, "name": one.name},
                summary=one.changes or _("A frozen state of the whole collection."),
                version=str(one.number),
            )
            for one in self.editions
        ]
        for path, day in self.days.items():
            row, released = self._row(path.removesuffix(".html"), self.versions), day_of(day)
            if released is not None:
                entries.append(
                    Entry(
                        day=released,
                        path=path,
                        title=f"{row['name']} ({row['reference']})",
                        summary=_("Version %(version)s of the record was released.") % row,
                        version=str(row["version"]),
                    )
                )
        return feed_text(
            entries,
            address,
            path="changes.atom",
            title=_("%(collection)s: changes") % {"collection": self.release.publisher},
            author=self.release.publisher,
            language=language,
            rights=self.release.licence,
        )


def cite_edition(edition: Edition, publisher: str) -> str:
    """An edition as a reader cites it."""
    return _(
        "%(publisher)s: an inventory of pipe organs and of the pipes their stops share. Edition %(number)s, “%(name)s”, "
        "%(day)s. SHA-256 %(digest)s."
    ) % {
        "publisher": publisher,
        "number": edition.number,
        "name": edition.name,
        "day": edition.made_on.isoformat(),
        "digest": edition.digest,
    }


def _kinds() -> dict[str, str]:
    return {"makers": _("makers"), "places": _("places"), "sources": _("sources")}
