"""Gower's likeness against a published worked example and two independent implementations."""

from __future__ import annotations

import gower
import numpy as np
import pytest
from scipy.spatial.distance import cdist

from inventory.estimates.gower import Variable, gower_likeness, span_of

# L. Kaufman and P. J. Rousseeuw, "Finding Groups in Data", 1990: the first six of the 18 flowers (table from
# memory; its columns 6 to 8 and the first three dissimilarities were read again in public notes on R's
# `daisy(flower)`, the others are from memory, and all ten agree). Ordered variables count as numbers.
FLOWERS = [
    (0, 1, 1, 4, 3, 15, 25, 15), (1, 0, 0, 2, 1, 3, 150, 50), (0, 1, 0, 3, 3, 1, 150, 50),
    (0, 0, 1, 4, 2, 16, 125, 50), (0, 1, 0, 5, 2, 2, 20, 15), (0, 1, 0, 4, 3, 12, 50, 40),
]  # fmt: skip
SPANS = {"order": 2, "preference": 17, "height": 180, "distance": 50}
NAMES = ("winters", "shade", "tubers", "colour", "order", "preference", "height", "distance")
PRINTED = {
    (0, 1): 0.8875408, (0, 2): 0.5272467, (1, 2): 0.5147059, (0, 3): 0.3517974, (1, 3): 0.5504493,
    (2, 3): 0.5651552, (0, 4): 0.4115605, (1, 4): 0.6226307, (2, 4): 0.3726307, (3, 4): 0.6383578,
    (0, 5): 0.2269199,
}  # fmt: skip


def flower_variables(tubers: str = "category") -> list[Variable]:
    return [
        Variable(name, "number", span=SPANS[name])
        if name in SPANS
        else Variable(name, tubers if name == "tubers" else "category")
        for name in NAMES
    ]


def flower(number: int) -> dict[str, float | str]:
    return {n: v if n in SPANS else str(v) for n, v in zip(NAMES, FLOWERS[number], strict=True)}


@pytest.mark.parametrize("pair", PRINTED)
def test_the_flowers_are_as_unlike_as_printed(pair):
    first, second = (flower(n) for n in pair)
    found = gower_likeness(first, second, flower_variables())
    assert 1 - found.value == pytest.approx(PRINTED[pair], abs=5e-8)


def test_what_neither_flower_has_is_left_out_where_its_absence_says_nothing():
    # The same pair with tubers as presence: 4.1176470 over seven variables instead of eight (by hand).
    first, second = (flower(n) | {"tubers": bool(FLOWERS[n][2])} for n in (1, 2))
    found = gower_likeness(first, second, flower_variables("presence"))
    assert found.compared == 7 and 1 - found.value == pytest.approx(8 * 0.5147059 / 7, abs=5e-7)


def test_random_records_against_a_published_package():
    """PyPI's `gower`, which knows neither missing values nor presence: so neither here."""
    random = np.random.default_rng(3)
    numbers, kinds = random.integers(1, 90, (30, 3)), random.integers(0, 4, (30, 2))
    table = np.column_stack([numbers, kinds]).astype(object)
    theirs = gower.gower_matrix(
        np.column_stack([numbers.astype(float), kinds]), cat_features=[False, False, False, True, True]
    )
    names = ("a", "b", "c", "x", "y")
    variables = [Variable(n, "number", span=span_of(list(numbers[:, i]))) for i, n in enumerate("abc")]
    variables += [Variable(n, "category") for n in "xy"]
    rows = [
        {n: float(v) if n in "abc" else f"k{v}" for n, v in zip(names, row, strict=True)} for row in table
    ]
    for one in range(30):
        for other in range(30):
            ours = gower_likeness(rows[one], rows[other], variables).value
            assert 1 - ours == pytest.approx(float(theirs[one, other]), abs=2e-6)  # it counts in 32 bits


def test_random_records_with_missing_values_against_scipy():
    """Each variable's distances by SciPy's `cdist`, then a masked mean: a number, a category, a presence."""
    random = np.random.default_rng(8)
    size = 40
    number, kind = random.integers(0, 60, size).astype(float), random.integers(0, 3, size).astype(float)
    presence = random.integers(0, 2, size).astype(float)
    known = random.random((size, 3)) > 0.3
    span = np.ptp(number[known[:, 0]])
    apart = [
        cdist(number[:, None], number[:, None], "cityblock") / span,
        cdist(kind[:, None], kind[:, None], "hamming"),
        cdist(presence[:, None] > 0, presence[:, None] > 0, "hamming"),
    ]
    both = [known[:, n, None] & known[None, :, n] for n in range(3)]
    both[2] &= (presence[:, None] + presence[None, :]) > 0
    compared = np.sum(both, axis=0)
    with np.errstate(invalid="ignore"):
        wanted = np.sum([np.where(b, 1 - a, 0) for a, b in zip(apart, both, strict=True)], axis=0) / compared
    rows = [
        {
            "n": number[r] if known[r, 0] else None,
            "k": f"k{kind[r]:.0f}" if known[r, 1] else None,
            "p": bool(presence[r]) if known[r, 2] else None,
        }
        for r in range(size)
    ]
    variables = [
        Variable("n", "number", span=float(span)),
        Variable("k", "category"),
        Variable("p", "presence"),
    ]
    nothing = 0
    for one in range(size):
        for other in range(size):
            found = gower_likeness(rows[one], rows[other], variables)
            assert found.compared == compared[one, other]
            if found.value is None:
                nothing += 1
            else:
                assert found.value == pytest.approx(wanted[one, other], abs=1e-12)
    assert 0 < nothing < size * size / 4
