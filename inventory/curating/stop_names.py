"""Stops named in a cell: by their label where only one bears it, else by their code."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _

from inventory.models.searching import plain_words

from .cells import BadCell


class StopNames:
    """The stops of one stoplist by what people call them."""

    def __init__(self, stops: Iterable[Any]) -> None:
        self.by_code = {stop.code: stop for stop in stops}
        self.by_label: dict[str, list[Any]] = defaultdict(list)
        for stop in self.by_code.values():
            self.by_label[plain_words(stop.label)].append(stop)

    def write(self, stop: Any) -> str:
        """What a stop is called in a cell."""
        alone = len(self.by_label[plain_words(stop.label)]) == 1 and not set(stop.label) & set("|+")
        return str(stop.label if alone else stop.code)

    def read(self, text: str) -> Any:
        """The stop that is meant."""
        if text in self.by_code:
            return self.by_code[text]
        found = self.by_label.get(plain_words(text), [])
        if len(found) == 1:
            return found[0]
        if found:
            raise BadCell(
                _("More than one stop is called %(text)s; write its code: %(codes)s.")
                % {"text": text[:40], "codes": ", ".join(stop.code for stop in found[:6])}
            )
        raise BadCell(
            _("%(text)s is no stop of this list; write it as its label stands.") % {"text": text[:40]}
        )
