"""Tap tempo: the mean of the taps in line, slips left out."""

from __future__ import annotations

from random import Random

from trainer.practice.taptempo import FEWEST_TAPS, NEW_START_S, TapTempo


def tapped(*taps_s: float) -> TapTempo:
    taps = TapTempo()
    for at_s in taps_s:
        taps = taps.tap(at_s)
    return taps


def test_even_taps_give_their_tempo() -> None:
    assert tapped(*(number * 60 / 172 for number in range(6))).tempo_bpm() == 172


def test_too_few_taps_give_none() -> None:
    assert tapped(*(number * 0.5 for number in range(FEWEST_TAPS - 1))).tempo_bpm() is None


def test_a_missed_tap_and_a_slip_are_left_out() -> None:
    times = [0.0, 0.4, 0.8, 1.2, 2.0, 2.4, 2.8, 2.95, 3.2, 3.6]  # one missed at 1.6, one slip at 2.95
    assert tapped(*times).tempo_bpm() == 150


def test_half_of_the_taps_at_one_tempo_and_half_at_another_still_give_one() -> None:
    assert tapped(0, 0.3, 0.6, 1.3, 2.0).tempo_bpm() == 200  # 60 / 0.3: none lies near the middle of both
    assert tapped(0, 0.3, 0.6, 1.3, 2.0, 2.7).tempo_bpm() == 86  # 60 / 0.7, by now the most


def test_after_a_pause_the_taps_begin_anew() -> None:
    late = 10 + NEW_START_S
    assert tapped(0, 0.4, 0.8, 1.2, late, late + 0.5).tempo_bpm() is None


def test_human_jitter_averages_out() -> None:
    # 20 ms of spread on each tap, common for tapping along: within 3 % on 200 tries.
    chance = Random(5)
    for _ in range(200):
        times = [number * 60 / 160 + chance.gauss(0, 0.02) for number in range(12)]
        tempo = tapped(*times).tempo_bpm()
        assert tempo is not None
        assert abs(tempo - 160) <= 5
