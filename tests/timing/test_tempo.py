"""Tempo maps: exact, continuous, rising, turned back without loss; frames rounded half up."""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.timing.tempo import TempoError, TempoMap, format_number, require_tempo, second_to_frame, text_to_tempo

tempos = st.integers(7, 14_000).map(lambda sevenths: F(sevenths, 7))
beats = st.integers(-480, 4800).map(lambda twelfths: F(twelfths, 12))
changes = st.lists(st.tuples(beats, tempos), max_size=6)


def changed(first: F, later: list[tuple[F, F]]) -> TempoMap:
    tempo = TempoMap.steady(first)
    for beat, tempo_bpm in sorted(later):
        tempo = tempo.with_tempo(beat, tempo_bpm)
    return tempo


@given(tempos, changes, beats)
@settings(max_examples=80, database=None)
def test_a_beat_and_its_second_lead_back_to_each_other(first: F, later: list[tuple[F, F]], beat: F) -> None:
    tempo = changed(first, later)
    assert tempo.beat_at(tempo.second_at(beat)) == beat
    assert tempo.second_at(tempo.beat_at(beat)) == beat


@given(tempos, changes, st.lists(beats, min_size=2, max_size=8))
@settings(max_examples=80, database=None)
def test_time_rises_without_a_jump(first: F, later: list[tuple[F, F]], some: list[F]) -> None:
    """Between two beats no less time passes than at the fastest tempo of the map, and no more than at the slowest."""
    tempo = changed(first, later)
    all_tempos = [segment.tempo_bpm for segment in tempo.segments]
    for one, other in zip(sorted(some), sorted(some)[1:], strict=False):
        passed = tempo.second_at(other) - tempo.second_at(one)
        assert (other - one) * 60 / max(all_tempos) <= passed <= (other - one) * 60 / min(all_tempos)


@given(tempos, changes, beats, tempos, beats)
@settings(max_examples=80, database=None)
def test_a_change_moves_no_beat_before_it(first: F, later: list[tuple[F, F]], at: F, tempo_bpm: F, beat: F) -> None:
    tempo = changed(first, later)
    after = tempo.with_tempo(at, tempo_bpm)
    assert after.second_at(at) == tempo.second_at(at)
    if beat <= at:
        assert after.second_at(beat) == tempo.second_at(beat)
        assert after.frame_at(beat, 44100) == tempo.frame_at(beat, 44100)
    else:
        assert after.second_at(beat) == tempo.second_at(at) + (beat - at) * 60 / tempo_bpm
        assert after.tempo_at(beat) == tempo_bpm


def test_a_change_during_or_right_after_the_count_in() -> None:
    """By hand: 60 beats/min is a second a beat, 120 half of one."""
    tempo = TempoMap.steady(F(60)).with_tempo(F(0), F(120))
    assert [tempo.second_at(F(beat)) for beat in (-4, -1, 0, 1, 4)] == [-4, -1, 0, F(1, 2), 2]
    tempo = TempoMap.steady(F(60)).with_tempo(F(-2), F(120))
    assert [tempo.second_at(F(beat)) for beat in (-4, -2, 0)] == [-4, -2, -1]


@given(tempos, st.integers(0, 500_000), st.sampled_from([8000, 44100, 48000]))
@settings(max_examples=200, database=None)
def test_frames_are_the_exact_second_rounded_half_up(tempo_bpm: F, beat: int, rate_hz: int) -> None:
    exact = F(beat) * 60 / tempo_bpm * rate_hz
    frame = TempoMap.steady(tempo_bpm).frame_at(F(beat), rate_hz)
    assert exact - F(1, 2) < frame <= exact + F(1, 2)
    wide = (Decimal(exact.numerator) / Decimal(exact.denominator) + Decimal("0.5")).to_integral_value(ROUND_FLOOR)
    assert abs(frame - int(wide)) <= (0 if exact.denominator <= 2 else 1)


@pytest.mark.parametrize(
    ("beat", "frame"),
    [(1, 3308), (2, 6615), (3, 9923), (48_001, 158_763_308), (480_001, 1_587_603_308), (-1, -3307), (-2, -6615)],
)
def test_half_a_frame_goes_up_after_an_hour_as_at_the_start(beat: int, frame: int) -> None:
    """At 800 beats/min and 44.1 kHz a beat is 3307.5 frames; 48,000 beats are an hour. By hand."""
    assert TempoMap.steady(F(800)).frame_at(F(beat), 44100) == frame


def test_a_second_to_its_frame() -> None:
    assert [second_to_frame(F(n, 4), 2) for n in range(-3, 4)] == [-1, -1, 0, 0, 1, 1, 2]


@pytest.mark.parametrize(
    "tempo_bpm", [F(0), F(-1), F(10**9), F(10**999), F(-(10**999)), F(1, 2), F(1, 10**400), F(4001, 2)]
)
def test_tempos_that_cannot_be_practised(tempo_bpm: F) -> None:
    with pytest.raises(TempoError, match=r"^A tempo of \S+ beats/min was asked for; choose one from 1 to 2000\.$"):
        require_tempo(tempo_bpm)


@pytest.mark.parametrize(
    "text", ["", "nan", "inf", "-inf", "1e9999", "fast", "1/0", "2/3/4", "9" * 5000, "\udcff", "0x10"]
)
def test_texts_that_are_no_tempo(text: str) -> None:
    with pytest.raises(TempoError):
        text_to_tempo(text)


@pytest.mark.parametrize(
    ("text", "tempo_bpm"), [("172", F(172)), (" 172.5 ", F(345, 2)), ("2000/3", F(2000, 3)), ("1e2", F(100))]
)
def test_texts_of_a_tempo(text: str, tempo_bpm: F) -> None:
    assert text_to_tempo(text) == tempo_bpm


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (F(172), "172"),
        (F(345, 2), "172.5"),
        (F(2, 3), "0.667"),
        (F(0), "0"),
        (F(-3), "-3"),
        (F(1, 10**6), "0.000001"),
        (F(-1, 4), "-0.25"),
    ],
)
def test_numbers_as_people_read_them(value: F, shown: str) -> None:
    assert Decimal(format_number(value)) == Decimal(shown)
