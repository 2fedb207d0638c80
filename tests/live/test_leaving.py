"""Leaving, however it comes about: the process ends, the terminal is as it was, the run under way is in the logbook."""

from __future__ import annotations

import os
import signal
import sys
import time
from pathlib import Path

import pytest

from tests.live.terminal import Terminal
from tests.live.trainer import ROOT, trainer
from tests.live.whole import (
    QUICK,
    SCREEN_ENTERED,
    SCREEN_LEFT,
    assert_given_up_once,
    assert_whole,
    begin,
    logged,
    resize,
)

pytestmark = pytest.mark.live

FAULTY = """
import sys
from trainer.screens.practice.screen import PracticeScreen
def action_give_up(self): raise RuntimeError("a fault put in by the test")
PracticeScreen.action_give_up = action_give_up
from trainer.commands.line import main
sys.exit(main())
"""


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder of its own, without sound: the leaving is looked at here."""
    (tmp_path / "settings.toml").write_text('output = "silent"\ntour = false\n')
    return tmp_path


@pytest.mark.parametrize("key", [b"q", b"\x03", b"\x11"], ids=["q", "ctrl+c", "ctrl+q"])
def test_by_a_key(home: Path, key: bytes) -> None:
    with trainer(home, *QUICK) as terminal:
        begin(terminal)
        terminal.write(key)
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
    assert_given_up_once(home)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP], ids=lambda number: number.name)
def test_by_a_signal(home: Path, number: signal.Signals) -> None:
    with trainer(home, *QUICK) as terminal:
        begin(terminal)
        terminal.process.send_signal(number)
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
    assert_given_up_once(home)


@pytest.mark.parametrize("wait_s", [0.0, 0.01, 0.03, 0.1])
def test_by_a_signal_while_the_screen_is_still_coming_up(home: Path, wait_s: float) -> None:
    with trainer(home, *QUICK) as terminal:
        until_s = time.monotonic() + 10
        while SCREEN_ENTERED not in terminal.raw and time.monotonic() < until_s:
            time.sleep(0.001)
        time.sleep(wait_s)
        terminal.terminate()
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
    assert logged(home) == []


@pytest.mark.parametrize("stopped_by", [None, signal.SIGSTOP, signal.SIGTSTP], ids=["running", "SIGSTOP", "SIGTSTP"])
def test_by_a_closed_terminal(home: Path, stopped_by: signal.Signals | None) -> None:
    with trainer(home, *QUICK) as terminal:
        begin(terminal)
        if stopped_by is not None:
            terminal.process.send_signal(stopped_by)
            time.sleep(0.5)
        terminal.hang_up()
        assert terminal.wait_ended() >= 0, "it ended by itself, not by the signal"
    assert_given_up_once(home)


def test_by_a_fault_of_our_own(home: Path) -> None:
    environ = {**os.environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT)}
    with Terminal([sys.executable, "-c", FAULTY, *QUICK], environ, cwd=home) as terminal:
        begin(terminal)
        terminal.write(b"g")
        assert terminal.wait_ended() not in (0, -signal.SIGABRT, -signal.SIGSEGV)
        assert_whole(terminal)
        said = terminal.raw.rpartition(SCREEN_LEFT)[2].decode(errors="replace")
        assert "a fault put in by the test" in said
        assert "Traceback" not in said
    assert "a fault put in by the test" in (home / "noise.log").read_text()
    assert_given_up_once(home, faulty=True)


def test_killed_outright_the_run_is_given_up_at_the_next_start(home: Path) -> None:
    with trainer(home, *QUICK) as terminal:
        begin(terminal)
        terminal.process.kill()
        terminal.wait_ended()
    with trainer(home, *QUICK) as terminal:
        terminal.wait_for("READY")
        terminal.write(b"q")
        terminal.wait_ended()
    assert [attempt["ended"] for attempt in logged(home)] == ["given-up"]


def test_stopped_and_continued_it_goes_on(home: Path) -> None:
    with trainer(home, *QUICK) as terminal:
        begin(terminal)
        terminal.process.send_signal(signal.SIGSTOP)
        time.sleep(1.5)
        terminal.process.send_signal(signal.SIGCONT)
        time.sleep(0.3)
        terminal.write(b" ")
        terminal.wait_for("DROP")
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert terminal.is_restored()
        assert terminal.raw.count(SCREEN_ENTERED) == terminal.raw.count(SCREEN_LEFT) == 2
    assert [attempt["ended"] for attempt in logged(home)] == ["drop"]


def test_suspended_the_terminal_is_given_back_meanwhile(home: Path) -> None:
    with trainer(home, *QUICK) as terminal:
        begin(terminal)
        terminal.process.send_signal(signal.SIGTSTP)
        until_s = time.monotonic() + 5
        while SCREEN_LEFT not in terminal.raw and time.monotonic() < until_s:
            time.sleep(0.01)
        time.sleep(0.2)
        assert terminal.is_restored()
        terminal.process.send_signal(signal.SIGCONT)
        time.sleep(0.5)
        terminal.write(b" ")
        terminal.wait_for("DROP")
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert terminal.is_restored()
    assert [attempt["ended"] for attempt in logged(home)] == ["drop"]


def test_a_terminal_made_tiny_and_large_again_does_no_harm(home: Path) -> None:
    with trainer(home, *QUICK) as terminal:
        begin(terminal)
        for columns, rows in ((1, 1), (80, 24), (1, 24), (80, 1), (3, 3), (300, 100), (2, 2), (80, 24)):
            resize(terminal, columns, rows)
            time.sleep(0.2)
        terminal.forget()
        resize(terminal, 90, 30)
        terminal.wait_for("beats/min")
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert terminal.is_restored()
    assert_given_up_once(home)


def test_the_list_of_patterns_outlives_a_tiny_terminal_too(home: Path) -> None:
    with trainer(home) as terminal:
        terminal.wait_for("cascade")
        for columns, rows in ((1, 1), (80, 24), (5, 2), (90, 30)):
            resize(terminal, columns, rows)
            time.sleep(0.2)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert terminal.is_restored()


@pytest.mark.alone
def test_a_hundred_presses_a_second_are_one_held_pedal(home: Path) -> None:
    with trainer(home, *QUICK) as terminal:
        terminal.wait_for("READY")
        for _ in range(300):
            terminal.write(b" ")
            time.sleep(0.01)
        terminal.wait_for("GO")  # two beats of count-in, and not ended by what the key repeats
        time.sleep(0.5)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
    assert_given_up_once(home)


@pytest.mark.parametrize("words", [QUICK, ()], ids=["practice", "patterns"])
def test_a_megabyte_pasted_does_no_harm(home: Path, words: tuple[str, ...]) -> None:
    with trainer(home, *words) as terminal:
        terminal.wait_for("q leave" if not words else "READY")
        paste = b"\x1b[200~" + b"531 q \n" * 150_000 + b"\x1b[201~"
        for start in range(0, len(paste), 4096):
            terminal.write(paste[start : start + 4096])
        time.sleep(1)
        assert terminal.process.poll() is None, "a paste is no key: it neither leaves nor starts anything"
        terminal.write(b"\x11")
        assert terminal.wait_ended(20) == 0
        assert_whole(terminal)
    assert logged(home) == []


@pytest.mark.parametrize("noise", [b"\xff", b"\xff\xfe\x80\xc3", b"\xc3", b"z\xe9", bytes(range(128, 256))])
def test_bytes_that_are_no_text_do_no_harm(home: Path, noise: bytes) -> None:
    with trainer(home, *QUICK) as terminal:
        terminal.wait_for("READY")
        terminal.write(noise)
        time.sleep(0.3)
        begin(terminal)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
    assert_given_up_once(home)
