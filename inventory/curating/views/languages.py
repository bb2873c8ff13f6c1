"""What readers of another language still find in English: words of the tool, vocabularies, texts of records."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import get_language_info
from django.views.decorators.http import require_GET

from inventory.models import Device, Instrument, Maker, Place, Term
from inventory.roles import require
from inventory.word_catalogues import other_languages, words_missing

from ..access import signed_in

MOST_SHOWN = 200


@require_GET
@signed_in
def show(request: HttpRequest) -> HttpResponse:
    """One section for each language, with links to where it is mended."""
    require(request.user, "see what is not translated")
    return render(
        request, "curating/languages.html", {"languages": [_missing(one) for one in other_languages()]}
    )


def _all_words() -> list[Term | Device]:
    return [row for model in (Term, Device) for row in model.objects.order_by("code")]


def _missing(language: str) -> dict[str, object]:
    words = words_missing(language)
    named = [row for row in _all_words() if not row.names.get(language)]
    unchecked = [row for row in _all_words() if language in row.unchecked]
    texts = [row for model in (Instrument, Maker, Place) for row in model.objects.without_text_in(language)]
    return {
        "code": language,
        "name": get_language_info(language)["name_translated"],
        "words": words[:MOST_SHOWN],
        "words_all": len(words),
        "named": named,
        "unchecked": len(unchecked),
        "explained": [row for row in _all_words() if row.explanation],
        "texts": texts[:MOST_SHOWN],
        "texts_all": len(texts),
    }
