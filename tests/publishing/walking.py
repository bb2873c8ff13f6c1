"""Walks pages of figures: every number with n, denominator and a link, and the records it leads to add up to it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable

import pytest
from lxml import html

CONSTANTS = re.compile(
    r"95 %|from 0 to 1\b|from 0, unlike in everything, to 1|−log2|: 0 where|is 1 − pipes|called ÷ calls: 0\b|"
    r"PLC-\d+|MKR-\d+|ORG-\d+|\bin 1[0-9]{3}\b|not after 1[0-9]{3}\b|[0-9]+ HTML|CC BY 4\.0|\(0: "
)
"""Numbers that count nothing: levels of confidence, ends of scales, references, years a reader chose, a licence."""
Listings = dict[str, list[tuple[str, float, float, str]]]
"""For each column of the lists of a page, by its id: reference, count, of, evidence of every row."""


def listings_of(root: html.HtmlElement) -> Listings:
    """The lists of records of a page."""
    found: Listings = {}
    for table in root.xpath("//table[contains(@class,'listing')]"):
        heads = table.xpath(".//thead//th")
        rows = table.xpath(".//tbody/tr")
        for place, head in enumerate(heads):
            if head.get("id"):
                cells = [
                    (row.get("data-reference"), row[place], row[-1].text_content().strip()) for row in rows
                ]
                found[head.get("id")] = [
                    (reference, float(cell.get("data-count")), float(cell.get("data-of")), evidence)
                    for reference, cell, evidence in cells
                    if cell.get("data-of") is not None
                ]
    return found


def loose_numbers(root: html.HtmlElement) -> list[str]:
    """Texts with a digit that stand in no counted row, chart or heading, and are no constant."""
    wrong = []
    for node in root.xpath("//main//text()[not(ancestor::script)]"):
        parent = node.getparent()
        ancestors = [parent, *parent.iterancestors()]
        if any(is_counted(one) for one in ancestors):
            continue
        if re.search(r"\d", CONSTANTS.sub("", str(node))):
            wrong.append(str(node).strip())
    return wrong


def is_counted(element: html.HtmlElement) -> bool:
    """Whether a number in here is told by a row, a heading or a drawing with its table."""
    classes = set((element.get("class") or "").split())
    return (
        element.tag in ("svg", "th", "h1", "h2", "h3", "code", "title", "figcaption")
        or bool(classes & {"figure", "near", "rarity", "played", "listing", "missing", "ofmap", "counts"})
        or (element.tag == "a" and re.match(r"(\.\./|/)?instruments/", element.get("href") or "") is not None)
    )


def check_figures(root: html.HtmlElement, name: str, follow: Callable[[str], Listings]) -> int:
    """Check every figure of a page against the records its link leads to; returns how many there were."""
    checked = 0
    for row in root.xpath("//tr[@class='figure']"):
        where = (name, row[0].text_content())
        count, of, n = (float(row.get(f"data-{told}")) for told in ("count", "of", "n"))
        assert of > 0 and n >= 1, where
        records = _check_sum(row, row[1], follow, where)
        printed = [cell.text_content() for cell in row]
        assert float(printed[1]) == pytest.approx(count, abs=0.006), where
        assert float(printed[2]) == pytest.approx(of, abs=0.006), where
        assert int(printed[3]) == n, where
        evidence = Counter(r[3] if r[3] != "–" else "no sharing" for r in records if r[1])
        assert {k: int(v) for k, v in re.findall(r"([a-z ]+?) (\d+)(?:, |$)", printed[-1])} == evidence, where
        checked += 1
        for whole in row.xpath(".//span[@class='whole']"):
            _check_sum(whole, whole, follow, (*where, "all instruments"))
            assert f"(n {whole.get('data-n')})" in whole.text_content(), where
            checked += 1
    return checked


def _check_sum(
    told: html.HtmlElement, cell: html.HtmlElement, follow: Callable[[str], Listings], where: tuple[str, ...]
) -> list[tuple[str, float, float, str]]:
    (href,) = cell.xpath("./a/@href")
    target, _hash, anchor = href.partition("#")
    records = follow(target)[anchor]
    assert sum(r[1] for r in records) == pytest.approx(float(told.get("data-count")), abs=1e-6), where
    assert sum(r[2] for r in records) == pytest.approx(float(told.get("data-of")), abs=1e-6), where
    assert sum(1 for r in records if r[2]) == int(told.get("data-n")), where
    return records
