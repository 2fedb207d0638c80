"""The learning curve: what it finds in tries made up by a known law, and when it says nothing.

The law, catches as a power of practice: Human Movement Science (2004), doi:10.1016/j.humov.2004.07.002.
"""

from __future__ import annotations

import random
from datetime import date, timedelta
from math import exp, inf, log

import pytest
from scipy import stats

from trainer.progress.learning import AHEAD, Curve, NoCurve, PracticeDay, learning_curve

FIRST = date(2026, 1, 5)


def made_up(
    seed: int, exponent: float, *, days: int = 60, tries: int = 20, every: int = 1, goal: float = inf
) -> list[PracticeDay]:
    """Days of a juggler whose catches follow catches = 4 · practice ^ exponent and fall as a run with one fixed
    chance of a miss would: geometrically. goal: catches at which a try is ended. Invented."""
    chance, found, practice = random.Random(seed), [], 0
    for number in range(days):
        caught = drops = 0
        for _ in range(tries):
            practice += 1
            catches = int(chance.expovariate(1 / (4 * practice**exponent)) + 0.5)
            caught += int(min(catches, goal))
            drops += catches < goal
        found.append(PracticeDay(FIRST + timedelta(days=number * every), tries, caught, drops))
    return found


def test_the_fit_is_scipys_in_the_logarithms() -> None:
    curve = learning_curve(made_up(1, 0.4))
    assert isinstance(curve, Curve)
    xs, ys = [log(each.practice) for each in curve.stretches], [log(each.mean) for each in curve.stretches]
    expected = stats.linregress(xs, ys)
    assert curve.at(300) == pytest.approx(exp(expected.intercept + expected.slope * log(300)))
    # The prediction interval of simple regression, Draper & Smith (1998), with scipy's quantile.
    mean, n = sum(xs) / len(xs), len(xs)
    left = sum((y - expected.intercept - expected.slope * x) ** 2 for x, y in zip(xs, ys, strict=True)) / (n - 2)
    away = (log(300) - mean) ** 2 / sum((x - mean) ** 2 for x in xs)
    half = stats.t.ppf(0.975, n - 2) * (left * (1 + 1 / n + away)) ** 0.5
    assert curve.band(300) == pytest.approx((curve.at(300) / exp(half), curve.at(300) * exp(half)))
    assert curve.ahead == round(60 * 20 * AHEAD)


def test_the_exponent_put_in_is_found_again() -> None:
    """Its 95 % interval holds it in at least 9 of 10 of 100 made-up courses; a rule that guessed would not."""
    curves = [learning_curve(made_up(seed, 0.3)) for seed in range(100)]
    held = [isinstance(curve, Curve) and curve.line.slope_low <= 0.3 <= curve.line.slope_high for curve in curves]
    assert sum(held) >= 90


def test_tries_ended_at_a_goal_do_not_level_the_curve() -> None:
    """The same juggler with and without a goal of 12 catches: the exponent is the same within its interval, where the
    mean of the tries' catches, held down at 12, would give less than half of it."""
    held, levelled = 0, []
    for seed in range(100):
        days = made_up(seed, 0.3, days=90, goal=12)
        curve = learning_curve(days)
        held += isinstance(curve, Curve) and curve.line.slope_low <= 0.3 <= curve.line.slope_high
        plain = learning_curve([day._replace(drops=day.tries) for day in days])
        levelled.append(plain.line.slope if isinstance(plain, Curve) else 0.0)
    assert held >= 90
    assert sum(levelled) / 100 < 0.15


def test_a_forecast_holds() -> None:
    """Fitted to two thirds of a course, the band holds the mean of the rest's last stretch about as often as said."""
    held = 0
    for seed in range(100):
        course = made_up(seed, 0.35, days=90)
        curve = learning_curve(course[:60])
        assert isinstance(curve, Curve)
        last = course[87:]  # as many tries as a stretch has
        low, high = curve.band(1780)
        held += low <= sum(day.catches for day in last) / sum(day.drops for day in last) <= high
    assert held >= 88  # 95 expected, standard deviation 2.2


def test_chance_alone_is_seldom_taken_for_growth() -> None:
    found = [learning_curve(made_up(seed, 0.0)) for seed in range(200)]
    assert sum(isinstance(each, Curve) for each in found) <= 12  # 2.5 % expected: 5, standard deviation 2.2


def test_every_try_is_in_one_stretch() -> None:
    for seed in range(20):
        chance = random.Random(seed)
        days = []
        for n in range(50):
            tries = chance.randrange(1, 40)
            drops = chance.randrange(0, tries + 1)
            days.append(PracticeDay(FIRST + timedelta(days=n), tries, chance.randrange(0, 90), drops))
        stretches = learning_curve(days).stretches
        assert sum(each.tries for each in stretches) == sum(day.tries for day in days)
        assert sum(each.drops for each in stretches) == sum(day.drops for day in days)
        assert sum(each.drops * each.mean for each in stretches) == pytest.approx(sum(day.catches for day in days))
        assert all(each.drops >= 5 for each in stretches)
        assert len(stretches) <= 24
        assert [each.practice for each in stretches] == sorted(each.practice for each in stretches)


def course(days: int, tries: int, catches: int, every: int = 1) -> list[PracticeDay]:
    return [PracticeDay(FIRST + timedelta(days=n * every), tries, catches, tries) for n in range(days)]


SHRINKING = [PracticeDay(FIRST + timedelta(days=n), 10, round(4000 / (n + 1)), 10) for n in range(40)]
WILD = [
    PracticeDay(FIRST + timedelta(days=n), 10, round(10 * (n + 1) ** 2 * (3 if n % 2 else 1)), 10) for n in range(24)
]
NOTHING = [
    ([], "there were no tries yet"),
    (course(30, 10, 0), "no catch was counted yet"),
    ([day._replace(drops=0) for day in course(30, 10, 60)], "no try ended in a drop"),
    (course(7, 30, 90), "too few days with 5 drops and a catch in them: 7 of the 8"),
    (course(30, 1, 3), "too few days with 5 drops and a catch in them: 6 of the 8"),
    (made_up(3, 0.4, days=10), "all tries lay within 9 days"),
    (SHRINKING, "the catches became fewer with practice"),
    (made_up(2, 0.0), "no growth could be told from chance"),
    (course(30, 10, 60), "no growth could be told from chance"),
    (WILD, "the stretches differed too much"),
]


@pytest.mark.parametrize(("days", "reason"), NOTHING, ids=[reason for _, reason in NOTHING])
def test_there_is_no_curve_where_the_tries_do_not_deserve_one(days: list[PracticeDay], reason: str) -> None:
    found = learning_curve(days)
    assert isinstance(found, NoCurve)
    assert found.because.startswith((reason, f"there were {reason}"))
    assert not found.because.endswith(".")


def test_a_first_week_without_a_catch_is_joined_with_what_follows() -> None:
    """A logarithm of no catches does not exist, and leaving those days out would flatter the start."""
    empty = [PracticeDay(FIRST + timedelta(days=n), 20, 0, 20) for n in range(3)]
    later = [each._replace(day=each.day + timedelta(days=3)) for each in made_up(5, 0.5)]
    found = learning_curve([*empty, *later])
    assert all(stretch.mean > 0 for stretch in found.stretches)
    assert sum(stretch.tries for stretch in found.stretches) == 60 + 60 * 20
