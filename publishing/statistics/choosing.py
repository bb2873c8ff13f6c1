"""Which specification of an instrument counts: as found, as built, or at a year; one rule, stated with every figure."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.edtf import EdtfError, parse_edtf, statistics_interval
from publishing.disclosure.values import PublicInstrument, SpecificationValue, When

AS_FOUND, AS_BUILT, AT_YEAR = "as found", "as built", "at year"
RECORDED, UNALTERED = "recorded", "no alteration recorded"
ALTERING = frozenset(
    {"enlarged", "rebuilt", "reconstructed", "electrified", "reduced", "converted", "restored"}
)
"""Kinds of event after which the specification found says nothing of the one that was built."""
ENDING = frozenset({"lost", "destroyed"})


@dataclass(frozen=True)
class View:
    """What the reader asked for."""

    kind: str = AS_FOUND
    year: int | None = None
    """For `at year`."""

    @property
    def slug(self) -> str:
        """For addresses.

        >>> View(AT_YEAR, 1900).slug, View().slug
        ('at-1900', 'as-found')
        """
        return f"at-{self.year}" if self.kind == AT_YEAR else self.kind.replace(" ", "-")


@dataclass(frozen=True)
class Chosen:
    """The specification that counts, and how it came to."""

    specification: SpecificationValue
    how: str
    """`recorded`, or `no alteration recorded`: then the one found stands for the one built."""


def choose_specification(organ: PublicInstrument, view: View) -> Chosen | None:
    """The specification of an instrument that counts in a view; None where none can be said.

    *As found*: the current one, else the last known. *As built*: one recorded as built; where
    there is none and neither a second layer of sharing nor an altering event is recorded, the
    one found. *At a year*: the one whose newest layer is the latest not after that year, while
    the instrument was not yet lost. A projected specification never counts.

    >>> from publishing.statistics.examples import example_instrument
    >>> choose_specification(example_instrument(), View()).how
    'recorded'
    """
    real = [one for one in organ.specifications if one.basis != "projected"]
    if view.kind == AS_FOUND:
        current = organ.current if organ.current in real else (real[-1] if real else None)
        return Chosen(current, RECORDED) if current is not None else None
    if view.kind == AS_BUILT:
        return _as_built(organ, real)
    assert view.year is not None
    return _at_year(organ, real, view.year)


def _as_built(organ: PublicInstrument, real: list[SpecificationValue]) -> Chosen | None:
    for one in real:
        if one.basis == "as built":
            return Chosen(one, RECORDED)
    altered = any(event.kind_code in ALTERING for event in organ.events)
    if len(real) == 1 and not altered and len({s.layer for s in real[0].segments}) <= 1:
        return Chosen(real[0], UNALTERED)
    return None


def _at_year(organ: PublicInstrument, real: list[SpecificationValue], year: int) -> Chosen | None:
    for event in organ.events:
        if event.kind_code in ENDING and event.when and (event.when.latest_year or year + 1) <= year:
            return None
    dated = [
        (since, place, one) for place, one in enumerate(real) if (since := year_since(organ, one)) is not None
    ]
    before = [row for row in dated if row[0] <= year]
    return Chosen(max(before, key=lambda row: row[:2])[2], RECORDED) if before else None


def year_since(organ: PublicInstrument, specification: SpecificationValue) -> int | None:
    """Year from which a specification certainly held: the latest year of its newest layer, else its own date.

    A specification found by a survey is as old as its newest layer, not as the survey. None
    where a layer it uses has no date.

    >>> from publishing.statistics.examples import example_instrument
    >>> organ = example_instrument()
    >>> year_since(organ, organ.current)
    1851
    """
    layers = {layer.code: layer for layer in organ.layers}
    used = {segment.layer for segment in specification.segments}
    if used and "" not in used:
        years = [
            layers[code].when.latest_year if code in layers and layers[code].when else None for code in used
        ]
        return None if None in years else max(year for year in years if year is not None)
    if specification.basis in ("as built", "as altered") and specification.when is not None:
        return specification.when.latest_year
    return None


def spread_years(when: When | None) -> tuple[int, int] | None:
    """First and last year over which an uncertain date is spread; None where either end is open.

    *c.* is taken as five years either way, in statistics only (DESIGN §4; the sum is `inventory.edtf`'s).

    >>> spread_years(When("1931~", "c. 1931", 1931, 1931, 1931))
    (1926, 1936)
    >>> spread_years(When("[..1790]", "before 1790", None, None, 1790)) is None
    True
    """
    if when is None:
        return None
    try:
        first, last = statistics_interval(parse_edtf(when.text))
    except EdtfError:
        return None
    return (first.year, last.year) if first is not None and last is not None else None
