"""Scripts of presses through a terminal, byte by byte and in real time: exactly the rows that each script says."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.live.kitty import HalfKitty, Kitty
from tests.live.terminal import Terminal
from tests.live.trainer import ROOT, trainer
from tests.presses import FILES, Sent, read_script
from trainer.keys.footswitch import is_midi
from trainer.practice.pedal import Edge

pytestmark = pytest.mark.live

PLAIN = {
    # key → what a terminal without the protocol sends for it, pressed or repeating
    "space": b" ",
    "b": b"b",
    "pagedown": b"\x1b[6~",
    "f13": b"\x1b[25~",
}
TOLD = {
    # key and edge → what one with it sends
    ("space", Edge.DOWN): b"\x1b[32;;32u",
    ("space", Edge.REPEAT): b"\x1b[32;1:2;32u",
    ("space", Edge.UP): b"\x1b[32;1:3u",
    ("pagedown", Edge.DOWN): b"\x1b[6~",
    ("pagedown", Edge.REPEAT): b"\x1b[6;1:2~",
    ("pagedown", Edge.UP): b"\x1b[6;1:3~",
    # SGR mouse reports: button 2 is the right one; M pressed, m let go
    ("mouse_right", Edge.DOWN): b"\x1b[<2;40;12M",
    ("mouse_right", Edge.UP): b"\x1b[<2;40;12m",
    # MIDI control change, channel 1
    ("midi_control_64", Edge.DOWN): b"\xb0\x40\x7f",
    ("midi_control_64", Edge.UP): b"\xb0\x40\x00",
}


def bytes_of(sent: Sent, tells_releases: bool) -> bytes:
    """What a terminal, a mouse or a footswitch sends; of these two every one tells releases."""
    return PLAIN[sent.key] if sent.key in PLAIN and not tells_releases else TOLD[sent.key, sent.edge]


@contextmanager
def plugged_in(cable: Path) -> Iterator[Callable[[bytes], object]]:
    """A MIDI cable to put bytes into, whoever listens."""
    fd = os.open(cable, os.O_RDWR)
    try:
        yield lambda data: os.write(fd, data)
    finally:
        os.close(fd)


def written(home: Path, settings: dict[str, str | int | float]) -> Path:
    """The settings in their file, without sound."""
    lines = [f"{name} = {json.dumps(value)}\n" for name, value in settings.items()]
    (home / "settings.toml").write_text('output = "silent"\ntour = false\n' + "".join(lines))
    return home


def logged(home: Path) -> list[tuple[str, str, int, str]]:
    said = subprocess.run(
        [sys.executable, "-m", "trainer.commands.line", "log", "--json"],
        cwd=home,
        env={"THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT)},
        capture_output=True,
        check=True,
    )
    return [(row["pattern"], row["ended"], row["catches"], row["counted_by"]) for row in json.loads(said.stdout)]


IN_REAL_TIME = [path for path in FILES if path.stem in ("clicks", "footswitch", "hand", "told-two-pedals")]
"""One a way of pressing: mouse, MIDI, a key and a typed count, a terminal that tells releases. The session's tests
play all of them in quick time."""

assert len(IN_REAL_TIME) == 4


@pytest.mark.alone
@pytest.mark.parametrize("path", IN_REAL_TIME, ids=lambda path: path.stem)
def test_a_script_through_a_terminal_gives_exactly_its_rows(tmp_path: Path, path: Path) -> None:
    script = read_script(path)
    words = (script.pattern, "--tempo", str(script.tempo_bpm))
    kind = Kitty if script.tells_releases else Terminal
    os.mkfifo(tmp_path / "cable")
    midi: dict[str, Any] = {"MIDO_BACKEND": "tests.keys.midi", "THROWBEAT_TEST_MIDI": str(tmp_path / "cable")}
    with (
        trainer(written(tmp_path, script.settings), *words, kind=kind, **midi) as terminal,
        plugged_in(tmp_path / "cable") as cable,
    ):
        for each in script.tries:
            terminal.wait_for("READY")
            time.sleep(0.2)
            if isinstance(terminal, Kitty):
                assert terminal.tells_releases
            terminal.forget()
            start_s = time.monotonic()
            for sent in each.sent:
                time.sleep(max(0.0, start_s + sent.at_s - time.monotonic()))
                write = cable if is_midi(sent.key) else terminal.write
                write(bytes_of(sent, script.tells_releases))
            if each.typed:
                terminal.wait_for("TYPE THE CATCHES")
                for digit in (*each.typed, "\r"):
                    terminal.write(digit.encode())
                    time.sleep(0.05)
            else:
                terminal.wait_for("ready again")
        terminal.wait_for("READY")
        terminal.write(b"\x11")
        assert terminal.wait_ended() == 0
        assert terminal.is_restored()
        if isinstance(terminal, Kitty):
            assert terminal.stacks == {b"l": [0], b"h": [0]}, "the keyboard is as it was"
    assert logged(tmp_path) == script.rows


# -- the terminal's keyboard ----------------------------------------------------------------------------------

QUICK = ("3", "--tempo", "240", "--count-in", "1")


def keyboard_after(terminal: Kitty) -> dict[bytes, list[int]]:
    assert terminal.is_restored()
    return terminal.stacks


@pytest.mark.parametrize("how", ["q", "SIGTERM"])
def test_however_it_is_left_the_keyboard_is_as_it_was(tmp_path: Path, how: str) -> None:
    with trainer(written(tmp_path, {}), *QUICK, kind=Kitty) as terminal:
        assert isinstance(terminal, Kitty)
        terminal.wait_for("READY")
        time.sleep(0.2)
        assert terminal.flags & 2
        if how == "q":
            terminal.write(b"\x1b[113;;113u")
        else:
            terminal.terminate()
        assert terminal.wait_ended() == 0
        time.sleep(0.1)
        assert keyboard_after(terminal) == {b"l": [0], b"h": [0]}


def test_stopped_the_keyboard_is_given_back_and_taken_again(tmp_path: Path) -> None:
    with trainer(written(tmp_path, {}), *QUICK, kind=Kitty) as terminal:
        assert isinstance(terminal, Kitty)
        terminal.wait_for("READY")
        time.sleep(0.2)
        terminal.process.send_signal(signal.SIGTSTP)
        time.sleep(0.5)
        assert keyboard_after(terminal) == {b"l": [0], b"h": [0]}
        terminal.process.send_signal(signal.SIGCONT)
        time.sleep(0.5)
        assert terminal.tells_releases
        terminal.terminate()
        assert terminal.wait_ended() == 0
        assert terminal.stacks == {b"l": [0], b"h": [0]}


@pytest.mark.alone
@pytest.mark.parametrize(
    ("kind", "settings"),
    [(Terminal, {}), (HalfKitty, {}), (Kitty, {"key_releases": False})],
    ids=["none", "half", "off"],
)
def test_where_releases_are_not_told_or_not_wanted_a_held_pedal_is_still_one_press(
    tmp_path: Path, kind: type[Terminal], settings: dict[str, str | int | float]
) -> None:
    space = b" " if kind is Terminal else b"\x1b[32;;32u"
    with trainer(written(tmp_path, settings), *QUICK, kind=kind) as terminal:
        terminal.wait_for("READY")
        time.sleep(0.2)
        if isinstance(terminal, Kitty):
            assert terminal.flags
            assert not terminal.tells_releases
        began_s = terminal.write(space)
        for number in range(20):
            time.sleep(max(0.0, began_s + 0.5 + number / 30 - time.monotonic()))
            terminal.write(space)
        terminal.wait_for("GO")
        time.sleep(0.8)
        terminal.write(space)
        terminal.wait_for("DROP")
        time.sleep(0.7)
        terminal.terminate()
        assert terminal.wait_ended() == 0
    assert [ended for _, ended, _, _ in logged(tmp_path)] == ["drop"]
