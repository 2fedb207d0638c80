"""Bounces: the equations of motion integrated a second way, and each refusal."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from trainer.siteswap.grammar import parse
from trainer.timing.bounce import BounceStyle, Caught, flight_to_bounce, least_release_m_s, throw_at_floor
from trainer.timing.carrying import Carriage
from trainer.timing.flight import GRAVITY_M_S2
from trainer.timing.score import EventKind, Score
from trainer.timing.tempo import TempoError


def fall_s(height_m: float, speed_up_m_s: float) -> tuple[float, float]:
    """Seconds until the floor and the speed there, by scipy's integrator instead of our formula."""

    def floor(_t: float, state: list[float]) -> float:
        return state[0]

    floor.terminal = True  # type: ignore[attr-defined]
    floor.direction = -1  # type: ignore[attr-defined]
    found = solve_ivp(
        lambda _t, state: [state[1], -GRAVITY_M_S2],
        (0, 20),
        [height_m, speed_up_m_s],
        events=floor,
        rtol=1e-10,
        atol=1e-12,
    )
    return float(found.t_events[0][0]), -float(found.y_events[0][0][1])


def back_at_s(rebound_m_s: float, hand_m: float, caught: Caught) -> float:
    """Seconds from the floor until the ball passes the hand on the wanted part of its way, by the integrator."""

    def at_hand(_t: float, state: list[float]) -> float:
        return state[0] - hand_m

    at_hand.direction = 1 if caught is Caught.RISING else -1  # type: ignore[attr-defined]
    found = solve_ivp(
        lambda _t, state: [state[1], -GRAVITY_M_S2],
        (0, 2 * rebound_m_s / GRAVITY_M_S2),
        [0.0, rebound_m_s],
        events=at_hand,
        rtol=1e-10,
        atol=1e-12,
        max_step=0.01,
    )
    return float(found.t_events[0][0])


@pytest.mark.parametrize(
    ("way", "flight_s", "hand_m", "restitution"),
    [
        (BounceStyle.LIFT, 1.4, 1.0, 0.85),
        (BounceStyle.LIFT, 2.0, 1.0, 0.9),
        (BounceStyle.LIFT, 1.3, 0.9, 0.88),
        (BounceStyle.FORCE, 0.4, 1.0, 0.85),
        (BounceStyle.FORCE, 0.6, 1.1, 0.9),
        (BounceStyle.FORCE, 1.2, 1.0, 0.85),
    ],
)
def test_a_solved_bounce_lasts_as_long_as_wanted(
    way: BounceStyle, flight_s: float, hand_m: float, restitution: float
) -> None:
    # Newton's equation, uniform gravity, integrated by scipy: an outside check of the closed form.
    bounce = flight_to_bounce(way, flight_s, hand_m, restitution)
    assert (bounce.release_m_s >= 0) == (way is BounceStyle.LIFT)
    floor_s, floor_m_s = fall_s(hand_m, bounce.release_m_s)
    assert bounce.floor_s == pytest.approx(floor_s, abs=1e-6)
    back_s = back_at_s(restitution * floor_m_s, hand_m, bounce.caught)
    assert floor_s + back_s == pytest.approx(flight_s, abs=1e-5)


@given(st.floats(-8, 8), st.floats(0.3, 2), st.floats(0.5, 1))
def test_energy_is_kept_but_for_the_floor(release_m_s: float, hand_m: float, restitution: float) -> None:
    bounce = throw_at_floor(release_m_s, hand_m, restitution, Caught.FALLING)
    if bounce is None:
        assert abs(release_m_s) < least_release_m_s(hand_m, restitution) + 1e-9
        return
    before = release_m_s**2 / 2 + GRAVITY_M_S2 * hand_m
    assert bounce.floor_m_s**2 / 2 == pytest.approx(before)
    assert GRAVITY_M_S2 * (hand_m + bounce.top_m) == pytest.approx(restitution**2 * before)


@pytest.mark.parametrize(
    ("way", "flight_s", "hand_m", "restitution", "word"),
    [
        (BounceStyle.LIFT, 0.5, 1.0, 0.85, "slow down"),
        (BounceStyle.FORCE, 1e-4, 1.0, 0.85, "tempo"),
        (BounceStyle.LIFT, 1.5, 0.0, 0.85, "above the floor"),
        (BounceStyle.LIFT, 1.5, 1.0, 0.0, "restitution"),
        (BounceStyle.LIFT, 1.5, 1.0, 1.5, "restitution"),
    ],
)
def test_what_cannot_be_says_what_to_change(
    way: BounceStyle, flight_s: float, hand_m: float, restitution: float, word: str
) -> None:
    with pytest.raises(TempoError, match=word):
        flight_to_bounce(way, flight_s, hand_m, restitution)


def test_the_score_has_the_floor_hits_between_throw_and_catch() -> None:
    score = Carriage(BounceStyle.LIFT, 1.0, 0.9).apply(Score(parse("3")), Fraction(80))
    events = list(score.events(0, 12))
    hits = [event for event in events if event.kind is EventKind.FLOOR]
    catches = [event for event in events if event.kind is EventKind.CATCH]
    bounce = flight_to_bounce(BounceStyle.LIFT, float(Fraction(5, 3) * 60 / 80), 1.0, 0.9)
    assert [float(hit.beat) for hit in hits[:3]] == pytest.approx(
        [beat + bounce.floor_s * 80 / 60 for beat in range(3)], abs=1e-5
    )
    assert [hit.thing for hit in hits[:8]] == [catch.thing for catch in catches[:8]]


def test_a_throw_too_quick_to_bounce_is_tossed_and_told() -> None:
    carriage = Carriage(BounceStyle.LIFT, 1.0, 0.9)
    score = carriage.apply(Score(parse("51")), Fraction(170))
    assert [value for value, _ in score.floor_beats] == [5]
    assert carriage.trouble(score, Fraction(170)) == ""
    assert "slow down" in carriage.trouble(score, Fraction(400))


def test_steps_fall_every_k_throws() -> None:
    # T = k · S: at 175 beats a minute and 1/2 throw a step the feet make 350 steps a minute (our model).
    carriage = Carriage(throws_per_step=Fraction(3, 2))
    score = carriage.apply(Score(parse("3")), Fraction(180))
    steps = [event.beat for event in score.events(0, 9) if event.kind is EventKind.STEP]
    assert steps == [Fraction(3, 2) * number for number in range(6)]
    assert carriage.steps_a_minute(Fraction(180)) == 120
    assert carriage.pace_km_h(Fraction(180), 0.8) == pytest.approx(120 * 0.8 * 60 / 1000)


def test_any_cutting_of_a_score_with_everything_in_it_gives_the_same() -> None:
    from dataclasses import replace

    from trainer.siteswap.states import find_entry

    pattern = parse("51")
    score = replace(
        Carriage(BounceStyle.LIFT, 1.0, 0.9, Fraction(1, 2)).apply(Score(pattern), Fraction(150)),
        entry=find_entry(pattern),
    )
    whole = list(score.events(-1, 20))
    assert [event for beat in range(-1, 20) for event in score.events(beat, beat + 1)] == whole
    assert whole[0].kind is EventKind.ENTRY
    assert whole[0].value == 4
