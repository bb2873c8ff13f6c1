"""How alike sharing instruments are: Gower's coefficient on stated variables, over all pairs at once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.cluster.hierarchy import leaves_list, linkage
from scipy.spatial.distance import squareform

from inventory.estimates.classical_scaling import ScalingMap, map_distances
from inventory.estimates.gower import Variable

from .frames import Frames

MOST_ON_A_MAP = 2_000
SAMPLE_SEED = 20_000
NUMBERS = ("stops", "ranks", "manuals", "pedals", "families", "depth", "economy")
CATEGORIES = ("action",)
Matrix = NDArray[np.float64]


@dataclass(frozen=True)
class Compared:
    """Sharing instruments as rows of variables. Makers and dates are left out, so that they can be compared with it."""

    references: tuple[str, ...]
    variables: tuple[Variable, ...]
    table: pd.DataFrame
    """One row an instrument, one column a variable; empty where not known."""

    @cached_property
    def arrays(self) -> dict[str, tuple[NDArray[Any], NDArray[np.bool_]]]:
        """Each variable as numbers (codes of categories, presence), and where it is known."""
        found: dict[str, tuple[NDArray[Any], NDArray[np.bool_]]] = {}
        for variable in self.variables:
            column = self.table[variable.name]
            known = column.notna().to_numpy(dtype=np.bool_)
            if variable.kind == "category":
                values: NDArray[Any] = pd.factorize(column)[0]
            elif variable.kind == "number":
                values = column.to_numpy(dtype=np.float64, na_value=np.nan)
            else:
                values = np.array(
                    [bool(has) if here else False for has, here in zip(column, known, strict=True)], np.bool_
                )
            found[variable.name] = values, known
        return found


@dataclass(frozen=True)
class Near:
    """An instrument near another, and why."""

    reference: str
    likeness: float
    compared: int
    """Variables known on both sides and not absent in both."""
    asked: int
    alike: tuple[str, ...]
    unlike: tuple[str, ...]
    """Names of variables with a score of 1, and of those with the lowest scores, lowest first."""


def compared_instruments(frames: Frames) -> Compared:
    """The variables of every sharing instrument.

    Numbers: stops, ranks, manuals, pedals, families, depth, economy. Category: action.
    Presence: each pattern, each recorded device, each kind of chest.

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> [v.name for v in compared_instruments(frames_of([example_instrument()])).variables][-2:]
    ['pattern: octave extension', 'device: flap-valves']
    """
    chosen = frames.counted[frames.counted["sharing"]].sort_values("reference").set_index("reference")
    table = chosen[[name for name in NUMBERS if name != "economy"]].astype("float64")
    table["economy"] = 1 - chosen["pipes_called"] / chosen["calls"]
    table["action"] = chosen["action"].where(chosen["action"] != "")
    variables = [
        Variable(name, "number", span=float(table[name].max() - table[name].min()) if len(table) else 0.0)
        for name in NUMBERS
    ]
    variables += [Variable(name, "category") for name in CATEGORIES]
    segments = frames.segments
    shared = segments.loc[segments["shared_rank"], ["reference", "device", "chest_kind"]]
    for what, source, column in (
        ("pattern", frames.patterns, "pattern"), ("device", shared, "device"), ("chest", shared, "chest_kind"),
    ):  # fmt: skip
        known = source[(source[column] != "") & source["reference"].isin(table.index)]
        having = pd.crosstab(known["reference"], known[column]) > 0
        for value in sorted(having.columns):
            present = having[value].reindex(table.index)
            # Where nothing of the kind is recorded at all, its absence is not known either.
            table[f"{what}: {value}"] = present.astype("object").where(present.notna(), None)
            variables.append(Variable(f"{what}: {value}", "presence"))
    return Compared(tuple(table.index), tuple(variables), table)


def score_pairs(compared: Compared, rows: NDArray[np.intp]) -> tuple[Matrix, Matrix]:
    """Likeness of some instruments with all, and the number of variables compared; shape (rows, all).

    NaN where nothing could be compared. The sum is that of `estimates.gower`, on arrays.

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> compared = compared_instruments(frames_of([example_instrument("A"), example_instrument("B")]))
    >>> score_pairs(compared, np.arange(2))[0].tolist()
    [[1.0, 1.0], [1.0, 1.0]]
    """
    scores = np.zeros((len(rows), len(compared.references)))
    counted = np.zeros_like(scores)
    for variable in compared.variables:
        score, known = _score(compared, variable, rows)
        scores += np.where(known, score, 0.0) * variable.weight
        counted += known * variable.weight
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(counted > 0, scores / counted, np.nan), counted


def _score(
    compared: Compared, variable: Variable, rows: NDArray[np.intp]
) -> tuple[Matrix, NDArray[np.bool_]]:
    values, known = compared.arrays[variable.name]
    both = known[rows, None] & known[None, :]
    if variable.kind == "number":
        apart = np.abs(values[rows, None] - values[None, :])
        return (1 - apart / variable.span if variable.span else np.ones_like(apart)), both
    if variable.kind == "category":
        return (values[rows, None] == values[None, :]).astype("float64"), both
    either = values[rows, None] | values[None, :]
    return (values[rows, None] & values[None, :]).astype("float64"), both & either


def nearest(compared: Compared, reference: str, most: int = 5) -> list[Near]:
    """The instruments most like one, the most alike first, equal ones by reference; with the reasons.

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> compared = compared_instruments(frames_of([example_instrument("A"), example_instrument("B")]))
    >>> [(near.reference, near.likeness) for near in nearest(compared, "A")]
    [('B', 1.0)]
    """
    place = compared.references.index(reference)
    row = np.array([place])
    likeness, counted = score_pairs(compared, row)
    order = sorted(
        (n for n in range(len(compared.references)) if n != place and not np.isnan(likeness[0, n])),
        key=lambda n: (-round(float(likeness[0, n]), 12), compared.references[n]),
    )[:most]
    reasons: dict[int, list[tuple[float, str]]] = {n: [] for n in order}
    for variable in compared.variables:
        score, known = _score(compared, variable, row)
        for n in order:
            if known[0, n]:
                reasons[n].append((float(score[0, n]), variable.name))
    return [
        Near(
            compared.references[n], float(likeness[0, n]), int(counted[0, n]), len(compared.variables),
            tuple(name for score, name in reasons[n] if score == 1),
            tuple(name for score, name in sorted(reasons[n], key=lambda r: r[0]) if score < 1),
        )
        for n in order
    ]  # fmt: skip


def sample_of(compared: Compared) -> NDArray[np.intp]:
    """Places of the instruments a map shows: all up to 2,000, else a sample drawn with a fixed seed.

    >>> from publishing.statistics.frames import frames_of
    >>> len(sample_of(compared_instruments(frames_of([]))))
    0
    """
    count = len(compared.references)
    if count <= MOST_ON_A_MAP:
        return np.arange(count)
    return np.sort(np.random.default_rng(SAMPLE_SEED).choice(count, MOST_ON_A_MAP, replace=False))


def distances(compared: Compared, places: NDArray[np.intp]) -> Matrix:
    """1 − likeness between some instruments; pairs that cannot be compared at all count as 1.

    >>> from publishing.statistics.frames import frames_of
    >>> compared = compared_instruments(frames_of([]))
    >>> distances(compared, sample_of(compared)).shape
    (0, 0)
    """
    likeness, _counted = score_pairs(compared, places)
    apart = np.clip(1 - np.nan_to_num(likeness[:, places], nan=0.0), 0.0, 1.0)
    np.fill_diagonal(apart, 0.0)
    return np.asarray((apart + apart.T) / 2)


def clustered_order(apart: Matrix) -> list[int]:
    """Places in the order of the leaves of an average-linkage tree, so that like stands beside like.

    >>> clustered_order(np.array([[0, 9, 1.0], [9, 0, 8], [1, 8, 0]]))
    [1, 2, 0]
    """
    if len(apart) < 3:
        return list(range(len(apart)))
    tree = linkage(squareform(apart, checks=False), method="average", optimal_ordering=len(apart) <= 300)
    return [int(n) for n in leaves_list(tree)]


def scaled_map(apart: Matrix) -> ScalingMap | None:
    """A flat map of the distances; None below three instruments.

    >>> scaled_map(np.zeros((2, 2))) is None
    True
    """
    return map_distances(np.sqrt(apart)) if len(apart) >= 3 else None
