"""sitemap.xml (sitemaps.org 0.9) and robots.txt (RFC 9309)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from xml.sax.saxutils import escape

from .addresses import Address

MOST_ADDRESSES = 50_000  # in one file, says the protocol
NAMESPACE = "http://www.sitemaps.org/schemas/sitemap/0.9"
_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def sitemap_files(
    days: Mapping[str, str], address: Address, most: int = MOST_ADDRESSES, languages: Sequence[str] = ()
) -> Iterator[tuple[str, bytes]]:
    """The sitemap of these pages, each with the day it last changed (empty: not said); several files where needed.

    With several languages (the first at the root, each other in a folder of its name) a page names its
    translations, as long as all of them are among the pages.
    """
    paths = sorted(days)
    parts = [paths[start : start + most] for start in range(0, len(paths), most)] or [[]]
    if len(parts) == 1:
        yield "sitemap.xml", _addresses(parts[0], days, address, languages)
        return
    for number, part in enumerate(parts, start=1):
        yield f"sitemap-{number}.xml", _addresses(part, days, address, languages)
    listed = "".join(
        f"<sitemap><loc>{escape(address.of(f'sitemap-{number}.xml'))}</loc></sitemap>\n"
        for number in range(1, len(parts) + 1)
    )
    yield "sitemap.xml", f'{_HEAD}<sitemapindex xmlns="{NAMESPACE}">\n{listed}</sitemapindex>\n'.encode()


def _alternates(path: str, days: Mapping[str, str], address: Address, languages: Sequence[str]) -> str:
    """Links to the same page in every language, as search engines read them."""
    first, *others = languages or ("",)
    folder, _stroke, rest = path.partition("/")
    plain = rest if folder in others else path
    same = {first: plain, **{language: f"{language}/{plain}" for language in others}}
    if len(same) < 2 or not all(one in days for one in same.values()):
        return ""
    return "".join(
        f'<xhtml:link rel="alternate" hreflang="{language}" href="{escape(address.of(one))}"/>'
        for language, one in (*same.items(), ("x-default", plain))
    )


def _addresses(
    paths: list[str], days: Mapping[str, str], address: Address, languages: Sequence[str] = ()
) -> bytes:
    several = ' xmlns:xhtml="http://www.w3.org/1999/xhtml"' if len(languages) > 1 else ""
    listed = "".join(
        f"<url><loc>{escape(address.of(path))}</loc>"
        + (f"<lastmod>{days[path]}</lastmod>" if days[path] else "")
        + _alternates(path, days, address, languages)
        + "</url>\n"
        for path in paths
    )
    return f'{_HEAD}<urlset xmlns="{NAMESPACE}"{several}>\n{listed}</urlset>\n'.encode()


def robots_text(address: Address) -> bytes:
    """Everything may be read. No path is ever named here: what must not be read is not published."""
    return f"User-agent: *\nAllow: /\n\nSitemap: {address.of('sitemap.xml')}\n".encode()
