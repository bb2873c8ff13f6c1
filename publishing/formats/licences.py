"""Licences by the words the catalogue prints, with the names and addresses other formats want."""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True)
class Licence:
    """A licence: its words here, its SPDX name and its address, both empty where not known."""

    words: str
    spdx: str = ""
    address: str = ""


_CREATIVE = re.compile(r"CC (BY(?:-NC)?(?:-ND|-SA)?) ([234]\.0)")


def licence_of(words: str) -> Licence:
    """The licence these words name; Creative Commons licences are known by their form.

    >>> licence_of("CC BY 4.0").spdx, licence_of("our own terms").spdx
    ('CC-BY-4.0', '')
    """
    if words == "CC0 1.0":
        return Licence(words, "CC0-1.0", "https://creativecommons.org/publicdomain/zero/1.0/")
    found = _CREATIVE.fullmatch(words)
    if found is None:
        return Licence(words)
    kind, version = found.groups()
    address = f"https://creativecommons.org/licenses/{kind.lower()}/{version}/"
    return Licence(words, f"CC-{kind}-{version}", address)
