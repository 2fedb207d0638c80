"""The kinds of file a passage can be written as, told by the ending of their name."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from trainer.audio.render import PlacedSound, blocks
from trainer.audio.wav import Depth, open_wav
from trainer.errors import TrainerError
from trainer.export.captions import write_srt, write_vtt
from trainer.export.passage import Passage, Tell, untold
from trainer.export.tables import write_csv, write_json
from trainer.files.whole import Existing


def _write_wav(path: Path, passage: Passage, depth: Depth, existing: Existing, tell: Tell) -> None:
    """Stereo PCM, block by block, to the end of the last beat, and on until the last sound has rung out."""
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


def _write_midi(path: Path, passage: Passage, existing: Existing, tell: Tell) -> None:
    from trainer.export.midi import write_midi  # its library takes a while to load

    write_midi(path, passage, existing, tell)


SOUND, NOTES = ".wav", ".mid"
WRITERS: Final = {NOTES: _write_midi, ".vtt": write_vtt, ".srt": write_srt, ".csv": write_csv, ".json": write_json}
"""Ending, in small letters → what writes such a file; a sound needs a depth too."""

ENDINGS: Final = (SOUND, *WRITERS)
RATES_HZ: Final = (44_100, 48_000)


def path_to_ending(path: Path) -> str:
    """The ending that says what to write; TrainerError, naming the endings there are, for any other."""
    ending = path.suffix.lower()
    if path.is_dir():
        raise TrainerError(f"{path} was a folder. Name a file.")
    if ending not in ENDINGS:
        known = ", ".join(ENDINGS)
        was = f"“{path.suffix}”, which is none that can be written" if path.suffix else "missing"
        raise TrainerError(f"The ending of {str(path)!r} was {was}. Choose one of {known}.")
    return ending


def write_handout(path: Path, passage: Passage, depth: Depth, existing: Existing, tell: Tell = untold) -> None:
    """Write the kind of file that the ending of `path` asks for; depth is that of a WAV file.

    TrainerError for an ending there is none, a file that is there and not to be replaced, or a path or disk that
    can't be written. Whatever ends it early, no half file is left and what was there before stays.
    """
    ending = path_to_ending(path)
    if ending == SOUND:
        _write_wav(path, passage, depth, existing, tell)
    else:
        WRITERS[ending](path, passage, existing, tell)
