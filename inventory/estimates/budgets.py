"""Budgets of works: lines at three prices, in phases, with contingency, rising prices and tax.

Always an estimate, never a tender. Amounts are worked out exactly, and rounded once: the grand
total first, then its phases, then what each phase is made of, by largest remainders. So every
figure printed anywhere adds up to the unit of currency.

Conventions: prices of a year are those of its middle; prices rise by compound growth from there to
the middle of the phase, never fall; contingency is added to works, not to provisional sums, which
carry their own width; tax is on everything.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from inventory.estimates.errors import EstimateError
from inventory.estimates.pert import ThreePoint, total_of
from inventory.estimates.rounding import apportion, exact, round_half_up

CONTINGENCY_PERCENT: Mapping[int, float] = {0: 30, 1: 25, 2: 15, 3: 10, 4: 5, 5: 5}
"""By recording level, 0 to 5: what has been seen less needs more in reserve (common practice)."""


@dataclass(frozen=True)
class Line:
    """One line of work: a quantity at three prices each."""

    code: str
    phase: str
    """Code of its phase; empty: in each phase where it is repeated, else in none yet."""
    quantity: float
    each: ThreePoint
    """Price of one unit, in the prices of `price_year`."""
    price_year: int
    provisional: bool = False
    repeated: bool = False
    """Scaffold, dismantling, boards lifted: what each further phase does again."""
    package: str = ""
    """Whose phases these are, where several packages make one budget; codes are unique inside one."""


@dataclass(frozen=True)
class Phase:
    """A phase and the middle of its time, as a year with its fraction; None: no date, prices stay."""

    code: str
    middle: float | None = None
    package: str = ""


@dataclass(frozen=True)
class Terms:
    """What is added to the lines, in per cent."""

    contingency_percent: float = 0.0
    inflation_percent: float = 0.0
    tax_percent: float = 0.0

    def __post_init__(self) -> None:
        for name in ("contingency_percent", "inflation_percent", "tax_percent"):
            if not 0 <= getattr(self, name) <= 200:
                raise EstimateError(
                    f"{name} {getattr(self, name):g} is outside 0 to 200 per cent; correct it"
                )


@dataclass(frozen=True)
class LineAmount:
    """One line in one phase, in whole units of currency."""

    code: str
    quantity: float
    low: int
    expected: int
    """(low + 4 likely + high) / 6 of the price, times the quantity."""
    high: int


@dataclass(frozen=True)
class PhaseBudget:
    """What a phase costs: `total` = lines + contingency + inflation + tax, exactly."""

    code: str
    lines: tuple[LineAmount, ...]
    contingency: int
    inflation: int
    tax: int
    total: int
    package: str = ""

    @property
    def works(self) -> int:
        """Sum of the lines."""
        return sum(line.expected for line in self.lines)


@dataclass(frozen=True)
class Budget:
    """A whole budget; every sum over phases is exact."""

    phases: tuple[PhaseBudget, ...]
    total: int
    independent: tuple[int, int]
    """95 % range of the total if the lines err each on its own."""
    correlated: tuple[int, int]
    """95 % range if what makes one line dear makes all dear: the cautious one."""
    repeated_extra: int
    """Of the lines: what repeated steps add in phases after the first."""

    @property
    def works(self) -> int:
        """Sum of all lines."""
        return sum(phase.works for phase in self.phases)

    @property
    def contingency(self) -> int:
        """Sum over the phases."""
        return sum(phase.contingency for phase in self.phases)

    @property
    def inflation(self) -> int:
        """Sum over the phases."""
        return sum(phase.inflation for phase in self.phases)

    @property
    def tax(self) -> int:
        """Sum over the phases."""
        return sum(phase.tax for phase in self.phases)

    @property
    def low(self) -> int:
        """Sum of the lines at their low prices."""
        return sum(line.low for phase in self.phases for line in phase.lines)

    @property
    def high(self) -> int:
        """Sum of the lines at their high prices."""
        return sum(line.high for phase in self.phases for line in phase.lines)


def price_growth(price_year: int, middle: float | None, inflation_percent: float) -> float:
    """Return the factor from prices of a year to those of a phase, >= 1.

    Parameters
    ----------
    price_year
        Calendar year of the prices; they hold in its middle.
    middle
        Middle of the phase as a year with its fraction (2028.5 is the first of July); None gives 1.
    inflation_percent
        Rise a year, >= 0.

    Examples
    --------
    >>> round(price_growth(2025, 2027.5, 10), 4), price_growth(2025, 2024.0, 10), price_growth(2025, None, 10)
    (1.21, 1.0, 1.0)
    """
    years = 0.0 if middle is None else max(0.0, middle - (price_year + 0.5))
    return float((1 + inflation_percent / 100) ** years)


@dataclass(frozen=True)
class _Entry:
    """A line in a phase, with what comes on top of it."""

    line: Line
    contingency: float
    growth: float

    @property
    def works(self) -> float:
        return self.line.each.mean * self.line.quantity

    @property
    def factor(self) -> float:
        return self.line.quantity * (1 + self.contingency) * self.growth


def make_budget(lines: Iterable[Line], phases: Sequence[Phase], terms: Terms) -> Budget:
    """Return the budget of lines in phases.

    Parameters
    ----------
    lines
        In one currency. A repeated line without a phase counts once in each phase; another line
        without a phase stands in a last phase with an empty code.
    phases
        In the order of the work.
    terms
        Contingency, inflation and tax in per cent, each 0 to 200.

    Returns
    -------
    Budget
        In whole units of currency. The ranges are those of `total_of` with correlation 0 and 1,
        never outside the sums of all low and of all high prices.

    Raises
    ------
    EstimateError
        If a quantity is negative, a phase is unknown or named twice, or two lines have one code.

    Examples
    --------
    >>> flap = Line("flaps", "p1", 3, ThreePoint(30, 45, 90), 2025)
    >>> found = make_budget([flap], [Phase("p1")], Terms(10, 0, 20))
    >>> found.works, found.contingency, found.tax, found.total
    (150, 15, 33, 198)
    """
    known = _in_phases(list(lines), phases, terms)
    tax = terms.tax_percent / 100
    parts = [_parts(entries, tax) for _place, entries in known]
    grand = round_half_up(sum((sum(part, Fraction(0)) for part in parts), Fraction(0)))
    totals = apportion([sum(part, Fraction(0)) for part in parts], grand) if parts else []
    lows = _column(known, lambda each: each.low)
    highs = _column(known, lambda each: each.high)
    made = []
    for number, (((package, code), entries), part) in enumerate(zip(known, parts, strict=True)):
        whole = apportion(part, totals[number])
        amounts = zip(entries, lows[number], whole[:-3], highs[number], strict=True)
        shown = tuple(
            LineAmount(e.line.code, e.line.quantity, low, mid, high) for e, low, mid, high in amounts
        )
        made.append(PhaseBudget(code, shown, whole[-3], whole[-2], whole[-1], totals[number], package))
    every = [entry for _place, entries in known for entry in entries]
    return Budget(
        tuple(made),
        grand,
        _band(every, tax, 0.0),
        _band(every, tax, 1.0),
        sum(
            amount.expected
            for number, (_place, entries) in enumerate(known)
            if number
            for entry, amount in zip(entries, made[number].lines, strict=True)
            if entry.line.repeated
        ),
    )


_Place = tuple[str, str]


def _in_phases(lines: list[Line], phases: Sequence[Phase], terms: Terms) -> list[tuple[_Place, list[_Entry]]]:
    """Lines by package and phase, repeated ones in each; a last phase without a code where some stand in none."""
    places = [(phase.package, phase.code) for phase in phases]
    for what, named in (("phase", places), ("line", [(line.package, line.code) for line in lines])):
        twice = next((place for place in named if named.count(place) > 1), None)
        if twice is not None:
            raise EstimateError(f"{what} {twice[1]!r} stands there twice; give each a code of its own")
    found: dict[_Place, list[_Entry]] = {place: [] for place in places}
    middles = {(phase.package, phase.code): phase.middle for phase in phases}
    for line in lines:
        own = [place for place in places if place[0] == line.package]
        place = (line.package, line.phase)
        if line.quantity < 0:
            raise EstimateError(f"line {line.code!r}: quantity {line.quantity:g} is below 0; give 0 or more")
        if line.phase and place not in middles:
            known = ", ".join(code for _package, code in own)
            raise EstimateError(f"line {line.code!r}: no phase {line.phase!r}; known are {known}")
        for where in own if line.repeated and not line.phase and own else [place]:
            growth = price_growth(line.price_year, middles.get(where), terms.inflation_percent)
            contingency = 0.0 if line.provisional else terms.contingency_percent / 100
            found.setdefault(where, []).append(_Entry(line, contingency, growth))
    return list(found.items())


def _parts(entries: list[_Entry], tax: float) -> list[Fraction]:
    """Exact amounts of the lines, then contingency, inflation and tax."""
    works = [exact(entry.works) for entry in entries]
    contingency = sum((exact(entry.works * entry.contingency) for entry in entries), Fraction(0))
    inflation = sum(
        (exact(entry.works * (1 + entry.contingency) * (entry.growth - 1)) for entry in entries), Fraction(0)
    )
    before = sum(works, Fraction(0)) + contingency + inflation
    return [*works, contingency, inflation, before * exact(tax)]


def _column(
    known: list[tuple[_Place, list[_Entry]]], price: Callable[[ThreePoint], float]
) -> list[list[int]]:
    """Lines at one of their prices, rounded so that phases and the whole add up."""
    parts = [[exact(price(e.line.each) * e.line.quantity) for e in entries] for _place, entries in known]
    totals = apportion([sum(part, Fraction(0)) for part in parts])
    return [apportion(part, total) for part, total in zip(parts, totals, strict=True)]


def _band(entries: list[_Entry], tax: float, correlation: float) -> tuple[int, int]:
    scaled = [
        ThreePoint(*(price * entry.factor * (1 + tax) for price in (one.low, one.likely, one.high)))
        for entry in entries
        for one in [entry.line.each]
    ]
    low, high = total_of(scaled, correlation=correlation).band()
    low, high = max(low, sum(one.low for one in scaled)), min(high, sum(one.high for one in scaled))
    return round_half_up(exact(low)), round_half_up(exact(high))
