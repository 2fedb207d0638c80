"""Flight: Shannon's theorem, heights, speeds and the tempos that suit, against published figures."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.siteswap.grammar import parse
from trainer.timing.flight import (
    DEFAULT_DWELL,
    apex_m,
    apex_to_dwell,
    apex_to_flight_s,
    apex_to_tempo,
    default_tempo,
    dwell_beats,
    flight_beats,
    flight_s,
    text_to_dwell,
)
from trainer.timing.score import EventKind, Score
from trainer.timing.tempo import TempoError

dwells = st.integers(1, 59).map(lambda sixtieths: F(sixtieths, 60))
HANDS = 2


@given(st.integers(2, 35), dwells)
@settings(max_examples=60, database=None)
def test_shannons_theorem(objects: int, dwell: F) -> None:
    """(F + D) H = (V + D) N. Source: Shannon, Scientific Aspects of Juggling, in Collected Papers, IEEE Press 1993."""
    in_flight, held = flight_beats(objects, dwell), dwell_beats(objects, dwell)
    vacant = HANDS - held
    assert (in_flight + held) * HANDS == (vacant + held) * objects


@pytest.mark.parametrize("objects", [3, 5, 7])
@given(dwell=dwells)
@settings(max_examples=25, database=None)
def test_shannons_theorem_measured_in_the_score(objects: int, dwell: F) -> None:
    """The same, from the beats at which one hand and one object do something. Source: as above."""
    events = [event for event in Score(parse(str(objects)), dwell).events(40, 100) if event.kind is not EventKind.ROUND]
    throws = [event for event in events if event.kind is EventKind.THROW]
    catches = [event for event in events if event.kind is EventKind.CATCH]
    thrown = throws[0]
    caught = next(event for event in catches if event.thing == thrown.thing and event.beat > thrown.beat)
    again = next(event for event in throws if event.thing == thrown.thing and event.beat > caught.beat)
    into_the_emptied = next(event for event in catches if event.hand is thrown.hand and event.beat > thrown.beat)
    in_flight, held, vacant = caught.beat - thrown.beat, again.beat - caught.beat, into_the_emptied.beat - thrown.beat
    assert (in_flight + held) * HANDS == (vacant + held) * objects


def test_skilled_jugglers_vacant_time_and_dwell_ratio() -> None:
    """Vacant over dwell time 0.5 to 0.7 is a ratio of 0.59 to 0.67. Source: Shannon 1993; Kalvan 1997 (near 2/3)."""
    assert float(1 / (1 + F(7, 10))) == pytest.approx(0.59, abs=0.005)
    held = dwell_beats(3, DEFAULT_DWELL)
    assert F(1, 2) <= (HANDS - held) / held <= F(7, 10)
    assert F(59, 100) <= DEFAULT_DWELL <= F(67, 100)


@given(st.integers(2, 12), dwells)
@settings(max_examples=50, database=None)
def test_objects_in_flight_a_hand(objects: int, dwell: F) -> None:
    """ω = N/H - r = F/τ with τ the hand cycle. Source: Kalvan, How Many Objects Can Be Juggled, 1997."""
    assert flight_beats(objects, dwell) / HANDS == F(objects, HANDS) - dwell


def test_sixteen_inches() -> None:
    """0.4064 m is 0.576 s of flight, and three in two hands then have 3V + D = 1.152 s.

    Source: a lecture note on Shannon's proportion; h = g F² / 8.
    """
    seconds = apex_to_flight_s(0.4064)
    assert seconds == pytest.approx(0.576, abs=5e-4)
    for dwell in (F(1, 2), F(59, 100), F(2, 3)):
        beat_s = 60 / apex_to_tempo(3, dwell, 0.4064)
        held_s = float(dwell_beats(3, dwell)) * beat_s
        assert 3 * (2 * beat_s - held_s) + held_s == pytest.approx(1.152, abs=1e-3)


@given(st.floats(0.01, 20))
@settings(max_examples=50, database=None)
def test_height_and_speed_from_the_equations_of_falling(seconds: float) -> None:
    """v = g t / 2 up, h = v² / 2 g. Any textbook of mechanics."""
    speed = 9.80665 * seconds / 2
    assert apex_m(seconds) == pytest.approx(speed**2 / (2 * 9.80665))
    assert apex_to_flight_s(apex_m(seconds)) == pytest.approx(seconds)


@given(st.integers(1, 35), dwells, st.integers(20, 600))
@settings(max_examples=50, database=None)
def test_tempo_and_dwell_for_a_height_lead_back(value: int, dwell: F, tempo_bpm: int) -> None:
    height_m = apex_m(flight_s(value, dwell, F(tempo_bpm)))
    assert apex_to_tempo(value, dwell, height_m) == pytest.approx(tempo_bpm)
    assert apex_to_dwell(value, F(tempo_bpm), height_m) == pytest.approx(float(dwell), abs=1e-6)


def test_no_dwell_for_a_height_out_of_reach() -> None:
    assert apex_to_dwell(3, F(60), 100.0) is None
    assert apex_to_dwell(9, F(600), 0.001) is None
    assert apex_to_dwell(0, F(60), 1.0) is None


@pytest.mark.parametrize(
    ("highest", "tempo_bpm"),
    [(3, 175), (4, 229), (5, 244), (6, 272), (7, 289), (1, 175), (2, 175), (0, 175)],
)
def test_the_tempo_to_start_with(highest: int, tempo_bpm: int) -> None:
    """At a dwell of 2/3. Common practice, from memory."""
    assert default_tempo(highest, F(2, 3)) == tempo_bpm


def test_values_above_nine_start_at_nines_tempo() -> None:
    """Common practice, from memory."""
    assert {default_tempo(highest, F(2, 3)) for highest in (9, 10, 20, 35)} == {default_tempo(9, F(2, 3))}


@pytest.mark.parametrize("text", ["0", "1", "2", "-1", "nan", "inf", ""])
def test_dwell_ratios_that_cannot_be_practised(text: str) -> None:
    with pytest.raises(TempoError):
        text_to_dwell(text)


def test_every_flight_is_positive() -> None:
    for value in range(1, 36):
        assert flight_beats(value, F(999, 1000)) > 0
