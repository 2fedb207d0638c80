"""Reaction time: made-up presses after sounds, and the middle they have; guesses, misses and slips don't matter."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.practice.measured import EARLIEST_S, LATEST_S, WAIT_S, WANTED, Reaction, wait_s


def answered(times_s: list[float]) -> Reaction:
    reaction = Reaction()
    for number, time_s in enumerate(times_s):
        reaction = reaction.sound(10.0 * number).press(10.0 * number + time_s)
    return reaction


def test_too_few_presses_give_no_finding() -> None:
    reaction = answered([0.3] * (WANTED - 1))
    assert reaction.finding() is None
    assert reaction.presses_left() == 1


def test_the_middle_of_the_presses_is_the_reaction() -> None:
    finding = answered([0.28, 0.30, 0.31, 0.29, 0.33, 0.27, 0.30, 0.32]).finding()
    assert finding is not None
    assert finding.reaction_s == pytest.approx(0.30)
    assert (finding.presses, finding.left_out) == (8, 0)
    # by hand: deviations from 0.30 sorted are 0 0 .01 .01 .02 .02 .03 .03, their median 0.015, times 1.4826
    assert finding.spread_s == pytest.approx(0.0222, abs=1e-4)


def test_presses_far_off_are_left_out_and_told() -> None:
    finding = answered([0.28, 0.30, 0.31, 0.29, 1.2, 0.33, 0.27, 0.30, 0.32]).finding()
    assert finding is not None
    assert finding.reaction_s == pytest.approx(0.30)
    assert (finding.presses, finding.left_out) == (8, 1)


def test_with_all_presses_alike_none_is_far_off() -> None:
    finding = answered([0.25] * WANTED).finding()
    assert finding is not None
    assert (finding.reaction_s, finding.spread_s, finding.left_out) == (pytest.approx(0.25), pytest.approx(0), 0)


ROWS = [
    # when the sound is heard (None: not yet), the press → times, guesses, missed
    pytest.param(None, 5.0, (0, 1, 0), id="before any sound: a guess"),
    pytest.param(5.0, 5.0 + EARLIEST_S / 2, (0, 1, 0), id="too soon after it: a guess"),
    pytest.param(5.0, 4.9, (0, 1, 0), id="the sound is on its way to the speaker: a guess"),
    pytest.param(5.0, 5.0 + EARLIEST_S + 0.01, (1, 0, 0), id="quick"),
    pytest.param(5.0, 5.0 + LATEST_S - 0.01, (1, 0, 0), id="slow"),
    pytest.param(5.0, 5.0 + LATEST_S + 0.01, (0, 0, 1), id="too late: missed"),
]


@pytest.mark.parametrize(("heard_s", "press_s", "counts"), ROWS)
def test_which_presses_count(heard_s: float | None, press_s: float, counts: tuple[int, int, int]) -> None:
    reaction = Reaction() if heard_s is None else Reaction().sound(heard_s)
    after = reaction.press(press_s)
    assert (len(after.times_s), after.guesses, after.missed) == counts
    assert after.heard_s is None


def test_a_sound_that_nobody_answers_is_missed_once() -> None:
    reaction = Reaction().sound(5.0)
    assert reaction.step(5.0 + LATEST_S) is reaction
    missed = reaction.step(5.1 + LATEST_S)
    assert (missed.missed, missed.step(100.0)) == (1, missed)


@given(st.floats(0, 1))
def test_the_wait_lies_within_its_bounds(share: float) -> None:
    assert WAIT_S[0] <= wait_s(share) <= WAIT_S[1]


@pytest.mark.parametrize("true_s", [0.18, 0.25, 0.4])
def test_a_simulated_juggler_is_found_within_a_fiftieth_of_a_second_on_the_average(true_s: float) -> None:
    """Made up: presses spread by 30 ms about the true time, one in ten late by up to half a second."""
    dice = Random(5)
    errors = []
    for _ in range(200):
        times_s = [
            max(0.11, dice.gauss(true_s, 0.03)) + (dice.uniform(0.1, 0.5) if dice.random() < 0.1 else 0.0)
            for _ in range(WANTED)
        ]
        finding = answered(times_s).finding()
        assert finding is not None
        errors.append(finding.reaction_s - true_s)
    assert abs(sum(errors) / len(errors)) < 0.02
    assert max(map(abs, errors)) < 0.1
