"""Adds placed sounds up into frames: a pure function of the frames asked for, so any cutting gives the same.

The sum is bent by a ceiling that leaves quiet sound untouched, looks at one sample at a time (it has no memory
that a cut could disturb) and is never passed, however many sounds meet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from trainer.audio.arrays import np
from trainer.audio.synth import Bank, Voice

if TYPE_CHECKING:
    from numpy.typing import NDArray

KNEE: Final = 0.42
"""Samples up to here leave the ceiling as they came."""

CEILING: Final = 0.53
"""No sample passes this: -5.5 dBFS, so that what swings higher between the samples stays under -1 dBFS."""

BLOCK_FRAMES: Final = 8192


@dataclass(frozen=True, slots=True)
class Placed:
    """One sound and the frame of the stream its first frame falls on."""

    at_frame: int
    voice: Voice
    gain: float = 1.0


def mix(placed: Iterable[Placed], bank: Bank, start_frame: int, frames: int) -> NDArray[np.float32]:
    """The `frames` frames of the stream from `start_frame`: float32 (frames, 2), each sample within ±CEILING.

    `placed` needs all sounds that begin from `start_frame - bank.longest_frames` on and before the end; more do
    no harm. They are added in the order given: keep it the same for every block, and each frame is the same to
    the bit however the stream is cut.
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


def under_ceiling(frames: NDArray[np.float32]) -> NDArray[np.float32]:
    """Samples bent below CEILING: unchanged up to KNEE, then ever flatter (slope 1 at the knee, no corner).

    Only + - * / are used: these round alike wherever a sample stands in an array.
    """
    size, knee, ceiling = np.abs(frames), np.float32(KNEE), np.float32(CEILING)
    if size.max(initial=np.float32(0.0)) <= knee:
        return frames
    over = np.maximum(size - knee, np.float32(0.0))
    room = ceiling - knee
    bent = knee + room * (over / (over + room))
    return np.where(size <= knee, frames, np.copysign(bent, frames))


def blocks(
    placed: Iterable[Placed], bank: Bank, start_frame: int, stop_frame: int, block_frames: int = BLOCK_FRAMES
) -> Iterator[NDArray[np.float32]]:
    """The stream from one frame to another, block by block, in constant memory.

    `placed` is read as it is needed and must be in order of at_frame; ValueError if it is not.
    """
    coming = iter(placed)
    following = next(coming, None)
    sounding: list[Placed] = []
    for start in range(start_frame, stop_frame, block_frames):
        stop = min(start + block_frames, stop_frame)
        sounding = [sound for sound in sounding if sound.at_frame + bank.longest_frames > start]
        while following is not None and following.at_frame < stop:
            sounding.append(following)
            earlier, following = following, next(coming, None)
            if following is not None and following.at_frame < earlier.at_frame:
                raise ValueError("Placed sounds were not in the order of their frames.")
        yield mix(sounding, bank, start, stop - start)
