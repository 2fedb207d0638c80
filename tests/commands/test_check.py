"""The command check: what it finds here, what it asks for, and that nothing it meets ends in a traceback."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from typing import Any

import mido
import pytest

from tests.bundled import LIBRARY
from tests.keys import midi
from trainer.audio import holding
from trainer.audio.holding import Held
from trainer.audio.outputs import choice
from trainer.audio.outputs.choice import ProbeResult
from trainer.commands.check import Finding, Verdict, beat_finding, shortened, terminal_finding, to_lines
from trainer.files.places import Places, bundled
from trainer.library import reading
from trainer.library.catalogue import Library
from trainer.logbook.opening import backup_folder, backups
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, Ended

ALSA = """\
ALSA lib confmisc.c:855:(parse_card) cannot find card '0'
ALSA lib conf.c:5180:(_snd_config_evaluate) function snd_func_card_inum returned error: No such file or directory
ALSA lib pcm.c:2666:(snd_pcm_open_noupdate) Unknown PCM default"""
WORKS = ProbeResult("miniaudio", True, "", "", 70.0, "PulseAudio: Hall", "")
NO_DEVICE = ProbeResult("miniaudio", False, "No sound device could be opened.", "Switch one on.", 0.0, "", ALSA)
SECOND = ProbeResult("simpleaudio", True, "", "", 0.0, "the system's default device", "")
NO_SECOND = ProbeResult("simpleaudio", False, "The library could not be loaded.", "Install it.", 0.0, "", "")
TRY = Attempt(
    session_id=1, started_at=datetime(2026, 3, 1, 18, 5, tzinfo=UTC), pattern="531", objects=3, tempo=Fraction(180),
    dwell=Fraction(2, 3), flash_at=3, qualify_at=6, catches=4, seconds=2.5, ended=Ended.DROP,
)  # fmt: skip
VALID = Path(__file__).parents[1] / "data" / "valid" / "patterns"
SILENT = ProbeResult("silent", True, "", "", 0.0, "no device", "")


@pytest.fixture
def probed(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Say what probing the outputs gives: no test opens a device."""

    def give(*results: ProbeResult) -> None:
        monkeypatch.setattr(choice, "probe_outputs", lambda: (*results, SILENT))

    give(WORKS, NO_SECOND)
    return give


Checked = Callable[[], tuple[int, dict[str, str], str]]


@pytest.fixture
def library_read_once(kept: Places, monkeypatch: pytest.MonkeyPatch) -> None:
    """Spare the reading of the library that comes with the trainer, as long as there are no patterns of one's own."""

    def read(folders: Sequence[Path]) -> Library:
        return reading_library(folders) if os.path.lexists(kept.patterns) else LIBRARY

    reading_library = reading.read_library
    monkeypatch.setattr(reading, "read_library", read)


@pytest.fixture
def check(cli: Callable[..., Any], probed: object, library_read_once: None) -> Checked:
    """Run the check: status, all text of each thing by its name, and the last line."""

    def run() -> tuple[int, dict[str, str], str]:
        status, out, err = cli("check")
        assert err == ""
        assert "Traceback" not in out
        *lines, blank, last = out.splitlines()
        assert blank == ""
        things: dict[str, str] = {}
        thing = ""
        for line in lines:
            thing = line[:13].strip() or thing
            things[thing] = f"{things.get(thing, '')} {line[13:].strip()}".strip()
        return status, things, last

    return run


def test_a_fresh_home_needs_nothing(check: Checked, kept: Places) -> None:
    status, things, last = check()
    assert (status, last) == (0, "All is well.")
    assert list(things) == ["Python", "terminal", "settings", "pedal", "kits", "library", "plans", "logbook", "sound"]
    assert all(text.startswith(("ok ", "note ")) for text in things.values())
    assert "the key SPACE" in things["pedal"]
    assert "kitchen" in things["kits"]
    assert re.search(r"\d+ patterns", things["library"])
    assert "none yet; the first attempt begins it" in things["logbook"]
    assert "miniaudio works: PulseAudio: Hall, 70 ms late; output “auto” uses it" in things["sound"]
    assert list(kept.settings.parent.iterdir()) == []  # looking leaves nothing behind


def test_the_folders_for_kits_patterns_and_plans_of_ones_own_are_named(check: Checked, kept: Places) -> None:
    """The README sends whoever writes their own here; before there are any, and once there are."""
    folders = {"kits": kept.sounds, "library": kept.patterns, "plans": kept.patterns / "plans"}
    _, things, _ = check()
    for thing, folder in folders.items():
        assert things[thing].endswith(f"; your own would be in {folder}"), things[thing]
        folder.mkdir(parents=True)
    kit = (bundled("sounds") / "kitchen.toml").read_text(encoding="utf-8")
    (kept.sounds / "mine.toml").write_text(kit.replace('name = "kitchen"', 'name = "mine"'), encoding="utf-8")
    (kept.patterns / "mine.toml").write_text((VALID / "minimal.toml").read_text(encoding="utf-8"), encoding="utf-8")
    plan = (bundled("patterns") / "plans" / "fives.toml").read_text(encoding="utf-8")
    (kept.patterns / "plans" / "mine.toml").write_text(plan, encoding="utf-8")
    _, things, _ = check()
    for thing, folder in folders.items():
        assert re.search(rf"; \d of your own in {re.escape(str(folder))}$", things[thing]), things[thing]


def test_every_line_fits_into_80_columns_but_for_paths_and_no_letter_is_lost(check: Checked, capsys: object) -> None:
    finding = Finding("logbook", Verdict.FIX, f"{'word ' * 40}/{'x' * 90}/logbook.sqlite {'end ' * 30}".strip())
    lines = to_lines(finding)
    assert all(len(line) <= 79 or "/xxx" in line for line in lines)
    assert " ".join(line[19:] for line in lines) == finding.text


def test_without_a_sound_device_the_trainer_runs_silent_and_that_is_no_failure(
    check: Checked, probed: Callable[..., None]
) -> None:
    probed(NO_DEVICE, NO_SECOND)
    status, things, last = check()
    assert (status, last) == (0, "All is well.")
    assert "The trainer runs silent here" in things["sound"]
    assert "The system said: ALSA: cannot find card '0' (and 2 more lines)" in things["sound"]


def test_an_output_that_is_set_and_fails_while_another_works_is_to_be_changed(
    check: Checked, probed: Callable[..., None], kept: Places
) -> None:
    kept.settings.write_text('output = "miniaudio"\n', encoding="utf-8")
    probed(NO_DEVICE, SECOND)
    status, things, last = check()
    assert (status, last) == (1, "To be set right: sound.")
    assert "set the output to simpleaudio" in things["sound"]


def test_a_latency_of_ones_own_is_told(check: Checked, kept: Places) -> None:
    kept.settings.write_text("latency_ms = 120\n", encoding="utf-8")
    assert "120 ms late, as you set it" in check()[1]["sound"]


def test_probing_that_breaks_is_a_finding_too(check: Checked, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks() -> tuple[ProbeResult, ...]:
        raise ZeroDivisionError("a driver's own fault")

    monkeypatch.setattr(choice, "probe_outputs", breaks)
    status, things, last = check()
    assert (status, last) == (1, "To be set right: sound.")
    assert "ZeroDivisionError" in things["sound"]


SETTINGS = [
    # the file, the thing to be set right, what is said of it
    ("volume = [broken\n", "settings", "settings.toml:1"),
    ("\nvolume = 7\n", "settings", "settings.toml:2: volume"),
    ("volumne = 0.5\n", "settings", "volumne"),
    ('pedal = "q"\n', "settings", "it leaves the trainer"),
    ('pedal = "up"\n', "pedal", "“faster” in practice"),
    ('end_pedal = "g"\n', "end pedal", "“give up” in practice"),
    ('[keys]\nfaster = "g"\n', "keys", "“give up”. Choose another"),
    ('[keys]\nnothing = "x"\n', "keys", "There was no command “nothing”"),
    ('kit = "sold"\n', "kits", "There was no kit “sold”"),
]


@pytest.mark.parametrize(("content", "thing", "says"), SETTINGS)
def test_what_is_wrong_in_the_settings_is_named(
    check: Checked, kept: Places, content: str, thing: str, says: str
) -> None:
    kept.settings.write_text(content, encoding="utf-8")
    status, things, last = check()
    assert (status, last) == (1, f"To be set right: {thing}.")
    assert says in things[thing]
    assert kept.settings.read_text(encoding="utf-8") == content


def test_a_key_of_ones_own_is_fine(check: Checked, kept: Places) -> None:
    kept.settings.write_text('pedal = "b"\nend_pedal = "pagedown"\n[keys]\nfaster = "a"\n', encoding="utf-8")
    status, things, _ = check()
    assert status == 0
    assert things["pedal"] == "ok    the key b"
    assert things["end pedal"] == "ok    the key PageDown"
    assert "1 command on keys of your own" in things["keys"]


def test_bad_files_of_ones_own_are_listed_with_file_and_line(check: Checked, kept: Places) -> None:
    kept.patterns.mkdir()
    kept.sounds.mkdir()
    (kept.patterns / "a.toml").write_text('[[pattern]]\nnames = ["x"]\npattern = "532"\n', encoding="utf-8")
    (kept.sounds / "b.toml").write_text('name = "b"\n', encoding="utf-8")
    status, things, last = check()
    assert (status, last) == (1, "To be set right: kits, library.")
    assert "a.toml:3: pattern[1].pattern:" in things["library"]
    assert "b.toml: for: This field was missing" in things["kits"]


def test_of_many_errors_ten_are_listed(check: Checked, kept: Places) -> None:
    kept.patterns.mkdir()
    (kept.patterns / "a.toml").write_text("[[pattern]]\nnames = 3\n" * 25, encoding="utf-8")
    text = check()[1]["library"]
    assert text.count("names: ") == 10
    assert "and 15 more like these" in text


def test_a_sound_logbook_is_counted(check: Checked, kept: Places) -> None:
    Logbook.open(kept.logbook).close()
    status, things, _ = check()
    assert status == 0
    assert things["logbook"].startswith("ok    0 attempts, the whole file is sound")


def test_a_damaged_logbook_is_to_be_set_right_and_left_as_it_was(check: Checked, kept: Places) -> None:
    kept.logbook.write_bytes(b"no database " * 500)
    status, things, last = check()
    assert (status, last) == (1, "To be set right: logbook.")
    assert "The file was no logbook" in things["logbook"]
    assert kept.logbook.read_bytes() == b"no database " * 500


def test_damage_deep_in_the_file_is_found(check: Checked, kept: Places) -> None:
    with Logbook.open(kept.logbook) as logbook:
        pages = logbook.connection.execute("SELECT rootpage FROM sqlite_master WHERE name = 'attempts'").fetchone()[0]
        size = logbook.connection.execute("PRAGMA page_size").fetchone()[0]
    content = bytearray(kept.logbook.read_bytes())
    content[(pages - 1) * size : pages * size] = b"\xff" * size
    kept.logbook.write_bytes(content)
    status, things, last = check()
    assert (status, last) == (1, "To be set right: logbook.")
    assert "damaged" in things["logbook"]
    assert "brings back" not in things["logbook"]
    backup = backup_folder(kept.logbook) / "logbook.2026-03-01.sqlite"
    backup.parent.mkdir()
    backup.write_bytes(b"one of before")
    assert f"“throwbeat log restore {backup}” brings back the newest backup." in check()[1]["logbook"]


def test_backups_are_told_and_what_stands_in_their_way(check: Checked, kept: Places) -> None:
    with Logbook.open(kept.logbook) as logbook:
        logbook.begin_session(TRY.started_at)
        logbook.add(TRY)
    assert "note  no backup yet; the trainer makes one each day it is opened" in check()[1]["logbook"]
    Logbook.open(kept.logbook).close()
    (backup,) = backups(kept.logbook)
    status, things, _ = check()
    assert (status, things["logbook"].count("ok ")) == (0, 2)
    assert f"1 backup, the newest {backup}" in things["logbook"]
    kept.logbook.rename(kept.logbook.with_name("elsewhere.sqlite"))
    assert f"1 backup, the newest {backup}" in check()[1]["logbook"]
    kept.logbook.with_name("elsewhere.sqlite").rename(kept.logbook)
    backup.unlink()
    backup.parent.rmdir()
    backup.parent.write_text("in the way")
    status, things, last = check()
    assert (status, last) == (1, "To be set right: logbook.")
    assert f"No backup can be made: {backup.parent} was no folder" in things["logbook"]
    assert backup.parent.read_text() == "in the way"


@pytest.mark.parametrize("what", ["settings", "logbook", "patterns"])
def test_a_thing_of_the_wrong_kind_in_its_place(check: Checked, kept: Places, what: str) -> None:
    path: Path = getattr(kept, what)
    if what == "patterns":
        path.write_bytes(b"a file")
    else:
        path.mkdir()
    status, _, last = check()
    assert (status, last) == (1, f"To be set right: {'library' if what == 'patterns' else what}.")


def test_without_a_home_folder_that_is_the_one_thing_to_set_right(
    check: Checked, monkeypatch: pytest.MonkeyPatch
) -> None:
    import platformdirs

    def no_home(*_: object) -> None:
        raise RuntimeError

    monkeypatch.delenv("THROWBEAT_HOME")
    monkeypatch.setattr(platformdirs.PlatformDirs, "user_config_path", property(no_home))
    status, things, last = check()
    assert (status, last) == (1, "To be set right: folders.")
    assert "Set THROWBEAT_HOME" in things["folders"]


TERMINALS = [
    # environment, size, the verdict, what is said
    ({"TERM": "xterm-256color"}, (80, 24), Verdict.OK, "80 × 24, TERM xterm-256color, 256 colours"),
    ({"TERM": "xterm", "COLORTERM": "truecolor"}, (60, 20), Verdict.OK, "60 × 20, TERM xterm, 16 million colours"),
    ({"TERM": "vt100"}, (80, 24), Verdict.OK, "16 colours or fewer"),
    ({"TERM": "xterm", "NO_COLOR": "1"}, (80, 24), Verdict.OK, "NO_COLOR"),
    ({}, (80, 24), Verdict.OK, "TERM not set"),
    ({"TERM": "xterm"}, (59, 20), Verdict.FIX, "Make it 60 × 20 at least"),
    ({"TERM": "xterm"}, (60, 19), Verdict.FIX, "Make it 60 × 20 at least"),
    ({"TERM": "dumb"}, (80, 24), Verdict.FIX, "Use another terminal"),
    ({"TERM": "xterm"}, (0, 0), Verdict.NOTE, "not known"),
    ({"TERM": "dumb"}, None, Verdict.NOTE, "none here"),
]


@pytest.mark.parametrize(("environ", "size", "verdict", "says"), TERMINALS)
def test_terminals(environ: dict[str, str], size: tuple[int, int] | None, verdict: Verdict, says: str) -> None:
    finding = terminal_finding(environ, size)
    assert finding.verdict is verdict
    assert says in finding.text


def test_what_the_system_said_is_one_short_line() -> None:
    assert shortened("one thing") == "one thing"
    assert shortened("ALSA lib a.c:1:(f) no card\n\nALSA lib b.c:2:(g) no\n") == "ALSA: no card (and 1 more line)"
    assert len(shortened("x" * 5000)) == 200


@pytest.mark.parametrize(
    ("names", "status", "said"),
    [
        (["floor board"], 0, "ok    MIDI CONTROL 64, a MIDI footswitch; there are MIDI inputs to hear it by"),
        ([], 1, "FIX   MIDI CONTROL 64: No MIDI input was found. Connect the footswitch and open this again."),
    ],
)
def test_a_footswitch_is_looked_for_where_it_is_the_pedal(
    check: Checked, kept: Places, monkeypatch: pytest.MonkeyPatch, names: list[str], status: int, said: str
) -> None:
    before = mido.backend
    mido.set_backend("tests.keys.midi")
    monkeypatch.setattr(midi, "names", names)
    kept.settings.write_text('pedal = "midi_control_64"\n')
    try:
        ended, things, _ = check()
    finally:
        mido.set_backend(before)
    assert (ended, things["pedal"]) == (status, said)
    assert midi.opened == {}


def test_a_button_of_the_mouse_is_called_what_it_is(check: Checked, kept: Places) -> None:
    kept.settings.write_text('pedal = "mouse_right"\n')
    _, things, _ = check()
    assert things["pedal"] == "ok    RIGHT CLICK"


@pytest.mark.parametrize(
    ("held", "buffer_ms", "verdict", "says"),
    [
        (
            Held("miniaudio", None, 300, 0, 0.004),
            100,
            Verdict.OK,
            "the beat held: 300 blocks of sound, the latest came 4",
        ),
        (Held("miniaudio", None, 300, 3, 0.083), 100, Verdict.FIX, "3 gaps in 300 blocks of sound"),
        (Held("miniaudio", None, 300, 3, 0.083), 100, Verdict.FIX, "set “sound ahead” to 190 ms in Setup"),
        (Held("miniaudio", None, 300, 1, 0.9), 100, Verdict.FIX, "set “sound ahead” to 300 ms in Setup"),
        (Held("silent", None, 300, 0, 0.0), 100, Verdict.NOTE, "silent"),
        (Held("silent", "No device. Get one.", 300, 0, 0.0), 100, Verdict.NOTE, "No device. Get one."),
    ],
)
def test_whether_the_beat_held_is_told_with_what_to_do(held: Held, buffer_ms: int, verdict: Verdict, says: str) -> None:
    finding = beat_finding(held, buffer_ms)
    assert finding.verdict is verdict
    assert says in finding.text


def test_with_most_of_the_sound_ahead_no_more_is_advised() -> None:
    assert "Setup" not in beat_finding(Held("miniaudio", None, 100, 2, 0.4), 300).text


def test_the_beat_alone_is_played_when_asked_for(
    cli: Callable[..., Any], kept: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(holding, "hold", lambda *_: Held("miniaudio", None, 290, 0, 0.01))
    status, out, err = cli("check", "--sound")
    assert (status, err) == (0, "")
    assert "A beat plays for 30 seconds." in out
    assert "beat" in out
    assert "the beat held: 290 blocks" in out
    assert "logbook" not in out
