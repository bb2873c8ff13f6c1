"""The parts of each kind of record's page, in the order people think. A new part: a module, a line here."""

from __future__ import annotations

from django.http import Http404

from inventory.models import Instrument, Maker, Place, Root, Source

from .condition import CONDITION
from .history import HISTORY
from .identity import IDENTITY
from .makers import MAKER, MAKER_NAMES, MAKER_WORKS
from .photographs import PHOTOGRAPHS
from .pipes import PIPES
from .places import PLACE, PLACE_INSTRUMENTS
from .sources import SOURCE, SOURCE_USES, SOURCES, SOURCES_OF_MAKER, SOURCES_OF_PLACE
from .stoplist import STOPLIST
from .values import FieldGroup, Part, Reader, RowKind
from .works import WORKS

__all__ = ["PARTS", "FieldGroup", "Part", "Reader", "RowKind", "find_group", "find_part", "find_row_kind"]

PARTS: dict[type[Root], tuple[Part, ...]] = {
    Instrument: (IDENTITY, HISTORY, STOPLIST, PIPES, CONDITION, PHOTOGRAPHS, SOURCES, WORKS),
    Maker: (MAKER, MAKER_NAMES, MAKER_WORKS, SOURCES_OF_MAKER),
    Place: (PLACE, PLACE_INSTRUMENTS, SOURCES_OF_PLACE),
    Source: (SOURCE, SOURCE_USES),
}


def find_part(kind: type[Root], code: str) -> Part:
    """A part of a kind of record by its code."""
    for part in PARTS[kind]:
        if part.code == code:
            return part
    raise Http404(code)


def find_group(kind: type[Root], code: str) -> tuple[Part, FieldGroup]:
    """A group of fields by its code, with the part it stands in."""
    for part in PARTS[kind]:
        for group in part.groups:
            if group.code == code:
                return part, group
    raise Http404(code)


def find_row_kind(kind: type[Root], name: str) -> tuple[Part, RowKind]:
    """A kind of row by its name, with the part it stands in."""
    for part in PARTS[kind]:
        for row_kind in part.rows:
            if row_kind.name == name:
                return part, row_kind
    raise Http404(name)
