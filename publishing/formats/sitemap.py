"""sitemap.xml (sitemaps.org 0.9) and robots.txt (RFC 9309)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from xml.sax.saxutils import escape

from .addresses import Address

MOST_ADDRESSES = 50_000  # in one file, says the protocol
NAMESPACE = "http://www.sitemaps.org/schemas/sitemap/0.9"
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def sitemap_files(
    days: Mapping[str, str], address: Address, most: int = MOST_ADDRESSES
) -> Iterator[tuple[str, bytes]]:
    """The sitemap of these pages, each with the day it last changed (empty: not said); several files where needed."""
    paths = sorted(days)
    parts = [paths[start : start + most] for start in range(0, len(paths), most)] or [[]]
    if len(parts) == 1:
        yield "sitemap.xml", _addresses(parts[0], days, address)
        return
    for number, part in enumerate(parts, start=1):
        yield f"sitemap-{number}.xml", _addresses(part, days, address)
    listed = "".join(
        f"<sitemap><loc>{escape(address.of(f'sitemap-{number}.xml'))}</loc></sitemap>\n"
        for number in range(1, len(parts) + 1)
    )
    yield "sitemap.xml", f'{_HEAD}<sitemapindex xmlns="{NAMESPACE}">\n{listed}</sitemapindex>\n'.encode()


def _addresses(paths: list[str], days: Mapping[str, str], address: Address) -> bytes:
    listed = "".join(
        f"<url><loc>{escape(address.of(path))}</loc>"
        + (f"<lastmod>{days[path]}</lastmod>" if days[path] else "")
        + "</url>\n"
        for path in paths
    )
    return f'{_HEAD}<urlset xmlns="{NAMESPACE}">\n{listed}</urlset>\n'.encode()


def robots_text(address: Address) -> bytes:
    """Everything may be read. No path is ever named here: what must not be read is not published."""
    return f"User-agent: *\nAllow: /\n\nSitemap: {address.of('sitemap.xml')}\n".encode()
