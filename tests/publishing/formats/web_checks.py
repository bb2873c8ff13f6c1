"""Checks of what goes on the web: schema.org terms and domains, Atom, sitemap; each is shown on broken copies."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from lxml import etree

ATOM = "{http://www.w3.org/2005/Atom}"
SITEMAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
DAY = re.compile(r"\d{4}-\d\d-\d\d(T\d\d:\d\d:\d\d(Z|[+-]\d\d:\d\d))?")
IRI = re.compile(r"(https?://|tag:[^,]+,\d{4}(-\d\d){0,2}:)\S+")


class Vocabulary:
    """schema.org as its release file has it: classes with what they are kinds of, properties with their domains."""

    def __init__(self, file: Path) -> None:
        self.parents: dict[str, set[str]] = {}
        self.domains: dict[str, set[str]] = {}
        for block in re.split(r"\n(?=schema:\w+ a )", file.read_text(encoding="utf-8")):
            head = re.match(r"schema:(\w+) a (rdfs:Class|rdf:Property|schema:\w+)", block)
            if head is None:
                continue
            if head[2] == "rdf:Property":
                listed = re.search(r"schema:domainIncludes ([^;.]*)", block)
                self.domains[head[1]] = set(re.findall(r"schema:(\w+)", listed[1] if listed else ""))
            else:
                listed = re.search(r"rdfs:subClassOf ([^;.]*)", block)
                self.parents[head[1]] = set(re.findall(r"schema:(\w+)", listed[1] if listed else ""))

    def kinds(self, name: str) -> set[str]:
        """A class and everything it is a kind of."""
        return {name}.union(*(self.kinds(parent) for parent in self.parents.get(name, ())))

    def problems(self, node: dict[str, Any], path: str = "") -> Iterator[str]:
        """Unknown classes and properties, and properties on classes they do not belong to."""
        name = node.get("@type")
        if name is None:
            if set(node) != {"@id"}:
                yield f"{path}: no type"
            return
        if name not in self.parents:
            yield f"{path}: no class {name}"
        for key, value in node.items():
            if key.startswith("@"):
                continue
            if key not in self.domains:
                yield f"{path}: no property {key}"
            elif not self.domains[key] & self.kinds(name):
                yield f"{path}: {key} does not belong to {name}"
            for item in value if isinstance(value, list) else [value]:
                if isinstance(item, dict):
                    yield from self.problems(item, f"{path}/{key}")


def atom_problems(content: bytes) -> list[str]:
    """What RFC 4287 demands of a feed and its entries (4.1.1, 4.1.2), and no id twice."""
    try:
        feed = etree.fromstring(content)
    except etree.XMLSyntaxError as error:
        return [f"not well-formed: {error}"]
    if feed.tag != f"{ATOM}feed":
        return [f"the root is {feed.tag}"]
    found = [f"feed: {one}" for one in _parts(feed)]
    entries = feed.findall(f"{ATOM}entry")
    for number, entry in enumerate(entries, start=1):
        found += [f"entry {number}: {one}" for one in _parts(entry)]
        if feed.find(f"{ATOM}author") is None and entry.find(f"{ATOM}author") is None:
            found.append(f"entry {number}: no author")
        if not [link for link in entry.findall(f"{ATOM}link") if link.get("rel") in (None, "alternate")]:
            found.append(f"entry {number}: no alternate link")
    ids = [entry.findtext(f"{ATOM}id") for entry in entries]
    found += [f"id {one} twice" for one in sorted({one for one in ids if ids.count(one) > 1 and one})]
    if not [link for link in feed.findall(f"{ATOM}link") if link.get("rel") == "self"]:
        found.append("feed: no link to itself")
    return found


def _parts(element: etree._Element) -> Iterator[str]:
    for name in ("id", "title", "updated"):
        if len(element.findall(f"{ATOM}{name}")) != 1:
            yield f"{len(element.findall(ATOM + name))} times {name}"
    if not IRI.fullmatch(element.findtext(f"{ATOM}id") or ""):
        yield "id is no address or tag"
    for name in ("updated", "published"):
        text = element.findtext(f"{ATOM}{name}")
        if text is not None and not ("T" in text and DAY.fullmatch(text)):
            yield f"{name} is no date of RFC 3339: {text}"
    for link in element.findall(f"{ATOM}link"):
        if not IRI.fullmatch(link.get("href", "")):
            yield f"link without an absolute address: {link.get('href')}"


def sitemap_problems(content: bytes, root: str) -> list[str]:
    """What the protocol demands: namespace, addresses below the root, none twice, dates as W3C writes them."""
    try:
        document = etree.fromstring(content)
    except etree.XMLSyntaxError as error:
        return [f"not well-formed: {error}"]
    kind, row = (f"{SITEMAP}urlset", f"{SITEMAP}url")
    if document.tag == f"{SITEMAP}sitemapindex":
        kind, row = document.tag, f"{SITEMAP}sitemap"
    found = [] if document.tag == kind else [f"the root is {document.tag}"]
    places = [one.findtext(f"{SITEMAP}loc") or "" for one in document]
    found += [f"unknown element {one.tag}" for one in document if one.tag != row]
    found += [f"no address below {root}: {place}" for place in places if not place.startswith(root)]
    found += [f"twice: {place}" for place in sorted({one for one in places if places.count(one) > 1})]
    for one in document.iter(f"{SITEMAP}lastmod"):
        if not DAY.fullmatch(one.text or ""):
            found.append(f"no date: {one.text}")
    return found + (["more than 50,000 addresses"] if len(places) > 50_000 else [])
