"""A kit with recordings of numbers speaks the count-in; a kit without counts as it did."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tests.audio.speaking import RATE_HZ, speaking_kit
from trainer.audio.kitfiles import load_kit
from trainer.audio.performance import Performance
from trainer.audio.synth import Bank, Voice
from trainer.files.places import bundled
from trainer.files.toml import DataError
from trainer.siteswap.families import parse_any
from trainer.timing.score import EventKind, Score
from trainer.timing.tempo import TempoMap


def pitch_hz(samples: np.ndarray) -> float:
    mono = samples.sum(axis=1)
    return float(np.argmax(np.abs(np.fft.rfft(mono, RATE_HZ))))


def count_in_voices(path: Path, count_in: int) -> tuple[Bank, list[Voice]]:
    bank = Bank(load_kit(path), RATE_HZ)
    played = Performance(
        Score(parse_any("3")), TempoMap.steady(Fraction(120), -count_in), bank, Fraction(count_in, 2), count_in
    )
    return bank, [
        placed.voice
        for placed in played.placed_events(-count_in, 2)
        if placed.event.kind is EventKind.COUNT_IN and placed.voice is not None
    ]


def test_the_count_in_is_spoken_number_by_number(tmp_path: Path) -> None:
    bank, voices = count_in_voices(speaking_kit(tmp_path, 4), 4)
    assert [round(pitch_hz(bank[voice])) for voice in voices] == [200, 400, 600, 800]


def test_beats_beyond_the_last_number_are_struck(tmp_path: Path) -> None:
    bank, voices = count_in_voices(speaking_kit(tmp_path, 2), 40)
    assert [voice.value for voice in voices] == [1, 2] + [0] * 38
    assert np.array_equal(bank[voices[5]], bank[Voice("count-in")])


def test_a_kit_without_numbers_counts_with_one_sound() -> None:
    _, voices = count_in_voices(bundled("sounds") / "kitchen.toml", 4)
    assert voices == [Voice("count-in")] * 4


def test_a_number_that_is_not_there_is_named(tmp_path: Path) -> None:
    path = speaking_kit(tmp_path, 2)
    (tmp_path / "2.wav").unlink()
    with pytest.raises(DataError, match=r"speaking\.toml:\d+: numbers\[2\]\.file"):
        load_kit(path)
