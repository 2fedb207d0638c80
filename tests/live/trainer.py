"""The whole trainer in a terminal of its own: started as a user starts it, its sound compared with the score's."""

from __future__ import annotations

import os
import sys
from fractions import Fraction
from pathlib import Path

import numpy as np
from scipy.signal import fftconvolve

from tests.live.terminal import Terminal
from trainer.audio.kit import DEFAULT_KIT
from trainer.audio.kitfiles import find_kit
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.performance import Performance
from trainer.audio.synth import Bank
from trainer.audio.transport import RAMP_S, Transport
from trainer.config import Settings
from trainer.files.places import bundled
from trainer.siteswap.families import parse_any
from trainer.timing.counting import Goals
from trainer.timing.score import EventKind, Score
from trainer.timing.tempo import TempoMap

ROOT = Path(__file__).parents[2]
NEAR_FRAMES = 2205
"""How far from its place a click is looked for: 50 ms."""


def trainer(
    home: Path, *words: str, columns: int = 80, rows: int = 24, kind: type[Terminal] = Terminal, **environ: str
) -> Terminal:
    """The trainer at work in a terminal of a kind, everything it keeps in `home`."""
    command = [sys.executable, "-m", "trainer.commands.line", *words]
    kept = {**os.environ, **environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT)}
    return kind(command, kept, columns, rows, home)


def expected_performance(pattern: str, tempo_bpm: int, count_in: int = 4) -> Performance:
    """What a first try of a pattern should sound like, from frame 0 on."""
    score = Score(parse_any(pattern))
    goals = Goals.of(score)
    return Performance(
        score,
        TempoMap.steady(Fraction(tempo_bpm), -count_in),
        Bank(find_kit(DEFAULT_KIT, [bundled("sounds")]), RATE_HZ),
        Fraction(count_in * 60, tempo_bpm),
        count_in,
        ((goals.flash, "flash"), (goals.qualify, "qualify")),
    )


def expected_frames(performance: Performance, seconds: float) -> np.ndarray:
    """The stream of a performance at the volume out of the box: int16 (frames, 2)."""
    transport = Transport(RATE_HZ)
    transport.gain = Settings().volume
    transport.pull(2 * round(RAMP_S * RATE_HZ))
    shift = transport.rendered_frame
    transport.post(lambda _scene, _frame: _Shifted(performance, shift))
    return transport.pull(round(seconds * RATE_HZ))


class _Shifted:
    """A performance that begins later in the stream."""

    def __init__(self, performance: Performance, frames: int) -> None:
        self.performance, self.frames = performance, frames

    def render(self, start_frame: int, frames: int) -> np.ndarray:
        return self.performance.render(start_frame - self.frames, frames)


def find_offset(heard: np.ndarray, expected: np.ndarray) -> int:
    """The frame of the recording at which the expected stream begins: where both are most alike."""
    part = expected[: RATE_HZ * 4].astype(np.float32)
    score = sum(fftconvolve(heard[:, side].astype(np.float32), part[::-1, side], "valid") for side in (0, 1))
    return int(np.argmax(score))


def click_deviations(heard: np.ndarray, performance: Performance, offset: int, seconds: float) -> np.ndarray:
    """Frames by which each count-in beat and throw is off its place in the recording: int (clicks,)."""
    found = []
    stop_beat = performance.beat_at(round((seconds - 0.5) * RATE_HZ))
    for placed in performance.placed_events(-performance.count_in_beats, stop_beat):
        if placed.event.kind not in (EventKind.COUNT_IN, EventKind.THROW) or placed.voice is None:
            continue
        template = performance.bank[placed.voice][:1200]
        start = offset + placed.at_frame - NEAR_FRAMES
        window = heard[max(start, 0) : start + 2 * NEAR_FRAMES + len(template)].astype(np.float32)
        match = sum(np.correlate(window[:, side], template[:, side], "valid") for side in (0, 1))
        found.append(int(np.argmax(match)) - (NEAR_FRAMES + min(start, 0)))
    return np.array(found)
