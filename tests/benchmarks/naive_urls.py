"""The pages of instruments as views of a general static exporter: each gathers and renders one page by itself."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils import translation

from inventory.models import Instrument
from publishing.catalogue.languages import Languages
from publishing.catalogue.making import Facts, Speaker
from publishing.catalogue.map_page import Maps
from publishing.catalogue.pictures import PictureMaker
from publishing.catalogue.statistics_pages import statistics_part
from publishing.disclosure.instruments import Collection, open_collection, read_instruments
from publishing.editions import last_edition_figures

KEPT: dict[str, Collection] = {}
"""With "whole" in it, what every page may link to is read once, as a careful author would; else for each page."""


def facts_of(collection: Collection) -> Facts:
    """What a page needs beside its instrument."""
    kinds = {one.reference: one.kind for one in collection.makers.values()}
    folder = Path(settings.DATA_DIR) / "derived-pictures"
    return Facts(
        ("en",), None, collection.devices, last_edition_figures(), kinds, Maps(collection).locators, folder
    )


@cache
def speaker_once() -> Speaker:
    """Templates compiled once, for the careful author."""
    return Speaker(facts_of(KEPT["whole"]), Languages(("en",), "en"))


def instrument(request: HttpRequest, reference: str) -> HttpResponse:
    """One page, gathered through the door and rendered."""
    collection = KEPT.get("whole") or open_collection()
    (key,) = [pk for pk, link in collection.instruments.items() if link.reference == reference]
    (organ,) = read_instruments([key], collection)
    speaker = speaker_once() if KEPT else Speaker(facts_of(collection), Languages(("en",), "en"))
    with translation.override("en"):
        files, _parts = speaker.make(
            organ, PictureMaker(speaker.facts.pictures), statistics_part(organ).pipes_shared
        )
    return HttpResponse(files[-1][1])


def references() -> list[dict[str, str]]:
    """The pages there are."""
    return [{"reference": one} for one in Instrument.objects.public().values_list("reference", flat=True)]


urlpatterns = [
    path(
        "instruments/<str:reference>.html",
        instrument,
        name="instrument",
        distill_path=True,
        distill_func=references,
    )
]
