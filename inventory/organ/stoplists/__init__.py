"""Typed stoplists: several languages read into proposals with reasons, doubts into questions."""

from inventory.organ.stoplists.reading import read_stoplist
from inventory.organ.stoplists.values import (
    AccessoryProposal,
    Composition,
    CouplerProposal,
    DivisionProposal,
    Question,
    Stoplist,
    StopProposal,
)
from inventory.organ.stoplists.writing import write_stoplist

__all__ = [
    "AccessoryProposal",
    "Composition",
    "CouplerProposal",
    "DivisionProposal",
    "Question",
    "StopProposal",
    "Stoplist",
    "read_stoplist",
    "write_stoplist",
]
