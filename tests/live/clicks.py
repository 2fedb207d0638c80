"""Clicks at exact frames, as a scene: what the sound server tests and the benchmark play."""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np

RATE_HZ = 44_100
CLICK_S = 0.01


def click() -> np.ndarray:
    """Give one click whose first frame is its loudest: float32 (frames,)."""
    second = np.arange(int(CLICK_S * RATE_HZ)) / RATE_HZ
    return (0.8 * np.exp(-second / 0.002) * np.cos(2 * np.pi * 1000 * second)).astype(np.float32)


CLICK = click()


def beat_frames(tempo_bpm: int, beats: int) -> np.ndarray:
    """Give the frame of each beat from 0: the exact second times the rate, rounded half up."""
    return np.array([int(Fraction(60 * RATE_HZ * beat, tempo_bpm) + Fraction(1, 2)) for beat in range(beats)])


@dataclass(frozen=True, slots=True)
class Clicks:
    """So many beats of clicks from a frame of the stream on, then silence."""

    at_frame: int
    tempo_bpm: int
    beats: int

    def render(self, start_frame: int, frames: int) -> np.ndarray:
        """Give float32 (frames, 2)."""
        block = np.zeros((frames, 2), np.float32)
        for begins in beat_frames(self.tempo_bpm, self.beats) + self.at_frame - start_frame:
            first, last = max(begins, 0), min(begins + len(CLICK), frames)
            if first < last:
                block[first:last] += CLICK[first - begins : last - begins, np.newaxis]
        return block
