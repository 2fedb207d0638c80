"""The threshold of a staircase: the tempo held 70.7 % of the time, and the interval it lies in.

A step up after 2 in a row and down after 1 miss converges on the tempo held 70.7 % of the time (p² = 1/2; Levitt,
Transformed up-down methods in psychoacoustics, JASA 49 (1971) 467-477). Levitt takes the mean of an even number of
reversals. With few of them, and steps small beside the slope of the juggler, that mean still leans towards the start
and its spread says too little (tests/bench/climbs.py), so the threshold here comes from all tries at once: how
likely are they for a logistic success curve in tempo with this threshold and that slope? Every slope from steep to
shallow counts alike (in its logarithm), as does every threshold in reach of the tempos tried; the threshold told is the
median of what is left, the interval holds its middle 95 %.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp, log, log1p, sqrt

HELD = sqrt(0.5)
"""The share of tries that succeed at the threshold: 70.7 %."""

OFFSET = log(HELD / (1 - HELD))
SLOPES = tuple(0.01 * 30 ** (step / 7) for step in range(8))
"""Scales of the logistic curve looked at, as shares of the tempo tried first: 1 % to 30 %."""

REACH = 0.5
"""How far beyond the tempos tried a threshold is looked for, as a share of the tempo tried first."""

POINTS = 161
OUTSIDE = 0.025
"""The share of the weight left out of the interval at each end."""

FEWEST_TRIES = 8


@dataclass(frozen=True, slots=True)
class Threshold:
    """Beats per minute held 70.7 % of the time; low, high: its 95 % interval. reversals: their mean, None for none."""

    tempo_bpm: float
    low: float
    high: float
    reversals: float | None = None

    @property
    def spread(self) -> float:
        """Half the width of the interval."""
        return (self.high - self.low) / 2


def mean_of_reversals(reversals: Sequence[float], left_out: int = 2) -> float | None:
    """Levitt's mean of the last even number of reversals, the first ones left out; None where there are too few."""
    last = len(reversals) - left_out
    last -= last % 2
    return sum(reversals[-last:]) / last if last >= 2 else None


def find_threshold(tries: Sequence[tuple[float, bool]], reversals: Sequence[float] = ()) -> Threshold | None:
    """The threshold of tries in their order, each a tempo and whether it held; None of fewer than FEWEST_TRIES."""
    if len(tries) < FEWEST_TRIES:
        return None
    found = _middle(tuple(tries))
    return Threshold(*found, mean_of_reversals(reversals))


@lru_cache(maxsize=8)
def _middle(tries: tuple[tuple[float, bool], ...]) -> tuple[float, float, float]:
    """Median and both ends of the interval. Kept, as a screen asks often and it takes some milliseconds."""
    tally: dict[float, tuple[int, int]] = {}
    for tempo, held in tries:
        made, missed = tally.get(tempo, (0, 0))
        tally[tempo] = (made + held, missed + (not held))
    first = tries[0][0]
    reach = (max(tally) - min(tally)) / 2 + REACH * first
    low = max(min(tally) - reach, first / POINTS)
    step = (max(tally) + reach - low) / (POINTS - 1)
    grid = [low + step * point for point in range(POINTS)]
    logs = [[_log_likelihood(tally, middle, scale * first) for scale in SLOPES] for middle in grid]
    most = max(map(max, logs))
    weights = [sum(exp(each - most) for each in row) for row in logs]
    return _quantile(grid, weights, 0.5), _quantile(grid, weights, OUTSIDE), _quantile(grid, weights, 1 - OUTSIDE)


def _log_likelihood(tally: dict[float, tuple[int, int]], middle: float, scale: float) -> float:
    total = 0.0
    for tempo, (made, missed) in tally.items():
        z = (tempo - middle) / scale - OFFSET
        miss = log1p(exp(-abs(z))) + max(z, 0.0)  # minus the logarithm of the chance to make it
        total -= made * miss + missed * (miss - z)
    return total


def _quantile(grid: Sequence[float], weights: Sequence[float], share: float) -> float:
    """The point below which a share of the weight lies, each point standing for as much to its left as to its right."""
    wanted, before = share * sum(weights), 0.0
    step = grid[1] - grid[0]
    for point, weight in zip(grid, weights, strict=True):
        if before + weight >= wanted:
            return point + step * ((wanted - before) / weight - 0.5) if weight else point
        before += weight
    return grid[-1]
