"""Words and values that lists need to narrow themselves in the page, without a server."""

from __future__ import annotations

import json

from django.utils.translation import gettext as _

from publishing.disclosure.values import PublicInstrument

from .rendering import named
from .shared_pipes_page import pattern_name


def list_words(**facets: str) -> str:
    """What the script `lists.js` says above a list, with the facets it may offer by name and label."""
    words = {
        "label": _("Narrow this list"),
        "filter": _("Show only what holds these words"),
        "any": _("any"),
        "left": _("{n} of {all} shown"),
        "facets": facets,
    }
    return json.dumps(words, ensure_ascii=False)


def instrument_list_words() -> str:
    """The words above the list of instruments."""
    return list_words(makers=_("Maker"), patterns=_("Kind of sharing"), status=_("Status"))


def facets_of(organ: PublicInstrument) -> str:
    """The values one instrument is chosen by."""
    current = organ.current
    makers = {event.maker.name for event in organ.events if event.maker}
    makers |= {layer.maker.name for layer in organ.layers if layer.maker}
    families = current.answer["families"] if current else ()
    patterns = {pattern["pattern"] for family in families for pattern in family["patterns"]}
    found = {
        "makers": sorted(makers),
        "patterns": sorted(pattern_name(pattern) for pattern in patterns) or [_("none")],
        "status": [named(organ.status, "InstrumentStatus")],
    }
    return json.dumps(found, ensure_ascii=False)


def year_made(organ: PublicInstrument) -> str:
    """The year a list sorts by: of the first dated event with a maker, else of the first layer."""
    dates = [event.when for event in organ.events if event.when and event.maker]
    dates += [layer.when for layer in organ.layers if layer.when]
    return str(dates[0].earliest_year or "") if dates else ""
