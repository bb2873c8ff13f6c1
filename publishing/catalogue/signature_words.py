"""Signatures of families in the reader's language: the English makes two of them equal, and stays in the data."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from inventory.punctuation import colon, semicolon
from publishing.disclosure.values import DeviceValue

from .rendering import word
from .scheme_words import pattern_names


def signature_in_words(signature: str, devices: Mapping[str, DeviceValue]) -> str:
    """A signature with its words in the active language; pitches, numbers and digests are the same everywhere."""
    words, pattern = _words(str(translation.get_language()))
    named = re.sub(
        r" by ([a-z0-9-]+(?: \+ [a-z0-9-]+)*)(?=[;|,]| \||$)", lambda m: _by(m[1], devices), signature
    )
    told = pattern.sub(lambda found: words[found[0]], named)
    return told.replace(": ", f"{colon()} ").replace("; ", f"{semicolon()} ")


def _by(codes: str, devices: Mapping[str, DeviceValue]) -> str:
    names = [word(devices[code].names) if code in devices else code for code in codes.split(" + ")]
    return " " + _("by %(devices)s") % {"devices": " + ".join(names)}


@cache
def _words(_language: str) -> tuple[Mapping[str, str], re.Pattern[str]]:
    """Each English piece a signature can be made of, and a pattern that finds the longest first."""
    words = {
        **pattern_names(),
        "manual": pgettext("a keyboard", "manual"), "pedal": pgettext("a keyboard", "pedal"),
        "no footage": _("no footage"), "ends early": _("ends early"), "top silent": _("top silent"),
        "folds back on its own pipes": _("folds back on its own pipes"),
        "folds back with pipes of its own": _("folds back with pipes of its own"),
        "polyphone": _("polyphone"), "form": pgettext("of a graph", "form"),
        "by device not known": _("by a device not known"),
        "keys": _("keys"), "from": pgettext("a note", "from"), "to": pgettext("a note", "to"), "on": _("on"),
        "of": _("of"), "speaking": _("speaking"), "pipes not counted": _("pipes not counted"), "pipes": _("pipes"),
        "bars": _("bars"), "bells": _("bells"),
    }  # fmt: skip
    longest = sorted(words, key=len, reverse=True)
    return words, re.compile(r"(?<![\w′-])(?:" + "|".join(map(re.escape, longest)) + r")(?![\w-])")
