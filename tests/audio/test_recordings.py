"""Recordings in a kit that are none, or that try the patience of whoever reads them: one clear message each."""

from __future__ import annotations

import os
import random
import resource
import struct
import sys
import time
import wave
from pathlib import Path

import pytest

from trainer.audio.kitfiles import load_kit
from trainer.audio.wav import read_wav
from trainer.errors import TrainerError
from trainer.files.places import bundled
from trainer.files.toml import DataError

LONGEST_S = 5
FIELDS = {4: "I", 16: "I", 20: "H", 22: "H", 24: "I", 28: "I", 32: "H", 34: "H", 40: "I"}
"""Where the numbers of the header stand, and how wide they are.

Source: IBM and Microsoft, Multimedia Programming Interface and Data Specifications 1.0, 1991, "WAVE"."""

ODD_NUMBERS = (0, 1, 2, 3, 5, 8, 16, 24, 32, 33, 40, 64, 255, 256, 0x7FFF, 0x8000, 0xFFFE, 0xFFFF)


def sound(path: Path, seconds: float = 0.02, rate_hz: int = 44_100) -> bytes:
    with wave.open(str(path), "wb") as file:
        file.setparams((2, 2, rate_hz, 0, "NONE", ""))
        file.writeframes(struct.pack("<hh", 1000, -1000) * round(seconds * rate_hz))
    return path.read_bytes()


def mutated(whole: bytes, chance: random.Random) -> bytes:
    """A header with a number replaced, a byte changed, a piece doubled, or all of it cut off somewhere."""
    content = bytearray(whole)
    for _ in range(chance.randint(1, 4)):
        match chance.randrange(4):
            case 0:
                at, kind = chance.choice(list(FIELDS.items()))
                number = chance.choice((*ODD_NUMBERS, chance.getrandbits(32), 2**31, 2**32 - 1, len(content)))
                content[at : at + struct.calcsize(kind)] = struct.pack("<I", number)[: struct.calcsize(kind)]
            case 1:
                content[chance.randrange(min(64, len(content)))] = chance.randrange(256)
            case 2:
                at = chance.randrange(min(64, len(content)))
                content[at:at] = content[at : at + chance.randrange(1, 32)]
            case 3:
                del content[chance.randrange(12, len(content)) :]
    return bytes(content)


def test_mutated_headers_are_read_or_refused_with_one_message(tmp_path: Path) -> None:
    whole = sound(tmp_path / "whole.wav")
    path, chance = tmp_path / "mutated.wav", random.Random(2026)
    read, refused, slowest_s = 0, [], 0.0
    with path.open("wb", buffering=0) as file:
        for _ in range(5000):
            file.seek(0)
            file.truncate(file.write(mutated(whole, chance)))
            began_s = time.process_time()
            try:
                recording = read_wav(path, LONGEST_S)
            except TrainerError as error:
                refused.append(str(error))
            else:
                read += 1
                assert recording.samples.shape[1] == 2
                assert abs(recording.samples).max() <= 1
            slowest_s = max(slowest_s, time.process_time() - began_s)
    assert read > 500
    assert len(refused) > 500
    assert [said for said in refused if not (said.startswith(str(path)) and said.isprintable())] == []
    assert slowest_s < 1


KIT = (bundled("sounds") / "kitchen.toml").read_text(encoding="utf-8")


def with_file(file: str) -> str:
    """A kit whose throws of the right hand play `file`."""
    head, rest = KIT.split("[roles.right]\n")
    return f'{head}[roles.right]\nfile = "{file}"\nlevel_db = 0\n[roles.left]{rest.split("[roles.left]")[1]}'


def refusal(folder: Path, file: str) -> str:
    """The message for a kit in `folder` with a file; it begins with the line."""
    (folder / "mine.toml").write_text(with_file(file))
    with pytest.raises(DataError) as caught:
        load_kit(folder / "mine.toml")
    said = str(caught.value)
    assert said.startswith(f"{folder / 'mine.toml'}:")
    assert ": roles.right.file: " in said
    assert said.isprintable()
    return said


@pytest.mark.skipif(sys.platform == "win32", reason="links and pipes of another kind")
def test_what_is_no_recording_is_refused_with_one_message(tmp_path: Path) -> None:
    (tmp_path / "text.wav").write_text("none\n" * 100)
    (tmp_path / "empty.wav").touch()
    (tmp_path / "folder.wav").mkdir()
    os.mkfifo(tmp_path / "pipe.wav")
    (tmp_path / "link.wav").symlink_to(tmp_path / "pipe.wav")
    (tmp_path / "zero.wav").symlink_to("/dev/zero")
    (tmp_path / "round.wav").symlink_to(tmp_path / "round.wav")
    (tmp_path / "nowhere.wav").symlink_to(tmp_path / "none.wav")
    with (tmp_path / "large.wav").open("wb") as file:
        file.truncate(10**11)  # a hole: it takes no room
    for file_name, says in {
        "text.wav": "was no plain PCM WAV file",
        "empty.wav": "was no plain PCM WAV file",
        "folder.wav": "This was a folder, not a file.",
        "pipe.wav": "This was not an ordinary file.",
        "link.wav": "This was not an ordinary file.",
        "zero.wav": "This was not an ordinary file.",
        "round.wav": "Too many levels of symbolic links",
        "nowhere.wav": "was not a file",
        "large.wav": "The file was larger than 16,000 kB.",
        "/dev/zero": "This was not an ordinary file.",
        "/dev/stdin": "This was not an ordinary file.",
        "/etc": "This was a folder, not a file.",
        "../../../../../../../../../../../../etc/passwd": "was no plain PCM WAV file",
        "..": "This was a folder, not a file.",
        "n" * 300: "File name too long",
        "a\\u0000b": "control character",
        "a\\u001b[31m.wav": "control character",
        "\\u202evaw.x": "can't be seen (U+202E)",
    }.items():
        assert says in refusal(tmp_path, file_name), file_name


def test_a_recording_of_another_folder_is_played(tmp_path: Path) -> None:
    """A kit may have its sounds beside its folder, or anywhere on the machine."""
    (tmp_path / "kits").mkdir()
    sound(tmp_path / "one.wav")
    for name in ("../one.wav", str(tmp_path / "one.wav")):
        (tmp_path / "kits" / "mine.toml").write_text(with_file(name))
        assert "right" in load_kit(tmp_path / "kits" / "mine.toml").sounds


def test_a_file_of_nothing_but_tiny_pieces_is_no_hang(tmp_path: Path) -> None:
    path = tmp_path / "pieces.wav"
    path.write_bytes(b"RIFF" + struct.pack("<I", 15_000_000) + b"WAVE" + b"junk\0\0\0\0" * 1_800_000)
    began_s = time.process_time()
    with pytest.raises(TrainerError, match="was no plain PCM WAV file"):
        read_wav(path, LONGEST_S)
    assert time.process_time() - began_s < 2


def test_recordings_that_fill_the_memory_are_refused(tmp_path: Path) -> None:
    """60 of 5 s at 192,000 frames a second would take 460 MB."""
    sound(tmp_path / "0.wav", 5, 192_000)
    for number in range(1, 60):
        (tmp_path / f"{number}.wav").hardlink_to(tmp_path / "0.wav")
    text = "".join(f'[[numbers]]\nfile = "{number}.wav"\nlevel_db = 0\n' for number in range(60))
    (tmp_path / "mine.toml").write_text(KIT + text)
    with pytest.raises(DataError, match=r"numbers\[27\].file: The recordings came to more than 200 MB. Shorten them."):
        load_kit(tmp_path / "mine.toml")


def test_one_long_recording_named_200_times_is_read_once(tmp_path: Path) -> None:
    """200 recordings of 5 s would take 770 MB."""
    sound(tmp_path / "long.wav", 5, 96_000)
    numbers = '[[numbers]]\nfile = "long.wav"\nlevel_db = 0\n'
    (tmp_path / "mine.toml").write_text(KIT + numbers * 200)
    before_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    kit = load_kit(tmp_path / "mine.toml")
    assert len(kit.numbers) == 200
    assert len({id(each.recording) for each in kit.numbers}) == 1
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before_kb < 100_000
    (tmp_path / "mine.toml").write_text(KIT + numbers * 201)
    with pytest.raises(DataError, match=r"There were 201 numbers. Give at most 200."):
        load_kit(tmp_path / "mine.toml")
