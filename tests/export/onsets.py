"""Finds every onset of a rendered WAV file again, told nothing of when anything should sound.

The file is read by scipy and walked from its start: the first frame that differs from what the sounds found so far
add up to is an onset; which sounds begin there is found by least squares without negative amounts (scipy's nnls)
over the first milliseconds of each sound of the kit; they are taken away, and the walk goes on. Were one sound a
frame off, missing or doubled, what is left over would show it.
"""

from __future__ import annotations

import wave
from collections.abc import Iterable, Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.io import wavfile
from scipy.optimize import nnls

from trainer.audio.render import CEILING, KNEE
from trainer.audio.synth import Bank, Voice

FIT_FRAMES = 500  # 11 ms: enough to tell two sounds of a kit apart
BLOCK_FRAMES = 16_384
FULL_SCALE = {"int16": 32_767.0, "int32": 8_388_607.0 * 256.0}  # scipy gives 24 bits as the upper ones of 32
STEP = {"int16": 1 / 32_767, "int32": 1 / 8_388_607}


class Unexplained(AssertionError):
    """Something sounds that no sound of the kit accounts for."""


class Walk:
    """A file being walked through; `onsets()` gives (frame, how many sounds begin there)."""

    def __init__(self, path: Path, bank: Bank, voices: Iterable[Voice]) -> None:
        with wave.open(str(path)) as file:
            sixteen = file.getsampwidth() == 2  # scipy can leave only these on the disk until they are looked at
        self.rate_hz, self.samples = wavfile.read(path, mmap=sixteen)
        heard = [bank[voice] for voice in dict.fromkeys(voices)]
        unlike = {sound.tobytes(): sound for sound in heard if len(sound)}
        self.sounds: list[NDArray[np.float64]] = [sound.astype(np.float64) for sound in unlike.values()]
        begins = [np.pad(sound[:FIT_FRAMES], ((0, max(0, FIT_FRAMES - len(sound))), (0, 0))) for sound in self.sounds]
        self.begins = np.stack([begin.ravel() for begin in begins], axis=1)
        self.active: list[tuple[int, NDArray[np.float64]]] = []

    def onsets(self) -> Iterator[tuple[int, int]]:
        for start in range(0, len(self.samples), BLOCK_FRAMES):
            stop = min(start + BLOCK_FRAMES, len(self.samples))
            left, allowed = self._left_over(start, min(stop + FIT_FRAMES, len(self.samples)))
            at = 0
            while at < stop - start:
                found = np.flatnonzero((np.abs(left[at : stop - start]) > allowed[at : stop - start]).any(axis=1))
                if not len(found):
                    break
                at += int(found[0])
                begun = self._begun(start + at, left[at:], allowed[at:])
                for sound in begun:
                    part = sound[: len(left) - at]
                    left[at : at + len(part)] -= part
                    self.active.append((start + at, sound))
                yield start + at, len(begun)
                at += 1

    def _left_over(self, start: int, stop: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """What the sounds found so far don't account for, and how much of it may be rounding."""
        kind = self.samples.dtype.name
        heard = self.samples[start:stop].astype(np.float64) / FULL_SCALE[kind]
        size, room = np.abs(heard), float(CEILING - KNEE)
        over = np.clip(size - float(KNEE), 0.0, room * 0.999)
        straight = np.where(size <= KNEE, size, float(KNEE) + room * over / (room - over))  # undo the ceiling's bend
        left = np.copysign(straight, heard)
        self.active = [(at, sound) for at, sound in self.active if at + len(sound) > start]
        for at, sound in self.active:
            begin, end = max(at, start), min(at + len(sound), stop)
            left[begin - start : end - start] -= sound[begin - at : end - at]
        return left, (1.5 * STEP[kind] + 1e-6) * (room / (room - over)) ** 2

    def _begun(self, frame: int, left: NDArray[np.float64], allowed: NDArray[np.float64]) -> list[NDArray[np.float64]]:
        """The sounds that begin at a frame; Unexplained unless together they are what is heard there."""
        heard, allowed = left[:FIT_FRAMES].ravel(), allowed[:FIT_FRAMES].ravel()
        weight = 1.0 / allowed
        columns = self.begins[: len(heard)]
        amounts, _ = nnls(columns * weight[:, np.newaxis], heard * weight)
        counts = np.rint(amounts).astype(int)
        rest = np.abs(heard - columns @ counts) / allowed
        if not counts.any() or rest.max() > 1.5:
            raise Unexplained(f"At frame {frame} began {amounts.round(3)} of the sounds; left over {rest.max():.1f}.")
        return [sound for sound, count in zip(self.sounds, counts, strict=True) for _ in range(count)]
