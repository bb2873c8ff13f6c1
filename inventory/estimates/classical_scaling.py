"""Classical scaling: a flat map from distances, and how much of them it shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.estimates.errors import EstimateError

Matrix = NDArray[np.float64]


@dataclass(frozen=True)
class ScalingMap:
    """Points whose distances come near to those given."""

    points: Matrix
    """Things x dimensions, middle at 0; the first axis shows most."""
    shown: float
    """Share of the sum of absolute eigenvalues that the map shows, 0 to 1. Print it beside the map."""
    unflat: float
    """Share that no flat map of any dimension can show (negative eigenvalues), 0 to 1."""


def map_distances(distances: Sequence[Sequence[float]] | Matrix, dimensions: int = 2) -> ScalingMap:
    """Return a map of things from the distances between them.

    Parameters
    ----------
    distances
        Square, symmetric, >= 0, 0 on the diagonal; such as 1 - likeness, or its square root.
        Every pair must be known: leave out what could not be compared.
    dimensions
        1 or more, at most the number of things.

    Returns
    -------
    ScalingMap
        The same distances give the same map: each axis points so that the point furthest along
        it is positive. Axes have no meaning of their own.

    Raises
    ------
    EstimateError
        If the table is not square, not symmetric, has a gap or a negative, or the dimensions
        are out of range.

    References
    ----------
    W. S. Torgerson, *Psychometrika* 17 (1952) 401-419; J. C. Gower, *Biometrika* 53 (1966) 325-338
    (both from memory).

    Examples
    --------
    >>> found = map_distances([[0, 3, 4], [3, 0, 5], [4, 5, 0]])
    >>> [round(float(np.hypot(*(found.points[a] - found.points[b]))), 6) for a, b in ((0, 1), (0, 2), (1, 2))]
    [3.0, 4.0, 5.0]
    >>> round(found.shown, 6)
    1.0
    """
    table = np.asarray(distances, dtype=np.float64)
    _check(table, dimensions)
    count = len(table)
    centring = np.eye(count) - 1 / count
    values, vectors = np.linalg.eigh(-0.5 * centring @ table**2 @ centring)
    largest_first = np.argsort(-values, kind="stable")
    values, vectors = values[largest_first], vectors[:, largest_first]
    kept = np.clip(values[:dimensions], 0, None)
    points = vectors[:, :dimensions] * np.sqrt(kept)
    # An eigenvector may point either way; fix it, so that the same data draw the same map.
    furthest = points[np.abs(points).argmax(axis=0), np.arange(dimensions)]
    points = points * np.where(furthest < 0, -1.0, 1.0)
    whole = float(np.abs(values).sum())
    if whole == 0:
        return ScalingMap(points, 1.0, 0.0)
    return ScalingMap(points, float(kept.sum()) / whole, float(-values[values < 0].sum()) / whole)


def _check(table: Matrix, dimensions: int) -> None:
    if table.ndim != 2 or table.shape[0] != table.shape[1] or not table.size:
        raise EstimateError(
            f"distances of shape {table.shape} are not square; give one row and column a thing"
        )
    if not np.all(np.isfinite(table)) or table.min() < 0:
        raise EstimateError("a distance is not 0 or more; leave out things that could not be compared")
    if not np.allclose(table, table.T) or np.any(np.diag(table) != 0):
        raise EstimateError(
            "distances must be the same both ways and 0 from a thing to itself; check the table"
        )
    if not 1 <= dimensions <= len(table):
        raise EstimateError(f"dimensions {dimensions} are outside 1 to {len(table)}, the number of things")
