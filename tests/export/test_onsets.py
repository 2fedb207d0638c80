"""Sound hand-outs: every onset found again in the file, on the frame that the notation's rules give."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from random import Random

import numpy as np
import pytest
import soundfile
from scipy.io import wavfile

from tests.export.jobs import FIVE, KIT, Job, Outcome, examine, random_job
from tests.export.onsets import Walk
from tests.export.reckoned import KINDS
from trainer.audio.synth import Bank


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("THROWBEAT_HOME", str(tmp_path))


@pytest.mark.parametrize("kind", KINDS)
def test_every_onset_is_found_again(kind: str, tmp_path: Path) -> None:
    """Fewer files than tests/export/jobs.py, the same search."""
    random = Random(f"onsets of {kind}")
    outcomes = [examine(random_job(random, kind, 24), tmp_path / "x.wav") for _ in range(2)]
    assert sum(each.onsets for each in outcomes) > 30
    assert outcomes == [Outcome(each.onsets, 0, 0, 0) for each in outcomes]


def test_a_beat_after_minutes_falls_as_exactly_as_the_first(tmp_path: Path) -> None:
    job = Job(FIVE, Fraction("171.3"), Fraction(2, 3), 4, Fraction(360), "both", 16, 44_100)
    outcome = examine(job, tmp_path / "x.wav")
    assert outcome.onsets > 660
    assert outcome == Outcome(outcome.onsets, 0, 0, 0)


def test_the_search_sees_a_sound_that_is_late_or_gone(tmp_path: Path) -> None:
    """The search itself can fail: one sound blotted out, all behind it moved by two frames."""
    job = Job(FIVE, Fraction(120), Fraction(2, 3), 0, Fraction(4), "throws", 16, 44_100)
    path = tmp_path / "x.wav"
    assert examine(job, path) == Outcome(4, 0, 0, 0)
    assert job.frames() == [0, 22_050, 44_100, 66_150]
    _, samples = wavfile.read(path)
    samples[15_000:40_000] = 0
    wavfile.write(path, 44_100, np.concatenate([samples[:60_000], np.zeros((2, 2), np.int16), samples[60_000:]]))
    found = [frame for frame, _ in Walk(path, Bank(KIT, 44_100), job.voices()).onsets()]
    assert found == [0, 44_100, 66_152]


@pytest.mark.parametrize(("bits", "subtype"), [(16, "PCM_16"), (24, "PCM_24")])
@pytest.mark.parametrize("rate_hz", [44_100, 48_000])
def test_two_readers_read_the_same_samples(bits: int, subtype: str, rate_hz: int, tmp_path: Path) -> None:
    path = tmp_path / "x.wav"
    examine(Job(FIVE, Fraction(172), Fraction(2, 3), 2, Fraction(12), "both", bits, rate_hz), path)
    about = soundfile.info(path)
    assert (about.format, about.subtype, about.samplerate, about.channels) == ("WAV", subtype, rate_hz, 2)
    other, _ = soundfile.read(path, dtype="int32")
    rate, samples = wavfile.read(path)
    assert rate == rate_hz
    np.testing.assert_array_equal(samples.astype(np.int32) << (16 if bits == 16 else 0), other)
    assert about.frames >= 14 * 60 * rate_hz // 172
