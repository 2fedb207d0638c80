"""Prints how many times faster than real time sound is rendered, and that memory stays flat over an hour.

Run: python tests/bench/rendering.py. The passage: 5 objects at 172 beats/min, one throw and one catch a beat,
44.1 kHz stereo, each block turned into 16-bit numbers. Beside it a plain mixer that knows the whole length.
"""

import sys
import time
import tracemalloc
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from trainer.audio.kitfiles import load_kit
from trainer.audio.render import PlacedSound, blocks, mix
from trainer.audio.synth import Bank, Voice
from trainer.audio.wav import to_int16

RATE_HZ = 44_100
TEMPO_BPM = 172
SOUNDS = Path(__file__).parents[2] / "sounds"


def passage(seconds: int) -> Iterator[PlacedSound]:
    """One throw of value 5 a beat, right hand first, and one catch between two beats."""
    for beat in range(seconds * TEMPO_BPM // 60):
        hand, role = (("R", "right"), ("L", "left"))[beat % 2]
        yield PlacedSound(round(beat * 60 * RATE_HZ / TEMPO_BPM), Voice(role, 5, hand))
        yield PlacedSound(round((beat + 2 / 3) * 60 * RATE_HZ / TEMPO_BPM), Voice("catch", 5, hand))


def streamed(bank: Bank, seconds: int, block_frames: int) -> None:
    """What an export does."""
    for block in blocks(passage(seconds), bank, 0, seconds * RATE_HZ, block_frames):
        to_int16(block)


def live(bank: Bank, seconds: int, block_frames: int) -> None:
    """What the output's thread does: only the sounds that may reach into the block are looked up."""
    placed = list(passage(seconds))
    first = 0
    for start in range(0, seconds * RATE_HZ, block_frames):
        while first < len(placed) and placed[first].at_frame + bank.longest_frames <= start:
            first += 1
        last = first
        while last < len(placed) and placed[last].at_frame < start + block_frames:
            last += 1
        to_int16(mix(placed[first:last], bank, start, block_frames))


def naive(bank: Bank, seconds: int, _block_frames: int) -> None:
    """Everything into one array of the whole length, bent by a hyperbolic tangent."""
    out = np.zeros((seconds * RATE_HZ + bank.longest_frames, 2), np.float32)
    for sound in passage(seconds):
        samples = bank[sound.voice]
        out[sound.at_frame : sound.at_frame + len(samples)] += samples
    to_int16(np.tanh(out))


def main() -> None:
    """Print the table."""
    seconds = 600
    bank = Bank(load_kit(SOUNDS / "kitchen.toml"), RATE_HZ)
    streamed(bank, 1, 8192)  # the sounds are made once, before the clock starts
    rows = (
        ("streamed to a file, 8192 frames a block", streamed, 8192),
        ("live, 4410 frames a block", live, 4410),
        ("live, 1024 frames a block", live, 1024),
        ("naive, one array of 600 s", naive, 0),
    )
    print(f"5 objects with catches, {TEMPO_BPM} beats/min, {RATE_HZ} Hz stereo, to 16 bits, one core, best of 3")
    for name, render, block_frames in rows:
        best_s = min(timed(render, bank, seconds, block_frames) for _ in range(3))
        print(f"  {name:42} {seconds / best_s:7.0f} x real time")
    print("Most memory while rendering")
    for seconds in (60, 3600):
        tracemalloc.start()
        streamed(bank, seconds, 8192)
        print(f"  {seconds:5} s of sound {tracemalloc.get_traced_memory()[1] / 1e6:6.2f} MB")
        tracemalloc.stop()


def timed(render: Callable[[Bank, int, int], object], bank: Bank, seconds: int, block_frames: int) -> float:
    """Seconds of processor time of one rendering."""
    began = time.process_time()
    render(bank, seconds, block_frames)
    return time.process_time() - began


if __name__ == "__main__":
    main()
