"""Kaplan-Meier curves: how long things last when many are still going."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.estimates.errors import EstimateError

Z_95 = 1.959964


@dataclass(frozen=True)
class Step:
    """One time at which something failed."""

    time: float
    at_risk: int
    """Still going, and still watched, just before this time."""
    failed: int
    survival: float
    """Share still going just after it."""
    deviation: float
    """Greenwood's standard error of the share; 0 once nothing is left."""
    low: float | None
    """Lower log-log bound; None where the share is 0 or 1 and the bound is not defined."""
    high: float | None
    hazard: float
    """Nelson-Aalen sum of failed / at risk up to this time."""


@dataclass(frozen=True)
class Survival:
    """A product-limit curve."""

    steps: tuple[Step, ...]
    """In order of time."""
    count: int
    """Things watched."""
    failed: int
    times: tuple[float, ...]
    """Every time watched, in order; for numbers at risk."""

    @property
    def median(self) -> float | None:
        """First time at which the share is a half or less; None if that is never reached."""
        return next((step.time for step in self.steps if step.survival <= 0.5 + 1e-12), None)

    def share_at(self, time: float) -> float | None:
        """Return the share still going just after a time; None beyond the last time watched."""
        if not self.times or time > self.times[-1]:
            return None
        share = 1.0
        for step in self.steps:
            if step.time > time:
                break
            share = step.survival
        return share

    def at_risk_at(self, times: Sequence[float]) -> tuple[int, ...]:
        """Return how many were still going and watched at each time, for the table under the curve."""
        return tuple(sum(watched >= time for watched in self.times) for time in times)


def estimate_survival(times: Sequence[float], failed: Sequence[bool], *, z: float = Z_95) -> Survival:
    """Return the product-limit curve with Greenwood errors and log-log bands.

    Parameters
    ----------
    times
        How long each thing was watched, >= 0, in one unit (years).
    failed
        True where it failed at that time; False where it was still going when last seen. A thing
        last seen going at a time counts as at risk at that time.
    z
        Standard normal quantile of the bands, > 0.

    Returns
    -------
    Survival
        One step for each time at which something failed.

    Raises
    ------
    EstimateError
        If the lengths differ, a time is negative or not finite, or z is not above 0.

    References
    ----------
    E. L. Kaplan and P. Meier, *JASA* 53 (1958) 457-481; Greenwood var = S2 x sum e / n(n - e), and
    Nelson-Aalen H = sum e / n, as in the manual of R's survMisc; log-log band S^exp(+-z se / S ln S) of
    J. D. Kalbfleisch and R. L. Prentice (1980), from memory.

    Examples
    --------
    >>> curve = estimate_survival([6, 6, 6, 6, 7], [True, True, True, False, True])
    >>> [(step.time, step.at_risk, round(step.survival, 3)) for step in curve.steps]
    [(6.0, 5, 0.4), (7.0, 1, 0.0)]
    """
    watched = np.asarray(times, dtype=np.float64).reshape(-1)
    ended = np.asarray(failed, dtype=bool).reshape(-1)
    if watched.size != ended.size:
        raise EstimateError(f"{watched.size} times and {ended.size} outcomes; give one outcome a time")
    if not np.all(np.isfinite(watched)) or np.any(watched < 0):
        raise EstimateError("a time is not 0 or more; give how long each was watched")
    if not (math.isfinite(z) and z > 0):
        raise EstimateError(f"z {z} is not above 0; 1.959964 gives 95 %")
    steps = _steps(watched, ended, z)
    return Survival(
        steps, int(watched.size), int(ended.sum()), tuple(float(time) for time in np.sort(watched))
    )


def survival_at_both_ends(
    last_going: Sequence[float], first_failed: Sequence[float | None], *, z: float = Z_95
) -> tuple[Survival, Survival]:
    """Return two curves for failures seen only between visits: as early and as late as they may be.

    Parameters
    ----------
    last_going
        Time of the last visit that found each thing going, >= 0.
    first_failed
        Time of the first visit that found it failed, not before `last_going`; None if it never was.
    z
        As in `estimate_survival`.

    Returns
    -------
    tuple of Survival and Survival
        Every failure put at the earlier visit, and at the later. The true curve of these things
        lies between them; print both.

    Raises
    ------
    EstimateError
        As `estimate_survival`, or if a failure lies before its last visit.

    References
    ----------
    The two ends of interval censoring; common practice.

    Examples
    --------
    >>> early, late = survival_at_both_ends([10, 20, 30], [15, None, 40])
    >>> [s.time for s in early.steps], [s.time for s in late.steps]
    ([10.0, 30.0], [15.0, 40.0])
    """
    if len(last_going) != len(first_failed):
        raise EstimateError(f"{len(last_going)} and {len(first_failed)} visits; give a pair for each thing")
    for going, gone in zip(last_going, first_failed, strict=True):
        if gone is not None and gone < going:
            raise EstimateError(
                f"failed at {gone:g}, before it was last going at {going:g}; check the visits"
            )
    ended = [gone is not None for gone in first_failed]
    late = [going if gone is None else gone for going, gone in zip(last_going, first_failed, strict=True)]
    return estimate_survival(last_going, ended, z=z), estimate_survival(late, ended, z=z)


def _steps(watched: NDArray[np.float64], ended: NDArray[np.bool_], z: float) -> tuple[Step, ...]:
    steps: list[Step] = []
    survival, greenwood, hazard = 1.0, 0.0, 0.0
    for time in np.unique(watched[ended]):
        at_risk = int((watched >= time).sum())
        gone = int((ended & (watched == time)).sum())
        survival *= (at_risk - gone) / at_risk
        hazard += gone / at_risk
        if at_risk > gone:
            greenwood += gone / (at_risk * (at_risk - gone))
        deviation = survival * math.sqrt(greenwood)
        low, high = _log_log_band(survival, greenwood, z)
        steps.append(Step(float(time), at_risk, gone, survival, deviation, low, high, hazard))
    return tuple(steps)


def _log_log_band(survival: float, greenwood: float, z: float) -> tuple[float | None, float | None]:
    if not 0 < survival < 1:
        return None, None
    reach = math.exp(z * math.sqrt(greenwood) / abs(math.log(survival)))
    return survival**reach, survival ** (1 / reach)
