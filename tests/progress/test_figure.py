"""Progress of one figure, worked out by hand beside what the module says."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

import pytest
from scipy import stats

from trainer.progress.figure import HeldTempo, by_tempo, calendar, held_by_week, progress
from trainer.progress.learning import NoCurve
from trainer.records.attempt import CountedBy
from trainer.records.totals import Figure, Tally, Total

BALLS = Figure("531", None, "balls", CountedBy.BEAT, "Ilse Invented")
TAPPED = Figure("531", None, "balls", CountedBy.TAPS, "Ilse Invented")
CLUBS = Figure("531", None, "clubs", CountedBy.BEAT, "Ilse Invented")
FIRST = date(2026, 2, 27)


def tally(of: Figure, day: int, tries: int, flashes: int, qualifies: int, best: int) -> Tally:
    total = Total(tries, flashes, qualifies, 3 * tries, best, 2.0 * tries)
    return Tally(of, FIRST + timedelta(days=day), total)


TALLIES = (
    tally(BALLS, 0, 10, 4, 1, 7),
    tally(BALLS, 0, 5, 3, 2, 9),
    tally(BALLS, 3, 20, 15, 11, 9),
    tally(BALLS, 3, 6, 0, 0, 2),
    tally(TAPPED, 4, 2, 2, 2, 50),
    tally(CLUBS, 1, 3, 1, 0, 4),
)


def test_a_figure_is_one_pattern_prop_way_and_juggler() -> None:
    found = progress(BALLS, TALLIES, {})
    assert found.total == Total(41, 22, 14, 123, 9, 82.0)
    assert found.best_day == FIRST  # the first of the two days with 9
    expected = stats.binomtest(14, 41).proportion_ci(method="wilson")
    assert (found.qualify.low, found.qualify.high) == pytest.approx((expected.low, expected.high))
    assert [(day - FIRST, total.tries) for day, total in found.days] == [(timedelta(0), 15), (timedelta(3), 26)]
    assert isinstance(found.curve, NoCurve)
    assert found.held == ()
    assert progress(TAPPED, TALLIES, {}).total.best == 50
    assert progress(CLUBS, TALLIES, {}).total.tries == 3


def test_no_tries_are_no_progress() -> None:
    with pytest.raises(ValueError, match="no tries"):
        progress(BALLS, TALLIES[4:], {})


def test_tempos_go_together_in_tens() -> None:
    """179 2/3 is below 180."""
    totals: dict[Fraction | int, tuple[int, int]] = {170: (15, 7), 180: (6, 0), Fraction(539, 3): (20, 15)}
    steps = by_tempo({Fraction(bpm): Total(tries, flashes) for bpm, (tries, flashes) in totals.items()})
    assert [(step.from_bpm, step.total.tries, step.flash.successes) for step in steps] == [(170, 35, 22), (180, 6, 0)]


def test_thresholds_by_week() -> None:
    """27 February 2026 was a Friday; 2 March a Monday."""
    found = held_by_week([(date(2026, 3, 1), 180.0), (date(2026, 2, 27), 170.0), (date(2026, 3, 2), 190.0)])
    assert found == (
        HeldTempo(date(2026, 2, 23), 175.0, 170.0, 180.0, 2),
        HeldTempo(date(2026, 3, 2), 190.0, 190.0, 190.0, 1),
    )


def test_the_calendar() -> None:
    """Wednesday is today: what comes after it is not there yet. Four days of practice, one to a quarter."""
    wednesday = date(2026, 3, 4)
    days = {wednesday - timedelta(days=back): Total(tries) for back, tries in ((0, 5), (1, 40), (3, 10), (9, 20))}
    days[wednesday - timedelta(days=10)] = Total(999)  # before the first week shown
    assert [(week.monday, week.levels) for week in calendar(days, wednesday, 2)] == [
        (date(2026, 2, 23), (3, 0, 0, 0, 0, 0, 2)),
        (date(2026, 3, 2), (0, 4, 1, None, None, None, None)),
    ]


def test_a_calendar_of_nothing() -> None:
    (week,) = calendar({}, date(2026, 3, 1), 1)  # a Sunday
    assert week.levels == (0,) * 7
