"""Writes stereo PCM WAV files that are either whole or not there, and reads the short recordings of a kit."""

from __future__ import annotations

import struct
import sys
import wave
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, Final, cast

from trainer.audio.arrays import np
from trainer.errors import TrainerError
from trainer.files.checks import Wrong
from trainer.files.ordinary import RECORDING_BYTES, Missing, read_ordinary
from trainer.files.whole import Existing, open_whole

if TYPE_CHECKING:
    from numpy.typing import NDArray

CHANNELS: Final = 2
MOST_DATA_BYTES: Final = 2**32 - 44  # the sizes in a WAV file are 32-bit numbers, one of them of all but 8 bytes
RATES_HZ: Final = (8_000, 192_000)  # of recordings
WIDTHS: Final = range(1, 5)  # bytes of a sample

KIND: Final = struct.Struct("<HHIIHH")
"""The piece “fmt ”: what the samples are, channels, frames a second, two more, bits of a sample.

Source: IBM and Microsoft, Multimedia Programming Interface and Data Specifications 1.0, 1991, "WAVE"."""

PCM: Final = 1
PCM_BY_NAME: Final = bytes.fromhex("0100000000001000800000aa00389b71")
"""How a file of the newer kind says PCM, in a longer “fmt ”. Source: Microsoft, Multiple Channel Audio Data, 2001."""

MOST_PIECES: Final = 1000
"""A file of many more, each of no length, would take long to walk through."""


class Depth(IntEnum):
    """The bits of a sample."""

    BITS_16 = 16
    BITS_24 = 24


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """A sound of the user's own: samples are float32 (frames, 2) from -1 to 1, mono on both sides alike."""

    rate_hz: int
    samples: NDArray[np.float32]


class WavWriter:
    """Takes blocks of float32 (frames, 2) from -1 to 1 and writes them as whole numbers, rounded."""

    def __init__(self, file: wave.Wave_write, rate_hz: int, depth: Depth) -> None:
        self._file = file
        self._to_samples = to_int16_bytes if depth is Depth.BITS_16 else to_int24_bytes
        self._most_frames = MOST_DATA_BYTES // (CHANNELS * depth // 8)
        file.setparams((CHANNELS, depth // 8, rate_hz, 0, "NONE", ""))

    @property
    def frames(self) -> int:
        """How many frames were written so far."""
        return self._file.tell()

    def write(self, frames: NDArray[np.float32]) -> None:
        """Append a block; TrainerError if the disk refuses it or the file would pass the 4 GiB that WAV allows."""
        if self.frames + len(frames) > self._most_frames:
            raise TrainerError("The sound was longer than a WAV file of 4 GiB holds. Render a shorter one.")
        self._file.writeframesraw(self._to_samples(frames))


def to_int16(frames: NDArray[np.float32]) -> NDArray[np.int16]:
    """Frames from -1 to 1 as 16-bit numbers, rounded to the nearest; what lies beyond is held at the edge."""
    whole: NDArray[np.int16] = np.rint(np.clip(frames, -1.0, 1.0) * np.float32(32767.0)).astype(np.int16)
    return whole


def to_int16_bytes(frames: NDArray[np.float32]) -> bytes:
    """`to_int16` as bytes in this machine's order, which `wave` turns into the file's."""
    return to_int16(frames).tobytes()


def to_int24_bytes(frames: NDArray[np.float32]) -> bytes:
    """Frames from -1 to 1 as packed 24-bit numbers in this machine's order, rounded and held at the edge likewise."""
    whole = np.rint(np.clip(frames, -1.0, 1.0).astype(np.float64) * 8_388_607.0).astype(np.int32)
    first = 0 if sys.byteorder == "little" else 1
    return np.ascontiguousarray(whole).view(np.uint8).reshape(-1, 4)[:, first : first + 3].tobytes()


@contextmanager
def open_wav(
    path: Path, rate_hz: int, depth: Depth = Depth.BITS_16, existing: Existing = Existing.REFUSE
) -> Iterator[WavWriter]:
    """A writer whose file appears under its name only when the block is left without an error, as by open_whole."""
    with open_whole(path, existing) as whole, wave.open(cast(BinaryIO, whole), "wb") as file:
        yield WavWriter(file, rate_hz, depth)


def read_wav(path: Path, longest_s: float) -> Recording:
    """A WAV file of 8, 16, 24 or 32-bit PCM, one or two channels; TrainerError if it is anything else."""
    try:
        content = read_ordinary(path, RECORDING_BYTES)
    except Missing:
        raise TrainerError(f"{path} was not a file.") from None
    except Wrong as wrong:
        raise TrainerError(f"{path}: {wrong}") from None
    pieces = _pieces(content)
    kind, pcm = pieces.get(b"fmt ", b""), pieces.get(b"data")
    if len(kind) < KIND.size or pcm is None:
        raise TrainerError(f"{path} was no plain PCM WAV file.")
    tag, channels, rate_hz, _, _, bits = KIND.unpack_from(kind)
    width = (bits + 7) // 8
    if tag != PCM and kind[24:40] != PCM_BY_NAME:
        raise TrainerError(f"{path} was no plain PCM WAV file.")
    if channels not in (1, CHANNELS):
        raise TrainerError(f"{path} had {channels} channels. Save it with one or two.")
    if not RATES_HZ[0] <= rate_hz <= RATES_HZ[1]:
        raise TrainerError(f"{path} had {rate_hz} frames a second. Save it with 44100 or 48000.")
    if width not in WIDTHS:
        raise TrainerError(f"{path} had samples of {bits} bits. Save it with 16 or 24.")
    frames = len(pcm) // (channels * width)  # a cut-off file may end within a frame
    if frames > longest_s * rate_hz:
        raise TrainerError(f"{path} was {frames / rate_hz:.1f} s long. Cut it to {longest_s:g} s.")
    samples = _from_pcm(pcm[: frames * channels * width], width).reshape(-1, channels)
    if not samples.any():
        raise TrainerError(f"{path} had no sound in it.")
    return Recording(rate_hz, np.ascontiguousarray(np.broadcast_to(samples, (len(samples), CHANNELS))))


def _pieces(content: bytes) -> dict[bytes, bytes]:
    """The pieces of a WAV file by their names, of one name the first; none for another file."""
    found: dict[bytes, bytes] = {}
    at = 12 if content[:4] == b"RIFF" and content[8:12] == b"WAVE" else len(content)
    for _ in range(MOST_PIECES):
        if at >= len(content):
            break
        name, size = content[at : at + 4], int.from_bytes(content[at + 4 : at + 8], "little")
        found.setdefault(name, content[at + 8 : at + 8 + size])
        at += 8 + size + size % 2
    return found


def _from_pcm(content: bytes, width: int) -> NDArray[np.float32]:
    """PCM bytes as float32 from -1 to 1; 8-bit samples are unsigned, wider ones signed and little-endian."""
    if width == 1:
        return ((np.frombuffer(content, np.uint8).astype(np.float32) - 128.0) / 128.0).astype(np.float32)
    padded = np.zeros((len(content) // width, 4), np.uint8)
    padded[:, 4 - width :] = np.frombuffer(content, np.uint8).reshape(-1, width)
    return (padded.view("<i4")[:, 0] / 2.0**31).astype(np.float32)
