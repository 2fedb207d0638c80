"""Writes a passage as sound: stereo PCM in a WAV file, block by block, in constant memory."""

from __future__ import annotations

from pathlib import Path

from trainer.audio.render import PlacedSound, blocks
from trainer.audio.wav import Depth, open_wav
from trainer.export.passage import Passage, Tell, untold
from trainer.files.whole import Existing


def write_wav(path: Path, passage: Passage, depth: Depth, existing: Existing, tell: Tell = untold) -> None:
    """The passage to the end of its last beat, and on until the last sound has rung out; errors as in open_wav."""
    bank = passage.performance.bank
    stop_frame = passage.stop_frame
    heard = (
        PlacedSound(placed.at_frame, placed.voice, placed.gain)
        for placed in passage.placed_events()
        if placed.voice is not None
    )
    with open_wav(path, bank.rate_hz, depth, existing) as file:
        for block in blocks(heard, bank, 0, stop_frame):
            file.write(block)
            tell(file.frames / stop_frame)
