"""Estimates from few numbers: a rate with its interval, and a straight line with its band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import atan, cos, pi, sin, sqrt
from typing import Final

CONFIDENCE: Final = 0.95
Z: Final = 1.959963984540054
"""Standard deviations to either side that hold this share of a normal distribution."""

FEWEST_POINTS: Final = 3
"""Fewest points for a line: two points have no spread about it."""


@dataclass(frozen=True, slots=True)
class Rate:
    """A share of successes, with the interval that holds the true share 95 times in 100."""

    successes: int
    tries: int
    low: float
    high: float

    @property
    def share(self) -> float:
        return self.successes / self.tries


def wilson(successes: int, tries: int) -> Rate:
    """Return the rate of `successes` in `tries` with its 95 % score interval. Raises ValueError without tries.

    Source: E. B. Wilson, Probable Inference …, J. Amer. Stat. Assoc. 22 (1927) 209–212.
    """
    if not 0 <= successes <= tries or tries == 0:
        raise ValueError(f"{successes} successes in {tries} tries")
    centre = (successes + Z * Z / 2) / (tries + Z * Z)
    half = Z / (tries + Z * Z) * sqrt(successes * (tries - successes) / tries + Z * Z / 4)
    low = 0.0 if successes == 0 else centre - half
    high = 1.0 if successes == tries else centre + half
    return Rate(successes, tries, low, high)


def student_share(t: float, degrees: int) -> float:
    """Return the share of Student's distribution between −t and t.

    Source: Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 26.7.3 and 26.7.4.
    """
    angle = atan(t / sqrt(degrees))
    odd = degrees % 2
    term = cos(angle) if odd else 1.0
    total = term if degrees > 1 or not odd else 0.0
    for step in range(2 + odd, degrees - 1, 2):
        term *= cos(angle) ** 2 * (step - 1) / step
        total += term
    return (angle + sin(angle) * total) * 2 / pi if odd else sin(angle) * total


@lru_cache(maxsize=100)  # a band has many points with the same degrees
def student_quantile(degrees: int, share: float = CONFIDENCE) -> float:
    """Return the t for which that share of Student's distribution lies between −t and t."""
    low, high = 0.0, 1.0
    while student_share(high, degrees) < share:
        low, high = high, 2 * high
    while (middle := (low + high) / 2) not in (low, high):
        low, high = (middle, high) if student_share(middle, degrees) < share else (low, middle)
    return high


@dataclass(frozen=True, slots=True)
class FittedLine:
    """A straight line y = intercept + slope · x, fitted to points by least squares.

    slope_low, slope_high: 95 % interval of the slope. spread: standard deviation of the points about the line.
    """

    intercept: float
    slope: float
    slope_low: float
    slope_high: float
    spread: float
    points: int
    mean_x: float
    sum_of_squares_x: float

    def at(self, x: float) -> float:
        """Return the line's height at `x`."""
        return self.intercept + self.slope * x

    def half_band(self, x: float) -> float:
        """Return the distance from the line within which one more point at `x` lies, 95 times in 100."""
        away = (x - self.mean_x) ** 2 / self.sum_of_squares_x
        return student_quantile(self.points - 2) * self.spread * sqrt(1 + 1 / self.points + away)


def fit_line(xs: Sequence[float], ys: Sequence[float]) -> FittedLine:
    """Fit a line to points. Raises ValueError for fewer than 3 points and for points that all have one x.

    Source: Draper & Smith, Applied Regression Analysis, 3rd edition (1998), chapter 1.
    """
    points = len(xs)
    if points < FEWEST_POINTS or len(set(xs)) < 2:
        raise ValueError(f"no line through {points} points")
    mean_x, mean_y = sum(xs) / points, sum(ys) / points
    sum_xx = sum((x - mean_x) ** 2 for x in xs)
    slope = sum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / sum_xx
    intercept = mean_y - slope * mean_x
    left = sum((y - intercept - slope * x) ** 2 for x, y in zip(xs, ys, strict=True))
    spread = sqrt(left / (points - 2))
    half = student_quantile(points - 2) * spread / sqrt(sum_xx)
    return FittedLine(intercept, slope, slope - half, slope + half, spread, points, mean_x, sum_xx)
