"""Estimates, each against scipy, which works them out another way."""

from __future__ import annotations

import math
import random

import pytest
from scipy import stats

from tests.each import each
from trainer.progress.estimates import fit_line, student_quantile, student_share, wilson

SOME = [(0, 1), (1, 1), (0, 10), (10, 10), (3, 10), (1, 2), (7, 9), (499, 1000), (1, 100_000), (700_001, 1_000_000)]


@pytest.mark.parametrize(("successes", "tries"), SOME)
def test_a_rate_has_wilsons_interval(successes: int, tries: int) -> None:
    rate = wilson(successes, tries)
    expected = stats.binomtest(successes, tries).proportion_ci(method="wilson")
    assert (rate.low, rate.high) == pytest.approx((expected.low, expected.high), abs=1e-12)
    assert rate.low <= rate.share <= rate.high


@pytest.mark.parametrize(("successes", "tries"), [(0, 0), (2, 1), (-1, 3)])
def test_a_rate_of_nothing_is_refused(successes: int, tries: int) -> None:
    with pytest.raises(ValueError, match="successes"):
        wilson(successes, tries)


@each([*range(1, 60), 200, 999])
def test_students_quantiles(degrees: int) -> None:
    for share in (0.5, 0.95, 0.99):
        assert student_quantile(degrees, share) == pytest.approx(stats.t.ppf((1 + share) / 2, degrees), rel=1e-9)
    for t in (0.1, 1.0, 4.0):
        assert student_share(t, degrees) == pytest.approx(2 * stats.t.cdf(t, degrees) - 1, abs=1e-12)


@pytest.mark.parametrize("seed", range(20))
def test_a_line_is_scipys(seed: int) -> None:
    chance = random.Random(seed)
    points = chance.randrange(3, 40)
    xs = [chance.uniform(0, 10) for _ in range(points)]
    ys = [2 + chance.uniform(-1, 1) * x + chance.gauss(0, 1) for x in xs]
    line, expected = fit_line(xs, ys), stats.linregress(xs, ys)
    assert (line.slope, line.intercept) == pytest.approx((expected.slope, expected.intercept))
    half = stats.t.ppf(0.975, points - 2) * expected.stderr
    assert (line.slope_low, line.slope_high) == pytest.approx((expected.slope - half, expected.slope + half))


def test_its_band_holds_one_more_point_95_times_in_100() -> None:
    """Made-up points about a known line; the share of new ones outside is 5 % within 3 standard errors."""
    chance = random.Random(4)
    times, outside = 2000, 0
    for _ in range(times):
        xs = [float(x) for x in range(8)]
        line = fit_line(xs, [1 + 0.5 * x + chance.gauss(0, 2) for x in xs])
        outside += abs(1 + 0.5 * 11 + chance.gauss(0, 2) - line.at(11)) > line.half_band(11)
    assert abs(outside / times - 0.05) < 3 * math.sqrt(0.05 * 0.95 / times)


@pytest.mark.parametrize("xs", [[], [1.0, 2.0], [3.0, 3.0, 3.0]])
def test_no_line_through_too_little(xs: list[float]) -> None:
    with pytest.raises(ValueError, match="no line"):
        fit_line(xs, xs)
