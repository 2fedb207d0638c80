"""The command render: a file that other readers read, or one clear message and nothing changed on the disk."""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import wave
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from fractions import Fraction
from math import floor
from pathlib import Path
from typing import Any

import mido
import pytest
from scipy.io import wavfile

from trainer.commands import render
from trainer.files.places import Places, bundled

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


def test_the_list_of_events_is_as_promised(cli: Callable[..., Any], folder: Path) -> None:
    words = ("--beats", "2", "--count-in", "1", "--tempo", "100", "--kit", "kitchen", "--hear", "throws")
    out = cli("render", "31", "--out", str(folder / "x.wav"), "--json", *words)[1]
    names = ("at_frame", "beat", "kind", "voice", "juggler", "hand", "value")
    rows = [  # 26460 frames a beat; 3 is caught 3 - 4/3 beats later, 1 a third of a beat later
        (0, -1, "count-in", "count-in", 1, None, 0),
        (26460, 0, "round", None, 1, "R", 0),
        (26460, 0, "throw", "right", 1, "R", 3),
        (52920, 1, "throw", "zip", 1, "L", 1),
        (61740, "4/3", "catch", None, 1, "R", 1),
        (70560, "5/3", "catch", None, 1, "L", 3),
        (70560, "5/3", "goal", "flash", 1, None, 0),  # 2 objects, 2 catches
    ]
    assert out == json.dumps([dict(zip(names, row, strict=True)) for row in rows]) + "\n"


@pytest.mark.parametrize("ending", [".mid", ".vtt", ".srt", ".csv", ".json", ".WAV"])
def test_the_list_of_events_is_the_same_whatever_is_written(cli: Callable[..., Any], folder: Path, ending: str) -> None:
    words = ("--json", "--rounds", "3", "--count-in", "2", "--tempo", "171.3")
    lists = [cli("render", "<4p 3|3 4p>", "--out", str(folder / f"x{kind}"), *words) for kind in (".wav", ending)]
    assert lists[0] == lists[1]
    assert lists[0].status == 0
    assert len(json.loads(lists[0].out)) > 12


@pytest.mark.parametrize(("rate_hz", "bits"), [("48000", "16"), ("44100", "24"), ("48000", "24")])
def test_frames_are_exact_seconds_times_the_rate(
    cli: Callable[..., Any], folder: Path, rate_hz: str, bits: str
) -> None:
    path = folder / "x.wav"
    words = ("--json", "--beats", "9", "--count-in", "1", "--tempo", "171.3", "--rate", rate_hz, "--bits", bits)
    events = json.loads(cli("render", "531", "--out", str(path), *words).out)
    exact = [(Fraction(event["beat"]) + 1) * 60 / Fraction("171.3") * int(rate_hz) for event in events]
    assert [event["at_frame"] for event in events] == [floor(each + Fraction(1, 2)) for each in exact]
    assert wavfile.read(path)[0] == int(rate_hz)
    with wave.open(str(path)) as file:
        assert file.getsampwidth() * 8 == int(bits)


def test_catches_are_in_a_midi_file_unless_it_is_told_what_to_hear(cli: Callable[..., Any], folder: Path) -> None:
    def tracks(*words: str) -> set[str]:
        path = folder / "x.mid"
        assert cli("render", "3", "--out", str(path), "--force", "--beats", "9", *words).status == 0
        return {track.name for track in mido.MidiFile(path).tracks if any(m.type == "note_on" for m in track)}

    throws, catches = {"right hand", "left hand"}, {"right hand, catches", "left hand, catches"}
    assert tracks() >= throws | catches
    assert tracks("--hear", "throws") >= throws
    assert not tracks("--hear", "throws") & catches
    assert not tracks("--hear", "catches") & throws


@pytest.mark.parametrize("ending", [".wav", ".mid", ".vtt", ".srt", ".csv", ".json"])
@pytest.mark.parametrize("name", ["SIGTERM", "SIGINT", "SIGHUP"])
def test_a_signal_leaves_no_half_file(
    cli: Callable[..., Any], folder: Path, monkeypatch: pytest.MonkeyPatch, ending: str, name: str
) -> None:
    """A real signal to this process, the first time the render tells how far it is."""
    seen: list[str] = []

    @contextmanager
    def struck(_what: str) -> Iterator[Callable[[float], None]]:
        def strike(_share: float) -> None:
            seen.extend(everything_in(folder))
            os.kill(os.getpid(), getattr(signal, name))

        yield strike

    monkeypatch.setattr(render, "shown", struck)
    said = cli("render", "531", "--out", str(folder / f"x{ending}"))
    assert said == (2, "", "throwbeat: Stopped.\n")
    assert [each for each in seen if each.endswith(".part")]  # it was under way
    assert everything_in(folder) == {}


def test_a_sound_file_loads_no_library_it_does_not_need(folder: Path) -> None:
    program = (
        "import sys; from trainer.commands.line import main; "
        f"status = main(['render', '3', '--out', {str(folder / 'x.wav')!r}, '--beats', '3']); "
        "loaded = {name.split('.')[0] for name in sys.modules}; "
        "print(status, *sorted(loaded & {'mido', 'rich', 'textual', 'miniaudio'}))"
    )
    root = Path(__file__).parents[2]
    environ = {**os.environ, "PYTHONPATH": str(root), "THROWBEAT_HOME": str(folder / "home")}
    done = subprocess.run([sys.executable, "-c", program], env=environ, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "0"


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
    (("--bits", "8"), "choose one of 16, 24"),
    (("--bits", "16.0"), "choose one of 16, 24"),
    (("--rate", "22050"), "choose one of 44100, 48000"),
]


@pytest.mark.parametrize(("words", "says"), BAD)
def test_what_cannot_be_rendered_is_refused_before_a_file_is_touched(
    refused: Callable[..., str], folder: Path, words: tuple[str, ...], says: str
) -> None:
    path = folder / "x.wav"
    path.write_bytes(OLD)
    assert says in refused("render", "531", "--out", str(path), "--force", *words)
    assert everything_in(folder) == {"x.wav": OLD}


@pytest.mark.parametrize("name", ["x", "x.mp3", "x.wav.old", "wav"])
def test_an_unknown_ending_names_those_there_are(refused: Callable[..., str], folder: Path, name: str) -> None:
    message = refused("render", "531", "--out", str(folder / name), *SHORT)
    assert message.endswith("Choose one of .wav, .mid, .vtt, .srt, .csv, .json.")
    assert everything_in(folder) == {}


def test_bits_are_refused_for_a_file_without_samples(refused: Callable[..., str], folder: Path) -> None:
    assert "--bits" in refused("render", "531", "--out", str(folder / "x.mid"), "--bits", "24", *SHORT)
    assert everything_in(folder) == {}


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


def test_an_unreadable_settings_file_is_one_message_and_stays_as_it_was(
    refused: Callable[..., str], kept: Places, folder: Path
) -> None:
    kept.settings.mkdir()
    assert "settings.toml" in refused("render", "531", "--out", str(folder / "x.wav"), *SHORT)
    assert kept.settings.is_dir()
    assert everything_in(folder) == {}


def test_a_bounce_has_its_floor_hits_and_a_run_its_steps(cli: Callable[..., Any], folder: Path) -> None:
    for pattern, kind in (("3 lift bounce", "floor"), ("3 cascade on the run", "step")):
        said = cli("render", pattern, "--out", str(folder / f"{kind}.wav"), "--beats", "6", "--json")
        assert [event for event in json.loads(said.out) if event["kind"] == kind and event["voice"] == kind]
