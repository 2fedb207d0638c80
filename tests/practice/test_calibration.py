"""Calibration: the median of taps against beats, with the spread of one tap; the first taps and slips don't matter."""

from __future__ import annotations

from random import Random
from statistics import stdev

import pytest

from trainer.practice.measured import FEWEST_TAPS, TAPS_IGNORED, Calibration

BEAT_S = 0.6


def tapped(offsets_s: list[float]) -> Calibration:
    calibration = Calibration(10.0, BEAT_S)
    for number, offset_s in enumerate(offsets_s):
        calibration = calibration.tap(10.0 + number * BEAT_S + offset_s)
    return calibration


def test_taps_too_few_give_no_finding() -> None:
    calibration = tapped([0.05] * (TAPS_IGNORED + FEWEST_TAPS - 1))
    assert calibration.finding() is None
    assert calibration.taps_left() == 1


def test_a_constant_delay_is_found_and_the_first_taps_are_not_counted() -> None:
    finding = tapped([0.25, -0.2, 0.2, 0.1] + [0.08] * 12).finding()
    assert finding is not None
    assert finding.offset_s == pytest.approx(0.08)
    assert finding.spread_s == pytest.approx(0.0, abs=1e-9)
    assert finding.taps == 12


def test_slips_do_not_move_it() -> None:
    finding = tapped([0.0] * 4 + [0.08] * 9 + [-0.25, 0.28, 0.08]).finding()
    assert finding is not None
    assert finding.offset_s == pytest.approx(0.08)


def test_early_taps_are_negative() -> None:
    finding = tapped([-0.03] * 16).finding()
    assert finding is not None
    assert finding.offset_s == pytest.approx(-0.03)


def test_offset_and_spread_of_a_human_spread_are_near_the_truth() -> None:
    # Taps with a normal spread of 20 ms; the estimates' own errors by simulation, textbook statistics.
    chance = Random(11)
    offsets, spreads = [], []
    for _ in range(300):
        finding = tapped([chance.gauss(0.06, 0.02) for _ in range(24)]).finding()
        assert finding is not None
        offsets.append(finding.offset_s)
        spreads.append(finding.spread_s)
    assert sum(offsets) / len(offsets) == pytest.approx(0.06, abs=0.002)
    assert stdev(offsets) < 0.008
    assert sum(spreads) / len(spreads) == pytest.approx(0.02, rel=0.1)
