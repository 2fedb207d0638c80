"""Rough terminals, in a real one: a single cell, a wall of cells, a paste of a megabyte, a flood of keys, odd names."""

from __future__ import annotations

import fcntl
import os
import select
import signal
import struct
import termios
import time
from pathlib import Path

import pytest

from tests.live.terminal import Terminal
from tests.live.trainer import trainer

pytestmark = pytest.mark.live

FLOOD_S = 3.0
KEYS_A_SECOND = 10_000


def without_tour(home: Path) -> Path:
    (home / "settings.toml").write_text("tour = false\n", encoding="utf-8")
    return home


def resize(terminal: Terminal, columns: int, rows: int) -> None:
    fcntl.ioctl(terminal.far_end, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    terminal.process.send_signal(signal.SIGWINCH)


def send_all(terminal: Terminal, keys: bytes, within_s: float = 30.0) -> None:
    """Send more than the system keeps between two ends of a terminal."""
    until_s = time.monotonic() + within_s
    while keys:
        assert time.monotonic() < until_s, f"{len(keys)} bytes were not read"
        if select.select([], [terminal.fd], [], 1.0)[1]:
            keys = keys[os.write(terminal.fd, keys[:1024]) :]


def leave(terminal: Terminal) -> None:
    """It hears a key soon, ends by it, and leaves the terminal as it was."""
    terminal.write(b"\x11")
    assert terminal.wait_ended(10) == 0
    assert "Traceback" not in terminal.text
    assert terminal.is_restored()


@pytest.mark.parametrize("size", [(1, 1), (1000, 300)])
def test_a_terminal_of_any_size_is_begun_in_and_changed_to(tmp_path: Path, size: tuple[int, int]) -> None:
    columns, rows = size
    with trainer(without_tour(tmp_path), columns=columns, rows=rows) as terminal:
        time.sleep(4.0)  # a single cell shows no text to wait for
        for keys in (b"\x1bOQ", b"\x1b[6~", b"\x1b", b"\x1bOR", b"\x1b[6~", b"\x1b", b"\x1b[19~", b"\x1b", b"\r", b" "):
            terminal.write(keys)
            time.sleep(0.3)
        resize(terminal, 80, 24)
        time.sleep(0.5)
        resize(terminal, columns, rows)
        time.sleep(0.5)
        leave(terminal)


def test_a_paste_of_a_megabyte(tmp_path: Path) -> None:
    with trainer(without_tour(tmp_path)) as terminal:
        terminal.wait_for("q leave", 20)
        send_all(terminal, b"\x1b[200~" + b"5" * 1_000_000 + b"\x1b[201~")
        time.sleep(0.5)
        leave(terminal)


def test_ten_thousand_keys_a_second(tmp_path: Path) -> None:
    """Keys wait in the system as long as they are not read; the last of them is heard when the flood is over."""
    with trainer(without_tour(tmp_path), "3") as terminal:
        terminal.wait_for("READY", 20)
        send_all(terminal, b"x5z" * round(FLOOD_S * KEYS_A_SECOND / 3), 120.0)
        terminal.write(b"\x11")
        assert terminal.wait_ended(60) == 0
        assert terminal.is_restored()


@pytest.mark.parametrize("name", ["", "unknown", "no such terminal", "\u0416"])
def test_a_terminal_of_any_name(tmp_path: Path, name: str) -> None:
    with trainer(without_tour(tmp_path), TERM=name) as terminal:
        terminal.wait_for("q leave", 20)
        leave(terminal)
