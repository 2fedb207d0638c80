"""The command render: a file that other readers read, or one clear message and nothing changed on the disk."""

from __future__ import annotations

import json
import resource
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from scipy.io import wavfile

from trainer.places import Places, bundled

SHORT = ("--beats", "3", "--count-in", "0", "--tempo", "600")
OLD = b"what stood there before"


def everything_in(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "out"
    folder.mkdir()
    return folder


@contextmanager
def disk_full_after(size: int) -> Iterator[None]:
    """No file may grow beyond `size` bytes: writing fails as on a full disk (with EFBIG instead of ENOSPC)."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_another_reader_reads_the_file(cli: Callable[..., Any], folder: Path) -> None:
    path = folder / "531.wav"
    status, out, err = cli("render", "531", "--out", str(path), *SHORT)
    assert (status, err) == (0, "")
    assert out == f"{path}: 531, 0.3 s after 0 beats of count-in.\n"
    rate_hz, samples = wavfile.read(path)
    assert rate_hz == 44100
    assert samples.dtype == "int16"
    assert samples.shape[1] == 2
    assert len(samples) >= 0.3 * 44100


def test_events_as_json_say_where_each_throw_is(cli: Callable[..., Any], folder: Path) -> None:
    path = folder / "3.wav"
    words = ("render", "3", "--out", str(path), "--json", "--beats", "4", "--count-in", "2", "--tempo", "120")
    events = json.loads(cli(*words)[1])
    throws = [event["at_frame"] for event in events if event["kind"] == "throw"]
    assert throws == [44100, 66150, 88200, 110250]  # 120 a minute: half a second apart, after two beats


BAD = [
    # options after the pattern, what the message says
    (("--tempo", "0"), "A tempo of 0"),
    (("--tempo=-1",), "A tempo of -1"),
    (("--tempo", "1e9"), "A tempo of 1000000000"),
    (("--tempo", "nan"), "“nan” was given as a tempo"),
    (("--dwell", "0"), "A dwell ratio of 0"),
    (("--dwell", "1"), "A dwell ratio of 1"),
    (("--dwell", "2"), "A dwell ratio of 2"),
    (("--seconds", "0"), "The length came to 0 s"),
    (("--seconds", "1e12"), "choose one above 0, up to 6 hours"),
    (("--beats", "-3"), "choose one above 0"),
    (("--beats=nan",), "“nan” was given as a number of beats"),
    (("--beats", "2", "--rounds", "2"), "not allowed with"),
    (("--count-in", "65"), "a whole number from 0 to 64"),
    (("--count-in", "1.5"), "a whole number from 0 to 64"),
    (("--kit", "nope"), 'There was no kit "nope"'),
    (("--kit", "../kitchen"), "There was no kit"),
    (("--hear", "colours"), "colours"),
]


@pytest.mark.parametrize(("words", "says"), BAD)
def test_what_cannot_be_rendered_is_refused_before_a_file_is_touched(
    refused: Callable[..., str], folder: Path, words: tuple[str, ...], says: str
) -> None:
    path = folder / "x.wav"
    path.write_bytes(OLD)
    assert says in refused("render", "531", "--out", str(path), "--force", *words)
    assert everything_in(folder) == {"x.wav": OLD}


def test_a_file_that_is_there_stays_unless_told_otherwise(
    cli: Callable[..., Any], refused: Callable[..., str], folder: Path
) -> None:
    path = folder / "x.wav"
    path.write_bytes(OLD)
    assert str(path) in refused("render", "531", "--out", str(path), *SHORT)
    assert everything_in(folder) == {"x.wav": OLD}
    assert cli("render", "531", "--out", str(path), "--force", *SHORT)[0] == 0
    assert path.read_bytes()[:4] == b"RIFF"


@pytest.mark.parametrize("name", [".", "", "missing/x.wav", "file/x.wav", "x\0.wav", "x" * 300])
def test_a_place_no_file_can_be_written_to_is_refused(refused: Callable[..., str], folder: Path, name: str) -> None:
    (folder / "file").write_bytes(OLD)
    target = str(folder / name) if name else ""
    refused("render", "531", "--out", target, "--force", *SHORT)
    assert everything_in(folder) == {"file": OLD}


@pytest.mark.parametrize("size", [0, 20, 44, 30_000])
def test_a_full_disk_loses_nothing(refused: Callable[..., str], folder: Path, size: int) -> None:
    path = folder / "x.wav"
    path.write_bytes(OLD)
    with disk_full_after(size):
        refused("render", "531", "--out", str(path), "--force", *SHORT)
    assert everything_in(folder) == {"x.wav": OLD}


def test_a_kit_with_a_missing_field_is_named_with_file_and_line(
    refused: Callable[..., str], folder: Path, kept: Places
) -> None:
    kept.sounds.mkdir()
    lines = (bundled("sounds") / "kitchen.toml").read_text(encoding="utf-8").splitlines()
    lines = ['name = "mine"' if line.startswith("name") else line for line in lines]
    place = lines.index("[roles.left]")
    del lines[next(row for row in range(place, len(lines)) if lines[row].startswith("pitch_hz"))]
    (kept.sounds / "mine.toml").write_text("\n".join(lines), encoding="utf-8")
    message = refused("render", "531", "--out", str(folder / "x.wav"), "--kit", "mine")
    assert message.startswith(f"{kept.sounds / 'mine.toml'}:{place + 1}: roles.left.pitch_hz: ")
    assert everything_in(folder) == {}


def test_a_broken_settings_file_stops_nothing_and_stays_as_it_was(
    cli: Callable[..., Any], kept: Places, folder: Path
) -> None:
    kept.settings.mkdir()
    assert cli("render", "531", "--out", str(folder / "x.wav"), *SHORT)[0] == 0
    assert kept.settings.is_dir()
