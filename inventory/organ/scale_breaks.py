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

FEWEST_PIPES = 9
"""With fewer pipes a jump cannot be told from the spread."""
SHORTEST_STRETCH = 3
"""Pipes on either side of a break."""
HIGHEST_DEGREE = 5
"""Of the smooth curve; enough for every rank drawn in one piece that we tried."""
PIPES_FOR_A_DEGREE = 7
MOST_STRETCHES = 6

Matrix = NDArray[np.float64]


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
        With the default significance about 1 smooth curve in 100 is wrongly said to jump (3 in
        100 where fewer than 25 pipes were measured). With a spread of 0.4 half-tones a
        transplanted octave of 1.5 half-tones is nearly always found, one of 1 half-tone every
        second time. A gradual bend is no break; one within three pipes of an end is not found.

    Raises
    ------
    ScaleError
        If there are too few pipes or a setting is out of its range.

    References
    ----------
    Permuting residuals of the reduced model: D. Freedman and D. Lane, *Journal of Business and
    Economic Statistics* 1 (1983) 292-298 (from memory). p = (1 + as good) / (1 + permutations).

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
    smooth = _smooth_basis(np.asarray(curve.notes, dtype=np.float64))
    stretches = _possible_stretches(count)
    kept: list[tuple[int, int]] = []
    p_of: dict[int, float] = {}
    first_p = 1.0
    while len(kept) < MOST_STRETCHES:
        model = _orthonormal(smooth, _indicators(count, kept))
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
            f"{count} pipes are fewer than {FEWEST_PIPES}; measure more pipes before asking for breaks"
        )
    if len(curve.deviations) != count or any(
        b <= a for a, b in zip(curve.notes, curve.notes[1:], strict=False)
    ):
        raise ScaleError("the curve's notes must rise and have one deviation each; make it with scale_curve")
    if not np.all(np.isfinite(curve.deviations)):
        raise ScaleError("a deviation is not a number; leave out pipes that were not measured")
    if not 99 <= permutations <= 100_000:
        raise ScaleError(f"permutations {permutations} are outside 99 to 100000; 499 is usual")
    if not 0 < significance <= 0.05:
        raise ScaleError(f"significance {significance} is outside 0 to 0.05; 0.01 is usual")
    if smallest_jump < 0:
        raise ScaleError(f"smallest jump {smallest_jump} is below 0; give half-tones")


def _smooth_basis(notes: Matrix) -> Matrix:
    """Orthonormal polynomials over the notes, of a degree the number of pipes can bear."""
    degree = min(HIGHEST_DEGREE, len(notes) // PIPES_FOR_A_DEGREE)
    place = 2 * (notes - notes[0]) / (notes[-1] - notes[0]) - 1
    return np.linalg.qr(np.polynomial.legendre.legvander(place, degree))[0]


def _possible_stretches(count: int) -> list[tuple[int, int]]:
    """Every stretch [start, end) with enough pipes in it and on either side.

    A stretch from the lowest pipe is the same model as the rest of the rank, and is left out.
    """
    shortest = SHORTEST_STRETCH
    return [
        (start, end)
        for start in range(shortest, count - shortest + 1)
        for end in (*range(start + shortest, count - shortest + 1), count)
    ]


def _indicators(count: int, stretches: list[tuple[int, int]]) -> Matrix:
    """One column a stretch: 1 on its pipes, 0 elsewhere."""
    columns = np.zeros((count, len(stretches)))
    for column, (start, end) in enumerate(stretches):
        columns[start:end, column] = 1
    return columns


def _orthonormal(smooth: Matrix, columns: Matrix) -> Matrix:
    return np.linalg.qr(np.hstack([smooth, columns]))[0] if columns.size else smooth


def _best_stretch(
    deviations: Matrix,
    model: Matrix,
    stretches: list[tuple[int, int]],
    permutations: int,
    chance: np.random.Generator,
) -> tuple[tuple[int, int] | None, float]:
    """The stretch that takes most from the squares the model leaves, and its p."""
    left = deviations - model @ (model.T @ deviations)
    squares = float(left @ left)
    # Nothing is left but rounding: the model is the curve itself.
    if squares <= 1e-18 * (1 + float(deviations @ deviations)):
        return None, 1.0
    columns = _indicators(len(deviations), stretches)
    columns -= model @ (model.T @ columns)
    lengths = np.sqrt((columns**2).sum(axis=0))
    usable = lengths > 1e-6
    columns = np.where(usable, columns / np.where(usable, lengths, 1.0), 0.0)
    taken = (columns.T @ left) ** 2 / squares
    best = int(taken.argmax())
    shuffled = chance.permuted(np.repeat(left[:, None], permutations, axis=1), axis=0)
    shuffled -= model @ (model.T @ shuffled)
    by_chance = ((columns.T @ shuffled) ** 2).max(axis=0) / (shuffled**2).sum(axis=0)
    as_good = int((by_chance >= taken[best] - 1e-12).sum())
    return stretches[best], (1 + as_good) / (1 + permutations)


def _levels(deviations: Matrix, smooth: Matrix, stretches: list[tuple[int, int]]) -> tuple[Matrix, float]:
    """Level of every pipe beside the smooth curve, all stretches fitted together, and the spread."""
    columns = _indicators(len(deviations), stretches)
    model = np.hstack([smooth, columns])
    solution = np.linalg.lstsq(model, deviations, rcond=None)[0]
    left = deviations - model @ solution
    freedom = max(1, len(deviations) - model.shape[1])
    return columns @ solution[smooth.shape[1] :], float(np.sqrt(left @ left / freedom))
