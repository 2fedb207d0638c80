"""A trainer that something happens to, and what has to be whole afterwards: the terminal and the logbook."""

from __future__ import annotations

import fcntl
import json
import os
import signal
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

from tests.live.terminal import Terminal
from tests.live.trainer import ROOT
from trainer.logbook.store import Logbook

SCREEN_ENTERED, SCREEN_LEFT = b"\x1b[?1049h", b"\x1b[?1049l"
MOUSE_OFF, CURSOR_SHOWN, PASTE_OFF = b"\x1b[?1000l", b"\x1b[?25h", b"\x1b[?2004l"
QUICK = ("3", "--tempo", "240", "--count-in", "2")


def begin(terminal: Terminal) -> None:
    """Start a run and be some catches into it."""
    terminal.wait_for("READY")
    terminal.write(b" ")
    terminal.wait_for("GO")
    time.sleep(1.0)


def resize(terminal: Terminal, columns: int, rows: int) -> None:
    fcntl.ioctl(terminal.fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    terminal.process.send_signal(signal.SIGWINCH)


def logged(home: Path) -> list[dict[str, object]]:
    """The logbook as the command log prints it."""
    environ = {**os.environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT)}
    said = subprocess.run(
        [sys.executable, "-m", "trainer.commands.line", "log", "--json"],
        cwd=home,
        env=environ,
        capture_output=True,
        check=True,
    )
    rows: list[dict[str, object]] = json.loads(said.stdout)
    return rows


def assert_whole(terminal: Terminal, entered: int = 1) -> None:
    """The terminal's settings, screen, cursor, mouse and paste are as before the program, and no fault was shown.

    entered: how often the program took the terminal; after each stop once more.
    """
    assert terminal.is_restored()
    sent = terminal.everything
    assert sent.count(SCREEN_ENTERED) == sent.count(SCREEN_LEFT) == entered
    after = sent[sent.rindex(SCREEN_ENTERED) :]
    for sequence in (SCREEN_LEFT, MOUSE_OFF, CURSOR_SHOWN, PASTE_OFF):
        assert sequence in after
    assert b"Traceback" not in sent


def assert_sound(home: Path, *, faulty: bool = False) -> None:
    """The whole logbook is sound, and a fault was written down only if one was put in."""
    with Logbook.open_to_read(home / "logbook.sqlite") as book:
        assert book.problems() == ()
    noise = home / "noise.log"
    assert (noise.exists() and "Traceback" in noise.read_text()) is faulty


def assert_given_up_once(home: Path, *, faulty: bool = False) -> None:
    (attempt,) = logged(home)
    assert (attempt["ended"], attempt["pattern"]) == ("given-up", "3")
    assert isinstance(attempt["catches"], int)
    assert attempt["catches"] > 0
    assert_sound(home, faulty=faulty)
