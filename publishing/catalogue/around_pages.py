"""Pages that help to read the others: words in four languages, surveys by level, how to report an error."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from inventory.models.vocabularies import Vocabulary
from publishing.disclosure.values import PublicInstrument
from publishing.disclosure.words import LANGUAGES, read_words

from .list_words import list_words
from .page_scripts import page_script
from .rendering import level

Wanted = tuple[str, str, dict[str, Any]]


class ConditionPage:
    """Gathers surveys while instruments pass by; findings come only where a consent stands, by their value."""

    def __init__(self) -> None:
        self.surveys: dict[int, list[dict[str, Any]]] = defaultdict(list)
        self.instruments = 0
        self.unsurveyed = 0

    def add(self, surveys: Sequence[tuple[int, dict[str, Any]]]) -> None:
        """Take the surveys of one instrument."""
        self.instruments += 1
        self.unsurveyed += not surveys
        for number, row in surveys:
            self.surveys[number].append(row)

    @staticmethod
    def surveys_of(organ: PublicInstrument) -> list[tuple[int, dict[str, Any]]]:
        """The surveys of one instrument by their level."""
        return [
            (
                survey.level,
                {
                    "sort": (organ.reference, survey.code),
                    "organ": organ.link,
                    "when": survey.when.words if survey.when else "",
                    "limits": survey.limits,
                    "heard": survey.heard,
                    "told": bool(survey.findings),
                },
            )
            for survey in organ.surveys
        ]

    def context(self) -> dict[str, Any]:
        """What the template `condition.html` prints."""
        return {
            "title": _("Condition"),
            "description": _("Which surveys were made, how deep each went, and what of them is public."),
            "instruments": self.instruments,
            "unsurveyed": self.unsurveyed,
            "levels": [
                {
                    "level": number,
                    "name": level(number),
                    "rows": sorted(rows, key=lambda row: row["sort"]),
                    "organs": len({row["organ"].reference for row in rows}),
                    "told": sum(row["told"] for row in rows),
                }
                for number, rows in sorted(self.surveys.items())
            ],
            "lists_script": page_script("lists"),
            "list_words": list_words(),
        }


def glossary_context() -> dict[str, Any]:
    """What the template `glossary.html` prints."""
    groups: dict[str, list[dict[str, Any]]] = {}
    for one in read_words():
        groups.setdefault(one.vocabulary, []).append(
            {
                "code": one.code,
                "names": [
                    {
                        "language": language,
                        "name": one.names.get(language, ""),
                        "unchecked": language in one.unchecked,
                    }
                    for language in LANGUAGES
                ],
                "explanation": one.explanation,
            }
        )
    return {
        "title": _("Glossary"),
        "description": _("The words of this catalogue in English, French, Spanish and German."),
        "languages": [
            (language, name)
            for language, name in zip(
                LANGUAGES, (_("English"), _("French"), _("Spanish"), _("German")), strict=True
            )
        ],
        "groups": [
            {
                "anchor": name or "device",
                "name": str(Vocabulary(name).label) if name else _("devices of sharing"),
                "rows": rows,
            }
            for name, rows in groups.items()
        ],
        "lists_script": page_script("lists"),
        "list_words": list_words(),
    }


def report_context() -> dict[str, Any]:
    """What the template `report.html` prints."""
    return {
        "title": _("Report an error"),
        "description": _("How to tell us what is wrong or missing, and what happens then."),
        "contact": str(settings.CATALOGUE_CONTACT),
    }


def around_pages(condition: ConditionPage) -> Iterator[Wanted]:
    """All three pages."""
    yield "condition.html", "condition.html", condition.context()
    yield "glossary.html", "glossary.html", glossary_context()
    yield "report.html", "report.html", report_context()
