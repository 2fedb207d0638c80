"""Aims: which try has reached what it aimed at, and what ends a run by itself for each way of counting."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction

import pytest

from trainer.practice.count import Counter, aim_to_mark, goal_roles
from trainer.practice.guide import Aim
from trainer.practice.run import SETTLE_S, Mark, Signal
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit
from trainer.siteswap.families import parse_any
from trainer.timing.counting import Goals
from trainer.timing.score import Score

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
SCORE = Score(parse_any("3"))
GOALS = Goals(1, 3, 6)  # 3 cascade (common practice)


def attempt(catches: int | None, ended: Ended, seconds: float = 2.0) -> Attempt:
    return Attempt(
        session_id=1, started_at=NOON, pattern="3", objects=3, tempo=Fraction(172), dwell=Fraction(2, 3),
        flash_at=3, qualify_at=6, catches=catches, seconds=seconds, ended=ended,
    )  # fmt: skip


@pytest.mark.parametrize("fields", [{}, {"catches": 3, "seconds": 2.0}, {"catches": 0}, {"seconds": 0.0}])
def test_an_aim_is_one_of_the_two_and_above_nothing(fields: dict[str, int]) -> None:
    with pytest.raises(ValueError, match="above 0"):
        Aim(**fields)


@pytest.mark.parametrize(("catches", "reached"), [(None, False), (5, False), (6, True), (60, True)])
def test_catches_are_reached_however_the_run_ended(catches: int | None, reached: bool) -> None:
    for ended in Ended:
        assert Aim(catches=6).reached(attempt(catches, ended)) is reached
        assert Aim(catches=6).decided(attempt(catches, ended)) is (catches is not None)


@pytest.mark.parametrize("ended", Ended)
def test_seconds_are_reached_by_a_run_that_they_ended(ended: Ended) -> None:
    assert Aim(seconds=10).reached(attempt(None, ended, 10.1)) is (ended is Ended.TIME)
    assert Aim(seconds=10).decided(attempt(None, ended))


@pytest.mark.parametrize(
    ("aim", "counted_by", "unit", "mark"),
    [
        # every beat lasts 0.25 s here; catch 6 of a cascade comes on beat 5 + 3 − 4/3 (model: t + n − r · min(n, 2))
        (Aim(catches=6), CountedBy.BEAT, TapsUnit.CATCH, Mark(Signal.GOAL, 100 + (8 - 4 / 3) * 0.25, 0.3 + SETTLE_S)),
        (Aim(catches=6), CountedBy.TAPS, TapsUnit.CATCH, Mark(Signal.GOAL, taps=6)),
        (Aim(catches=7), CountedBy.TAPS, TapsUnit.RIGHT, Mark(Signal.GOAL, taps=4)),
        (Aim(catches=6), CountedBy.HAND, TapsUnit.CATCH, None),
        (Aim(seconds=10), CountedBy.BEAT, TapsUnit.CATCH, Mark(Signal.TIME, 110.0, 0.3 + SETTLE_S)),
        (Aim(seconds=10), CountedBy.TAPS, TapsUnit.CATCH, Mark(Signal.TIME, 110.0, 0.3 + SETTLE_S)),
        (Aim(seconds=10), CountedBy.HAND, TapsUnit.CATCH, Mark(Signal.TIME, 110.0, 0.3 + SETTLE_S)),
    ],
)
def test_what_ends_a_run_by_itself(aim: Aim, counted_by: CountedBy, unit: TapsUnit, mark: Mark | None) -> None:
    counter = Counter(SCORE, GOALS, counted_by, unit)
    found = aim_to_mark(aim, counter, 100.0, 0.3, lambda beat: 100 + float(beat) * 0.25)
    assert (found is None) is (mark is None)
    if found is not None and mark is not None:
        assert (found.signal, found.taps) == (mark.signal, mark.taps)
        assert found.at_s == pytest.approx(mark.at_s)
        if counted_by is not CountedBy.TAPS:
            assert found.hold_s == pytest.approx(mark.hold_s)


def test_before_the_first_beat_is_rendered_no_catch_has_a_moment() -> None:
    counter = Counter(SCORE, GOALS, CountedBy.BEAT, TapsUnit.CATCH)
    assert aim_to_mark(Aim(catches=6), counter, 100.0, 0.3, lambda _: None) is None


def test_an_aim_between_flash_and_qualify_has_a_sound_of_its_own() -> None:
    assert goal_roles(GOALS, None, Aim(catches=6)) == ((3, "flash"), (6, "qualify"))
    assert goal_roles(GOALS, 9, Aim(catches=20)) == ((3, "flash"), (6, "qualify"), (10, "best"), (20, "goal"))
    assert goal_roles(GOALS, None, Aim(seconds=20)) == ((3, "flash"), (6, "qualify"))
