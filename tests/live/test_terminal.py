"""The pseudo-terminal itself: what the screen's tests rely on."""

import signal
import sys

import pytest

from tests.live.terminal import Terminal

pytestmark = pytest.mark.live

ECHO = (
    "import os, sys, tty, termios; old = termios.tcgetattr(0); tty.setraw(0)\n"
    "size = os.get_terminal_size(); os.write(1, f'\\x1b[1;31m{size.columns}x{size.lines}\\x1b[0m ready'.encode())\n"
    "while (key := os.read(0, 9)) != b'q': os.write(1, b'<' + key.hex().encode() + b'>')\n"
    "restore = 'keep' not in sys.argv\n"
    "restore and termios.tcsetattr(0, termios.TCSANOW, old); sys.exit(7)\n"
)


def echo(*arguments: str) -> Terminal:
    return Terminal([sys.executable, "-c", ECHO, *arguments], {}, columns=91, rows=33)


def test_a_program_sees_its_size_and_keys_and_ends_with_its_status() -> None:
    with echo() as terminal:
        terminal.wait_for("91x33 ready")
        terminal.forget()
        pressed_s = terminal.write(b" ")
        assert 0 <= terminal.wait_for("<20>") - pressed_s < 5
        assert "ready" not in terminal.text
        assert not terminal.is_restored()
        terminal.write(b"q")
        assert terminal.wait_ended() == 7
        assert terminal.is_restored()


def test_a_terminal_left_in_disorder_is_noticed() -> None:
    with echo("keep") as terminal:
        terminal.wait_for("ready")
        terminal.write(b"q")
        terminal.wait_ended()
        assert not terminal.is_restored()


def test_a_text_that_never_comes_fails_and_shows_the_screen() -> None:
    with echo() as terminal:
        terminal.wait_for("ready")
        with pytest.raises(AssertionError, match="91x33 ready"):
            terminal.wait_for("nothing like it", within_s=0.1)


def test_hanging_up_and_terminating_reach_the_program() -> None:
    with echo() as terminal:
        terminal.wait_for("ready")
        terminal.hang_up()
        assert terminal.wait_ended() == -signal.SIGHUP
    with echo() as terminal:
        terminal.wait_for("ready")
        terminal.terminate()
        assert terminal.wait_ended() == -signal.SIGTERM
