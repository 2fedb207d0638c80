"""Aims: which try has reached what it aimed at, and what ends a run by itself for each way of counting."""

from __future__ import annotations

from datetime import UTC, datetime
from fractions import Fraction

import pytest

from trainer.practice.count import Counter
from trainer.practice.guide import Aim
from trainer.practice.run import SETTLE_S, Limit, Signal
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit
from trainer.siteswap.families import parse_any
from trainer.timing.score import Score

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
SCORE = Score(parse_any("3"))


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
    ("aim", "counted_by", "unit", "limit"),
    [
        # every beat lasts 0.25 s here; catch 6 of a cascade comes on beat 5 + 3 − 4/3 (model: t + n − r · min(n, 2))
        (Aim(catches=6), CountedBy.BEAT, TapsUnit.CATCH, Limit(Signal.GOAL, 100 + (8 - 4 / 3) * 0.25, 0.3 + SETTLE_S)),
        (Aim(catches=6), CountedBy.TAPS, TapsUnit.CATCH, Limit(Signal.GOAL, taps=6)),
        (Aim(catches=7), CountedBy.TAPS, TapsUnit.RIGHT, Limit(Signal.GOAL, taps=4)),
        (Aim(catches=6), CountedBy.HAND, TapsUnit.CATCH, None),
        (Aim(seconds=10), CountedBy.BEAT, TapsUnit.CATCH, Limit(Signal.TIME, 110.0, 0.3 + SETTLE_S)),
        (Aim(seconds=10), CountedBy.TAPS, TapsUnit.CATCH, Limit(Signal.TIME, 110.0, 0.3 + SETTLE_S)),
        (Aim(seconds=10), CountedBy.HAND, TapsUnit.CATCH, Limit(Signal.TIME, 110.0, 0.3 + SETTLE_S)),
    ],
)
def test_what_ends_a_run_by_itself(aim: Aim, counted_by: CountedBy, unit: TapsUnit, limit: Limit | None) -> None:
    counter = Counter(SCORE, counted_by, unit, aim)
    found = counter.limit(100.0, 0.3, lambda beat: 100 + float(beat) * 0.25)
    assert (found is None) is (limit is None)
    if found is not None and limit is not None:
        assert (found.signal, found.taps) == (limit.signal, limit.taps)
        assert found.at_s == pytest.approx(limit.at_s)
        if counted_by is not CountedBy.TAPS:
            assert found.hold_s == pytest.approx(limit.hold_s)


def by_the_beat(aim: Aim) -> Counter:
    return Counter(SCORE, CountedBy.BEAT, TapsUnit.CATCH, aim)


def test_before_the_first_beat_is_rendered_no_catch_has_a_moment() -> None:
    assert by_the_beat(Aim(catches=6)).limit(100.0, 0.3, lambda _: None) is None


def test_an_aim_between_flash_and_qualify_has_a_sound_of_its_own() -> None:
    # 3 cascade: flash 3, qualify 6 (common practice)
    assert by_the_beat(Aim(catches=6)).roles(None) == ((3, "flash"), (6, "qualify"))
    assert by_the_beat(Aim(catches=20)).roles(9) == ((3, "flash"), (6, "qualify"), (10, "best"), (20, "goal"))
    assert by_the_beat(Aim(seconds=20)).roles(None) == ((3, "flash"), (6, "qualify"))
