"""The result: catches of an attempt by each way of counting, against the trade's figures and a count by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.practice.count import Counter
from trainer.records.attempt import CountedBy, Ended, TapsUnit
from trainer.siteswap.families import parse_any
from trainer.timing.counting import Goals
from trainer.timing.score import Score

CLEAN = (Ended.COLLECTED, Ended.GOAL, Ended.TIME)


def counter(pattern: str, counted_by: CountedBy = CountedBy.BEAT, unit: TapsUnit = TapsUnit.CATCH) -> Counter:
    return Counter(Score(parse_any(pattern)), counted_by, unit)


@pytest.mark.parametrize(
    ("pattern", "flash", "qualify", "source"),
    [
        ("3", 3, 6, "common practice"),
        ("4", 4, 8, "common practice"),
        ("5", 5, 10, "twice as many catches as objects: published rules, International Jugglers' Association"),
        ("7", 7, 14, "the same rules"),
        ("3 mess", 6, 12, "Mills Mess comes round after 6 throws: common practice"),
        ("531", 3, 6, "one round is 3 catches, no more than objects: common practice"),
        ("(4,4)", 4, 8, "4 objects as a synchronous fountain: common practice"),
        ("744", 5, 10, "5 objects, 3 catches a round: the larger counts, common practice"),
        ("423", 3, 6, "the 2 is held, so 2 catches a round: the 3 objects count, common practice"),
    ],
)
def test_flash_and_qualify(pattern: str, flash: int, qualify: int, source: str) -> None:
    goals = Goals.of(counter(pattern).score)
    assert (goals.flash, goals.qualify) == (flash, qualify), source


@pytest.mark.parametrize(
    # 3-cascade, dwell 2/3: F(3) = 3 - 2·2/3 = 5/3, so catch k (from 1) falls on beat k - 1 + 5/3 (formula of Shannon)
    ("beat", "dropped", "collected"),
    [
        (Fraction(0), 0, 0),
        (Fraction(5, 3) - Fraction(1, 1000), 0, 0),
        (Fraction(5, 3), 0, 1),
        (Fraction(8, 3) - Fraction(1, 1000), 0, 1),
        (Fraction(8, 3), 1, 2),
        (Fraction(20, 3), 5, 6),
        (Fraction(602, 3), 199, 200),
    ],
)
def test_a_drop_takes_the_last_catch_off_and_a_collect_counts_it(beat: Fraction, dropped: int, collected: int) -> None:
    count = counter("3")
    assert count.ended(beat, 0, Ended.DROP) == dropped
    assert count.ended(beat, 0, Ended.GIVEN_UP) == dropped
    for ending in CLEAN:
        assert count.ended(beat, 0, ending) == collected


@pytest.mark.parametrize(
    ("unit", "pattern", "per_tap", "beats_per_tap"),
    [
        (TapsUnit.CATCH, "3", 1, Fraction(1)),
        (TapsUnit.RIGHT, "3", 2, Fraction(2)),
        (TapsUnit.ROUND, "3", 1, Fraction(1)),
        (TapsUnit.ROUND, "531", 3, Fraction(3)),
        (TapsUnit.ROUND, "3 mess", 6, Fraction(6)),
        (TapsUnit.CATCH, "(4,4)", 1, Fraction(1)),
        (TapsUnit.RIGHT, "(4,4)", 2, Fraction(2)),
        (TapsUnit.CATCH, "[43]23", 1, Fraction(1)),  # 3 catches in 3 beats: 4, 3 and 3; the 2 is held
        (TapsUnit.ROUND, "[43]23", 3, Fraction(3)),
        (TapsUnit.CATCH, "501", 1, Fraction(3, 2)),
    ],
)
def test_what_a_tap_counts(unit: TapsUnit, pattern: str, per_tap: int, beats_per_tap: Fraction) -> None:
    count = counter(pattern, CountedBy.TAPS, unit)
    assert count.catches_per_tap() == per_tap
    assert count.beats_per_tap() == beats_per_tap
    for ending in Ended:
        assert count.ended(Fraction(100), 7, ending) == 7 * per_tap, "the beat has no say, and no tap is taken off"


def test_a_pattern_without_catches_counts_none() -> None:
    count = counter("2")
    assert count.ended(Fraction(1000), 0, Ended.COLLECTED) == 0
    assert count.catches_per_tap() == 1
    assert count.beats_per_tap() > 0


@given(
    st.sampled_from(["3", "531", "4", "(4,4)", "(4x,2x)", "[43]23", "97531", "<3p 3|3p 3>"]),
    st.fractions(0, 500, max_denominator=60),
    st.sampled_from(Ended),
)
def test_the_count_is_that_of_the_catches_one_by_one(pattern: str, beat: Fraction, ending: Ended) -> None:
    count = counter(pattern)
    dwell = count.score.dwell
    catches = 0
    for throw in count.score.pattern.throws:
        if throw.value == 0 or throw.held:
            continue
        at = throw.beat + throw.value - dwell * min(throw.value, 2)  # model: catch at t + n - r · min(n, 2)
        while at <= beat:
            catches += 1
            at += count.score.pattern.period
    expected = catches if ending in CLEAN else max(0, catches - 1)
    assert count.ended(beat, 0, ending) == expected


@pytest.mark.parametrize("counted_by", CountedBy)
@pytest.mark.parametrize("unit", TapsUnit)
def test_each_way_of_counting_says_how_it_counts(counted_by: CountedBy, unit: TapsUnit) -> None:
    told = counter("531", counted_by, unit).explanation
    assert counted_by.value in told
    assert "tap" in told
