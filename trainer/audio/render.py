"""Adds placed sounds up into frames: a pure function of the frames asked for, so that any cutting gives the same.

A ceiling bends the sum. It leaves quiet samples as they are, lets none pass however many sounds meet, and looks at one
sample at a time, so that it does not matter where a block begins.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from trainer.audio.arrays import np
from trainer.audio.synth import Bank, Samples, Voice

KNEE: Final = 0.42
"""The ceiling does not change samples up to here."""

CEILING: Final = 0.53
"""No sample passes this: -5.5 dBFS, so that the curve between the samples, which swings higher, stays under -1 dBFS."""

BLOCK_FRAMES: Final = 8192


@dataclass(frozen=True, slots=True)
class PlacedSound:
    """One sound, the frame of the stream on which it begins, and a factor on its loudness."""

    at_frame: int
    voice: Voice
    gain: float = 1.0


def mix(placed: Iterable[PlacedSound], bank: Bank, start_frame: int, frames: int) -> Samples:
    """`frames` frames of the stream from `start_frame` on: float32 (frames, 2), each sample within ±CEILING.

    `placed` has to hold all sounds that begin after `start_frame - bank.longest_frames` and before the end; more do no
    harm. They are added in the order given: if it is the same for every block, each frame is the same to the bit,
    however the stream is cut.
    """
    out = np.zeros((frames, 2), np.float32)
    stop_frame = start_frame + frames
    reach = start_frame - bank.longest_frames
    for sound in placed:
        at = sound.at_frame
        if not reach < at < stop_frame:
            continue
        samples = bank[sound.voice]
        begin, end = max(at, start_frame), min(at + len(samples), stop_frame)
        if begin < end:
            part = samples[begin - at : end - at]
            out[begin - start_frame : end - start_frame] += part if sound.gain == 1.0 else part * np.float32(sound.gain)
    return under_ceiling(out)


def under_ceiling(frames: Samples) -> Samples:
    """Samples bent below CEILING: unchanged up to KNEE, from there on ever flatter, with no corner at the knee.

    Only + - * / are used: they round alike wherever a sample stands in an array.
    """
    size, knee, ceiling = np.abs(frames), np.float32(KNEE), np.float32(CEILING)
    if size.max(initial=np.float32(0.0)) <= knee:
        return frames
    over = np.maximum(size - knee, np.float32(0.0))
    room = ceiling - knee
    bent = knee + room * (over / (over + room))
    return np.where(size <= knee, frames, np.copysign(bent, frames))


def blocks(
    placed: Iterable[PlacedSound], bank: Bank, start_frame: int, stop_frame: int, block_frames: int = BLOCK_FRAMES
) -> Iterator[Samples]:
    """The stream from one frame to another, block by block, in constant memory; each as `mix` gives it.

    `placed` is read as it is needed and must be in the order of at_frame; raises ValueError if it is not.
    """
    coming = iter(placed)
    following = next(coming, None)
    sounding: list[PlacedSound] = []
    for start in range(start_frame, stop_frame, block_frames):
        stop = min(start + block_frames, stop_frame)
        sounding = [sound for sound in sounding if sound.at_frame + bank.longest_frames > start]
        while following is not None and following.at_frame < stop:
            sounding.append(following)
            earlier, following = following, next(coming, None)
            if following is not None and following.at_frame < earlier.at_frame:
                raise ValueError("Placed sounds were not in the order of their frames.")
        yield mix(sounding, bank, start, stop - start)
