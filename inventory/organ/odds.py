"""Stated prior odds of each kind of failure: data beside this module, or the user's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from inventory.organ.errors import SchemeError
from inventory.organ.json_text import read_json, read_object, shown
from inventory.organ.nets import Failure
from inventory.organ.sentences import say

_FAILS = ("shut", "open", "slight", "dead", "runs")


@dataclass(frozen=True)
class Odds:
    """Prior odds by kind of part and way of failing, each above 0 and at most 1."""

    by_kind: Mapping[str, Mapping[str, float]]

    def of(self, failure: Failure) -> float:
        """Prior odds of one failure.

        >>> stated_odds().of(Failure("valve:A:13", "open"))
        0.006
        """
        return self.by_kind[failure.part.partition(":")[0]][failure.fails]


@cache
def stated_odds() -> Odds:
    """The odds this project states: common practice in round numbers, nobody has counted them.

    >>> stated_odds().by_kind["pipe"]
    {'dead': 0.005}
    """
    return _read((files("inventory.organ") / "odds.json").read_bytes(), None)


def read_odds(content: bytes | str) -> Odds:
    """Read odds of one's own, JSON ``{"odds": {kind: {fails: number}}}``; what is not given stays as stated.

    Raises SchemeError for kinds or ways of failing nobody knows, and numbers outside 0 to 1.

    >>> read_odds('{"odds": {"pipe": {"dead": 0.5}}}').of(Failure("pipe:R:1", "dead"))
    0.5
    """
    return _read(content, stated_odds())


def _read(content: bytes | str, stated: Odds | None) -> Odds:
    top = read_object(read_json(content), "the odds", ("about", "odds"), [])
    given = top.get("odds")
    if not isinstance(given, dict):
        raise SchemeError(
            say('%(given)s is not an object: write {"odds": {"pipe": {...}}}', given=shown(given)), "odds"
        )
    table = {} if stated is None else {kind: dict(ways) for kind, ways in stated.by_kind.items()}
    for kind, ways in given.items():
        if stated is not None and kind not in table:
            raise SchemeError(
                say("no part is called %(kind)s: use %(table)s", kind=shown(kind), table=", ".join(table)),
                "odds",
            )
        if not isinstance(ways, dict):
            raise SchemeError(
                say('%(ways)s is not an object: write {"shut": 0.01}', ways=shown(ways)), f"odds.{kind}"
            )
        for fails, number in ways.items():
            _check(kind, fails, number, table.get(kind) if stated else None)
            table.setdefault(kind, {})[fails] = float(number)
    return Odds(table)


def _check(kind: str, fails: str, number: Any, known: Mapping[str, float] | None) -> None:
    allowed = _FAILS if known is None else tuple(known)
    if fails not in allowed:
        raise SchemeError(
            say(
                "%(kind)s does not fail %(fails)s: use %(allowed)s",
                kind=kind,
                fails=shown(fails),
                allowed=", ".join(allowed),
            ),
            f"odds.{kind}",
        )
    if isinstance(number, bool) or not isinstance(number, int | float) or not 0 < number <= 1:
        raise SchemeError(
            say("%(number)s is no odds: write a number above 0, at most 1", number=shown(number)),
            f"odds.{kind}.{fails}",
        )
