"""Links of a page and of a whole site: what is dead, what would leave the site, what only a server could answer.

`collect_links` reads one page into values that can be kept (and pickled, so workers can do it);
`join_links` compares them with all paths of the site at the end. A page is read with the parser of the
standard library; addresses built by scripts are not seen.
"""

import posixpath
import re
from collections.abc import Callable, Collection, Iterable, Mapping, Set
from dataclasses import dataclass
from functools import cached_property, lru_cache
from urllib.parse import unquote

from .link_reading import Link, PageLinks, collect_links

__all__ = ["Link", "LinkProblem", "LinkReport", "PageLinks", "check_links", "collect_links", "join_links"]

_SCHEME = re.compile(r"([A-Za-z][A-Za-z0-9+.-]*):")
# Addresses a reader may follow out of the site.
OUTSIDE_SCHEMES = {"http", "https", "mailto", "tel", "geo", "doi"}
# What has no ids of ours: fragments there (#page=2, #t=10, #xywh=…) mean something else.
_WITH_IDS = (".html", ".htm", ".svg", ".xhtml")


MOST_REMEMBERED = 100_000
"""Judgements of links kept in hand."""


@dataclass(frozen=True, slots=True)
class LinkProblem:
    """One link that would not work, or would leave the site: where it stands and what to do."""

    kind: str
    page: str
    line: int
    target: str
    message: str

    def __str__(self) -> str:
        return f"{self.page}, line {self.line}: “{self.target}”: {self.message}"


@dataclass(frozen=True, slots=True)
class LinkReport:
    """All problems in order of page and line, and how many links were looked at."""

    problems: tuple[LinkProblem, ...]
    inside: int
    outside: int


def check_links(pages: Mapping[str, bytes] | Iterable[tuple[str, bytes]]) -> LinkReport:
    """Check every link of a site given as path to bytes, or as a stream of pairs."""
    items = pages.items() if isinstance(pages, Mapping) else pages
    collected = [collect_links(path, content) for path, content in items]
    return join_links(collected, {page.path for page in collected})


def join_links(
    pages: Iterable[PageLinks],
    paths: Collection[str],
    ids_of: Callable[[str], Collection[str]] | None = None,
) -> LinkReport:
    """Compare collected links with all paths of the site; pages may come from several runs.

    Where the ids of a page can be asked for (`ids_of`), pages are looked at one by one as they come, by path.
    """
    if ids_of is None:
        pages = sorted(pages, key=lambda page: page.path)
        ids = {page.path: page.ids for page in pages}
        site = _Site(paths, lambda path: ids.get(path, frozenset()))
    else:
        site = _Site(paths, lru_cache(maxsize=2_000)(ids_of))
    problems: list[LinkProblem] = []
    inside = outside = 0
    for page in pages:
        for remark in page.remarks:
            problems.append(LinkProblem(remark.kind, page.path, remark.line, remark.target, remark.message))
        for link in page.links:
            kind, message = site.judge(page.path, link)
            if kind == "outside":
                outside += 1
                continue
            inside += 1
            if kind:
                problems.append(LinkProblem(kind, page.path, link.line, link.target, message))
    return LinkReport(tuple(problems), inside, outside)


class _Site:
    """All paths of a site, and the ids of its pages."""

    def __init__(self, paths: Collection[str], ids_of: Callable[[str], Collection[str]]) -> None:
        self.paths = paths if isinstance(paths, Set) else frozenset(paths)
        self.ids_of = ids_of
        self._judged: dict[tuple[str, str, str], tuple[str, str]] = {}

    @cached_property
    def folders(self) -> set[str]:
        """Every folder of the site."""
        ends = {path.rpartition("/")[0] + "/" for path in self.paths}
        return {end[:place] for end in ends for place, sign in enumerate(end) if sign == "/"}

    @cached_property
    def folded(self) -> dict[str, str]:
        """Every path by what it is on a disk that ignores capitals: to say what a dead link may have meant."""
        return {path.casefold(): path for path in sorted(self.paths)}

    def judge(self, page: str, link: Link) -> tuple[str, str]:
        """Kind and message of what is wrong with a link; "outside" for one that may leave; empty if good."""
        if (
            link.kind == "id" or not link.target.strip().partition("#")[0].partition("?")[0]
        ):  # of the page itself
            return self._judge(page, link)
        # Whatever page of a folder it stands on: most links of a site are the same few, on every page.
        key = (page.rpartition("/")[0], link.target, link.kind)
        found = self._judged.get(key)
        if found is None:
            found = self._judge(page, link)
            if len(self._judged) >= MOST_REMEMBERED:
                self._judged.clear()
            self._judged[key] = found
        return found

    def _judge(self, page: str, link: Link) -> tuple[str, str]:
        target = link.target.strip()
        if link.kind == "id":
            return self._judge_id(page, target)
        if not target and link.kind == "resource":
            return "no address", "is empty, so programs fetch the page itself; name a file or leave it out."
        if "\\" in target:
            return "backslash", "has a backslash; paths in addresses have /."
        scheme = _SCHEME.match(target)
        if target.startswith("//"):
            return _leaving(link)
        if scheme:
            name = scheme[1].lower()
            if name == "data":
                return "", ""
            if name in OUTSIDE_SCHEMES:
                return _leaving(link)
            if name == "javascript":
                return "script link", "works only with JavaScript; link to a page."
            if name == "file":
                return "absolute path", "names a file of one machine; write it relative to the page."
            return "unknown scheme", f"has the scheme “{name}:”, which readers' programs may not know."
        if target.startswith("/"):
            return "absolute path", "begins at the root, which a memory stick has not; write it relative."
        return self._judge_inside(page, target)

    def _judge_inside(self, page: str, target: str) -> tuple[str, str]:
        address, _sign, fragment = target.partition("#")
        address = unquote(address.partition("?")[0])
        path = page
        if address:
            path = posixpath.normpath(posixpath.join(posixpath.dirname(page), address))
            if path == ".." or path.startswith("../"):
                return "leaves the site", "climbs out of the site's folder."
            if address.endswith("/") or path in self.folders or path == ".":
                return "folder", "is a folder, which only a server opens; link to its index.html."
        if path not in self.paths:
            like = self.folded.get(path.casefold())
            hint = f"; there is “{like}”: capitals count" if like else ""
            return "dead page", f"there is no {path} in the site{hint}."
        if fragment and path.endswith(_WITH_IDS) and not fragment.startswith(":~:"):
            return self._judge_id(path, unquote(fragment))
        return "", ""

    def _judge_id(self, path: str, name: str) -> tuple[str, str]:
        if name in self.ids_of(path) or name.casefold() == "top":
            return "", ""
        return "dead fragment", f"{path} has no id “{name}”."


def _leaving(link: Link) -> tuple[str, str]:
    if link.kind == "resource":
        return "foreign request", "would be fetched from another site; put the file into this one."
    return "outside", ""
