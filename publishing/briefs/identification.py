"""The identification sheet for police and insurers: two pages at most, private, by Object ID's questions."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from inventory.models import Instrument, User
from publishing.catalogue.rendering import word
from publishing.disclosure.identification import Identification, read_identification

from .pictures import print_picture
from .record_language import marked, record_texts
from .typesetting import typeset


def make_identification_sheet(instrument: Instrument, user: User, language: str) -> bytes:
    """The sheet as a PDF: what this person may read, and which questions are open."""
    with translation.override(language):
        found = read_identification(instrument, user)
        data, pictures = sheet_data(found)
        texts = record_texts(found.description, found.inscriptions, found.pictures)
        return typeset("identification", marked(data, language, texts), language, pictures=pictures)


def questions_of(found: Identification) -> list[tuple[str, str]]:
    """The questions of Object ID in its order, each with its answer or nothing."""
    manuals, stops, ranks = found.kind
    kind = _("Pipe organ: %(manuals)s manual keyboards, %(stops)s stops, %(ranks)s rows of pipes.") % {
        "manuals": manuals,
        "stops": stops,
        "ranks": ranks,
    }
    return [
        (_("Type of object"), kind if stops else _("Pipe organ")),
        (_("Materials and techniques"), "; ".join(found.materials)),
        (_("Measurements"), "; ".join(found.measurements)),
        (_("Inscriptions and markings"), "; ".join(found.inscriptions)),
        (_("Distinguishing features"), "; ".join(found.features)),
        (_("Title"), found.name),
        (_("Subject"), _("none: an instrument")),
        (_("Date or period"), found.dates),
        (_("Maker"), "; ".join(found.makers)),
        (_("Description"), found.description),
        (_("Place"), found.place),
        (_("Inventory number"), found.reference),
        (_("Related written material"), "; ".join(found.sources)),
        (_("Related objects"), "; ".join(found.related)),
        (_("Date documented"), found.documented),
    ]


def sheet_data(found: Identification) -> tuple[dict[str, Any], dict[str, bytes]]:
    """What the template prints, and its pictures."""
    questions = questions_of(found)
    pictures: dict[str, bytes] = {}
    shown = []
    for number, value in enumerate(found.pictures):
        made = print_picture(value)
        if made is not None:
            pictures[f"picture-{number}.jpg"] = made
            shown.append({"file": f"picture-{number}.jpg", "alt": value.shows, "caption": value.shows})
    still = [question for question, answer in questions if not answer]
    if not shown:
        still.insert(0, _("Photographs"))
    answered = len(questions) + 1 - len(still)
    return {
        "title": _("%(name)s: identification sheet") % {"name": found.name},
        "name": found.name,
        "kicker": _("Identification sheet for police and insurers"),
        "questions": [[question, answer or _("not answered yet")] for question, answer in questions],
        "meter": _("%(n)s of %(all)s questions answered.") % {"n": answered, "all": len(questions) + 1},
        "still": _("Still open: %(questions)s.") % {"questions": ", ".join(still)} if still else "",
        "pictures": shown,
        "parts_heading": _("Its parts"),
        "heads": [_("Part"), _("Kind"), _("Materials"), _("Description")],
        "parts": [[one.name, word(one.kind), one.materials or "–", one.description or "–"] for one in found.parts],
        "advice": _(
            "Keep this sheet safe, away from the instrument, and keep a copy elsewhere. It is private: it is not "
            "published and names no value, no access and no store."
        ),
        "mark": _("Private"),
        "running": f"{settings.COLLECTION_NAME} · {found.reference}",
        "foot": _("%(reference)s, version %(version)s") % {"reference": found.reference, "version": found.version},
        "page_word": _("page %(n)s of %(total)s") % {"n": "%n", "total": "%total"},
    }, pictures  # fmt: skip
