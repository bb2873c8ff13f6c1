"""Where a rank's scale jumps: break points by least squares, with a permutation p.

A rank made in one piece follows a smooth curve of half-tone deviations. Where an octave
was replaced or transplanted, a stretch of pipes lies above or below that curve. The fit
is a smooth curve (a polynomial) plus level stretches; each stretch is the one that leaves
the least squares, and is kept only if permuted residuals seldom do as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.organ.errors import ScaleError
from inventory.organ.scale_curves import ScaleCurve
from inventory.organ.sentences import say

FEWEST_PIPES = 9
"""With fewer pipes a jump cannot be told from the spread."""
SHORTEST_STRETCH = 3
"""Pipes on either side of a break."""
USUAL_DEGREE, HIGHEST_DEGREE = 5, 9
"""Of the smooth curve: the usual one, and the one a wavy rank may need."""
PIPES_FOR_A_DEGREE = 5
FIGURES_OF_A_STRETCH = 5
"""Its level, and two for each end that was searched for, when models of different size are compared."""
MOST_STRETCHES = 6

Matrix = NDArray[np.float64]


@dataclass(frozen=True)
class Stretches:
    """Runs of neighbouring pipes, from a start up to and without an end, counted from 0."""

    starts: NDArray[np.intp]
    ends: NDArray[np.intp]

    def at(self, place: int) -> tuple[int, int]:
        """One of them."""
        return int(self.starts[place]), int(self.ends[place])


@dataclass(frozen=True)
class ScaleBreak:
    """A place where the scale jumps."""

    note: int
    """First note of the new stretch, MIDI number."""
    jump_half_tones: float
    """Level after less level before, above 0 wider."""
    p: float
    """Share of permutations in which chance did as well as the stretch that brought this break."""


@dataclass(frozen=True)
class ScaleBreaks:
    """What was found on a curve, and how it was looked for."""

    breaks: tuple[ScaleBreak, ...]
    """Lowest note first; empty where the curve may well be smooth."""
    p: float
    """p of the strongest stretch, whether or not it was kept."""
    spread_half_tones: float
    """Standard deviation of the pipes about the fit."""
    pipes: int
    permutations: int
    significance: float
    seed: int


def find_breaks(
    curve: ScaleCurve,
    *,
    seed: int,
    permutations: int = 499,
    significance: float = 0.01,
    smallest_jump: float = 0.5,
) -> ScaleBreaks:
    """Return the break points of a rank's scale.

    Parameters
    ----------
    curve
        Half-tone deviations of at least 9 pipes, one kind of pipe, lowest note first.
    seed
        Of the permutations; the same seed gives the same answer.
    permutations
        How often residuals are permuted, 99 to 100000; p is never below 1 / (permutations + 1).
    significance
        Highest p of a stretch that is kept, above 0, at most 0.05.
    smallest_jump
        Half-tones; smaller jumps are within what a builder's hand and a calliper do, and are
        not named.

    Returns
    -------
    ScaleBreaks
        With the default significance about 1 smooth curve in 100 is wrongly said to jump; of
        curves that wave twice over the compass, up to 6 in 100. With a spread of 0.4 half-tones
        an octave transplanted by 2 half-tones is nearly always found, one of 1.5 four times in
        five, one of 1 every fourth time. A gradual bend is no break; one within three pipes of
        an end is not found.

    Raises
    ------
    ScaleError
        If there are too few pipes or a setting is out of its range.

    References
    ----------
    Permuting residuals of the reduced model: D. Freedman and D. Lane, *Journal of Business and
    Economic Statistics* 1 (1983) 292-298 (from memory). p = (1 + as good) / (1 + permutations).
    The smooth degree: G. Schwarz, *Annals of Statistics* 6 (1978) 461-464 (from memory).

    Examples
    --------
    >>> notes = tuple(range(36, 90))
    >>> wobble = [0.2 * (-1) ** (n * n // 3) for n in notes]
    >>> rank = ScaleCurve(notes, tuple(w + (3 if 60 <= n < 72 else 0) for n, w in zip(notes, wobble)), "open")
    >>> [(b.note, round(b.jump_half_tones)) for b in find_breaks(rank, seed=1).breaks]
    [(60, 3), (72, -3)]
    """
    _check(curve, permutations, significance, smallest_jump)
    chance = np.random.default_rng(seed)
    deviations = np.asarray(curve.deviations, dtype=np.float64)
    count = len(deviations)
    stretches = _possible_stretches(count)
    smooth = _choose_smooth(np.asarray(curve.notes, dtype=np.float64), deviations, stretches)
    kept: list[tuple[int, int]] = []
    p_of: dict[int, float] = {}
    first_p = 1.0
    while len(kept) < MOST_STRETCHES:
        model = _orthonormal(smooth, kept)
        best, p = _best_stretch(deviations, model, stretches, permutations, chance)
        if not kept:
            first_p = p
        if best is None or p > significance:
            break
        kept.append(best)
        for edge in best:
            p_of.setdefault(edge, p)
    levels, spread = _levels(deviations, smooth, kept)
    breaks = tuple(
        ScaleBreak(curve.notes[edge], float(levels[edge] - levels[edge - 1]), p_of[edge])
        for edge in sorted(p_of)
        if 0 < edge < count and abs(levels[edge] - levels[edge - 1]) >= smallest_jump
    )
    return ScaleBreaks(breaks, first_p, spread, count, permutations, significance, seed)


def _check(curve: ScaleCurve, permutations: int, significance: float, smallest_jump: float) -> None:
    count = len(curve.notes)
    if count < FEWEST_PIPES:
        raise ScaleError(
            say(
                "%(count)s pipes are fewer than %(fewest_pipes)s; measure more pipes before asking for breaks",
                count=count,
                fewest_pipes=FEWEST_PIPES,
            )
        )
    if len(curve.deviations) != count or any(
        b <= a for a, b in zip(curve.notes, curve.notes[1:], strict=False)
    ):
        raise ScaleError(
            say("the curve's notes must rise and have one deviation each; make it with scale_curve")
        )
    if not np.all(np.isfinite(curve.deviations)):
        raise ScaleError(say("a deviation is not a number; leave out pipes that were not measured"))
    if not 99 <= permutations <= 100_000:
        raise ScaleError(
            say(
                "permutations %(permutations)s are outside 99 to 100000; 499 is usual",
                permutations=permutations,
            )
        )
    if not 0 < significance <= 0.05:
        raise ScaleError(
            say(
                "significance %(significance)s is outside 0 to 0.05; 0.01 is usual", significance=significance
            )
        )
    if smallest_jump < 0:
        raise ScaleError(
            say("smallest jump %(smallest_jump)s is below 0; give half-tones", smallest_jump=smallest_jump)
        )


def _choose_smooth(notes: Matrix, deviations: Matrix, stretches: Stretches) -> Matrix:
    """Orthonormal polynomials of the degree that, with its best stretches, explains most for its size.

    A wavy rank is better told by a higher degree, a rank with a strange octave by a stretch;
    Schwarz's criterion (BIC) weighs them. A higher degree throughout would hide real jumps.
    """
    highest = min(HIGHEST_DEGREE, len(notes) // PIPES_FOR_A_DEGREE)
    place = 2 * (notes - notes[0]) / (notes[-1] - notes[0]) - 1
    bases = [
        np.linalg.qr(np.polynomial.legendre.legvander(place, degree))[0]
        for degree in range(min(USUAL_DEGREE, highest), highest + 1)
    ]
    return min(bases, key=lambda smooth: _lowest_criterion(smooth, deviations, stretches))


def _lowest_criterion(smooth: Matrix, deviations: Matrix, stretches: Stretches) -> float:
    """Lowest Schwarz criterion on the way of adding the best stretch, and the next, and the next."""
    count = len(deviations)
    floor = _rounding(deviations)
    kept: list[tuple[int, int]] = []
    lowest = np.inf
    while True:
        model = _orthonormal(smooth, kept)
        left = deviations - model @ (model.T @ deviations)
        squares = max(floor, float(left @ left))
        size = smooth.shape[1] + FIGURES_OF_A_STRETCH * len(kept)
        criterion = count * np.log(squares / count) + size * np.log(count)
        if criterion >= lowest or len(kept) == MOST_STRETCHES or squares == floor:
            return float(min(lowest, criterion))
        lowest = criterion
        kept.append(stretches.at(int(_squares_taken(left[:, None], model, stretches).argmax())))


def _possible_stretches(count: int) -> Stretches:
    """Every stretch with enough pipes in it and on either side.

    A stretch from the lowest pipe is the same model as the rest of the rank, and is left out.
    """
    shortest = SHORTEST_STRETCH
    pairs = [
        (start, end)
        for start in range(shortest, count - shortest + 1)
        for end in (*range(start + shortest, count - shortest + 1), count)
    ]
    return Stretches(np.array([start for start, _ in pairs]), np.array([end for _, end in pairs]))


def _squares_taken(left: Matrix, model: Matrix, stretches: Stretches) -> Matrix:
    """Squares that each stretch would take from what a model left; stretches x columns of `left`.

    A stretch is 1 on its pipes and 0 elsewhere, so that its products are differences of running
    sums. What the model already holds of it is taken off its length.
    """
    running = np.vstack([np.zeros((1, left.shape[1])), left.cumsum(axis=0)])
    running_model = np.vstack([np.zeros((1, model.shape[1])), model.cumsum(axis=0)])
    held = running_model[stretches.ends] - running_model[stretches.starts]
    length = (stretches.ends - stretches.starts) - (held**2).sum(axis=1)
    usable = length > 1e-9
    products = running[stretches.ends] - running[stretches.starts]
    return np.asarray(np.where(usable[:, None], products**2 / np.where(usable, length, 1.0)[:, None], 0.0))


def _indicators(count: int, kept: list[tuple[int, int]]) -> Matrix:
    """One column a stretch: 1 on its pipes, 0 elsewhere."""
    columns = np.zeros((count, len(kept)))
    for column, (start, end) in enumerate(kept):
        columns[start:end, column] = 1
    return columns


def _orthonormal(smooth: Matrix, kept: list[tuple[int, int]]) -> Matrix:
    if not kept:
        return smooth
    return np.linalg.qr(np.hstack([smooth, _indicators(len(smooth), kept)]))[0]


def _rounding(deviations: Matrix) -> float:
    """Squares so small that only rounding is left of them."""
    return 1e-18 * (1 + float(deviations @ deviations))


def _best_stretch(
    deviations: Matrix, model: Matrix, stretches: Stretches, permutations: int, chance: np.random.Generator
) -> tuple[tuple[int, int] | None, float]:
    """The stretch that takes most from the squares the model leaves, and its p."""
    left = deviations - model @ (model.T @ deviations)
    squares = float(left @ left)
    if squares <= _rounding(deviations):
        return None, 1.0
    taken = _squares_taken(left[:, None], model, stretches)[:, 0] / squares
    best = int(taken.argmax())
    shuffled = chance.permuted(np.repeat(left[:, None], permutations, axis=1), axis=0)
    shuffled -= model @ (model.T @ shuffled)
    by_chance = _squares_taken(shuffled, model, stretches).max(axis=0) / (shuffled**2).sum(axis=0)
    as_good = int((by_chance >= taken[best] - 1e-12).sum())
    return stretches.at(best), (1 + as_good) / (1 + permutations)


def _levels(deviations: Matrix, smooth: Matrix, kept: list[tuple[int, int]]) -> tuple[Matrix, float]:
    """Level of every pipe beside the smooth curve, all stretches fitted together, and the spread."""
    columns = _indicators(len(deviations), kept)
    model = np.hstack([smooth, columns])
    solution = np.linalg.lstsq(model, deviations, rcond=None)[0]
    left = deviations - model @ solution
    freedom = max(1, len(deviations) - model.shape[1])
    return columns @ solution[smooth.shape[1] :], float(np.sqrt(left @ left / freedom))
