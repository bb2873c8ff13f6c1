"""An Atom feed (RFC 4287) of editions and released records, newest first."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any

from django.utils.feedgenerator import Atom1Feed
from django.utils.html import escape

from .addresses import Address

MOST_ENTRIES = 100
# Where nothing has a date yet the feed still needs one, and it may not be the clock's.
BEFORE_ALL = datetime(2000, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Entry:
    """One thing that happened on a day: an edition, or a record's release."""

    day: date
    path: str
    """Page in the site."""
    title: str
    summary: str
    version: str
    """Tells this from other entries of the same page."""


class _StillFeed(Atom1Feed):
    """A feed whose date is that of its entries, never of the clock."""

    def latest_post_date(self) -> datetime:
        days: list[datetime] = [item["updateddate"] for item in self.items]
        return max(days, default=BEFORE_ALL)


def feed_text(
    entries: Iterable[Entry],
    address: Address,
    *,
    path: str,
    title: str,
    author: str,
    language: str,
    rights: str,
) -> bytes:
    """The feed as bytes; it stands at `path` in the site."""
    feed = _StillFeed(
        title=title,
        link=address.of("changes.html"),
        description="",
        language=language,
        author_name=author,
        author_link=address.root,
        feed_url=address.of(path),
        feed_guid=address.of(path),
        feed_copyright=rights,
    )
    newest = sorted(entries, key=lambda one: (-one.day.toordinal(), one.path, one.version))[:MOST_ENTRIES]
    for one in newest:
        moment = datetime.combine(one.day, time(), tzinfo=UTC)
        feed.add_item(
            title=one.title,
            link=address.of(one.path),
            description=escape(one.summary),  # Django marks summaries as HTML
            unique_id=tag_of(one, address),
            pubdate=moment,
            updateddate=moment,
        )
    out = io.StringIO()
    feed.write(out, "utf-8")
    return out.getvalue().encode("utf-8")


def tag_of(entry: Entry, address: Address) -> str:
    """A name for ever (RFC 4151): who held the host on that day called this entry so."""
    return f"tag:{address.host},{entry.day.isoformat()}:{entry.path}/{entry.version}"


def day_of(text: str) -> date | None:
    """A day as disclosure writes it."""
    return date.fromisoformat(text) if text else None


def entry_or_none(day: str, **rest: Any) -> Entry | None:
    """An entry, or None where nobody knows the day."""
    found = day_of(day)
    return Entry(day=found, **rest) if found else None
