"""The plain mode between pipes and on a terminal: lines without a control sequence, and the terminal left as it was."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

from tests.live.terminal import Terminal
from tests.live.trainer import ROOT

pytestmark = pytest.mark.live

COMMAND = [sys.executable, "-m", "trainer.commands.line", "3", "--plain", "--tempo", "240", "--count-in", "1"]


def environ(home: Path) -> dict[str, str]:
    return {**os.environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT), "TERM": "dumb"}


def logged(home: Path) -> list[dict[str, object]]:
    command = [sys.executable, "-m", "trainer.commands.line", "log", "--json"]
    told = subprocess.run(command, env=environ(home), cwd=ROOT, capture_output=True, text=True, check=True)
    found = json.loads(told.stdout)
    return list(found)


def test_keys_from_a_pipe_and_lines_into_one(tmp_path: Path) -> None:
    with subprocess.Popen(
        COMMAND, env=environ(tmp_path), cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as program:
        assert program.stdin is not None
        assert program.stdout is not None
        seen = b""
        while b"Ready" not in seen:
            seen += program.stdout.readline()
        program.stdin.write(b" ")
        program.stdin.flush()
        time.sleep(3)
        program.stdin.write(b" ")
        program.stdin.close()  # no more keys come: it leaves by itself
        seen += program.stdout.read()
        assert program.wait(10) == 0
    assert b"\x1b" not in seen
    assert b"Flash: 3 catches." in seen
    assert b"Left after 1 try." in seen
    assert [row["pattern"] for row in logged(tmp_path)] == ["3"]


@pytest.mark.parametrize("ending", ["q", "ctrl+c", "terminated"])
def test_a_terminal_is_left_as_it_was(tmp_path: Path, ending: str) -> None:
    with Terminal(COMMAND, environ(tmp_path), cwd=ROOT) as terminal:
        terminal.wait_for("Ready")
        terminal.write(b"\x1b[A")
        terminal.wait_for("245 beats a minute")
        terminal.write(b" ")
        terminal.wait_for("Go")
        if ending == "q":
            terminal.write(b"q")
        elif ending == "ctrl+c":
            terminal.write(b"\x03")
        else:
            terminal.process.send_signal(signal.SIGTERM)
        assert terminal.wait_ended() == 0
        assert b"\x1b" not in bytes(terminal.raw)
        assert termios.tcgetattr(terminal.far_end) == terminal.settings_before
        assert "Left after 1 try." in terminal.text
    assert [row["ended"] for row in logged(tmp_path)] == ["given-up"]
