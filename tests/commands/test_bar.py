"""The bar of a long job, and signals that end one."""

from __future__ import annotations

import io
import signal
from collections.abc import Callable, Iterator

import pytest

from trainer.commands.bar import PATIENCE_S, Bar, shown, stoppable


class Terminal(io.StringIO):
    """Standard error that is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def _terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLUMNS", "80")


def clock(*seconds: float) -> Callable[[], float]:
    told: Iterator[float] = iter(seconds)
    return lambda: next(told)


def test_a_short_job_shows_nothing() -> None:
    stream = Terminal()
    bar = Bar("x.wav", stream, clock(0.0, 0.1, PATIENCE_S - 0.01))
    bar(0.2)
    bar(0.9)
    bar.close()
    assert stream.getvalue() == ""


def test_a_long_job_shows_how_far_it_is_and_takes_the_bar_away() -> None:
    stream = Terminal()
    bar = Bar("[odd] name.wav", stream, clock(10.0, 10.2, 10.6, 10.7, 10.71))
    for share in (0.1, 0.2, 0.3, 0.4):
        bar(share)
    bar.close()
    shows = stream.getvalue()
    assert "[odd] name.wav" in shows
    assert "30%" in shows
    assert "40%" not in shows  # no oftener than the eye needs
    assert shows.endswith("\x1b[2K")  # the line is wiped


def test_the_name_of_a_file_moves_no_cursor() -> None:
    stream = Terminal()
    bar = Bar("a\x1b]0;owned\x07\u202e.wav", stream, clock(10.0, 10.6))
    bar(0.5)
    bar.close()
    assert "a\\x1b]0;owned\\x07\\u202e.wav" in stream.getvalue()


def test_no_bar_where_standard_error_is_no_terminal() -> None:
    stream = io.StringIO()
    with shown("x.wav", stream) as tell:
        tell(0.5)
    assert stream.getvalue() == ""
    assert not isinstance(tell, Bar)
    with shown("x.wav", Terminal()) as tell:
        assert isinstance(tell, Bar)


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_a_signal_ends_the_job_and_later_ones_leave_the_clearing_alone(name: str) -> None:
    if not hasattr(signal, name):
        pytest.skip("this system has no such signal")
    number = getattr(signal, name)
    before = signal.getsignal(number)
    cleared = []

    def job() -> None:
        try:
            signal.raise_signal(number)
        finally:
            signal.raise_signal(number)
            cleared.append("all of it")

    with pytest.raises(KeyboardInterrupt), stoppable():
        job()
    assert cleared == ["all of it"]
    assert signal.getsignal(number) is before


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="this system has no such signal")
def test_a_signal_ignored_from_outside_stays_ignored() -> None:
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        with stoppable():
            signal.raise_signal(signal.SIGHUP)
        assert signal.getsignal(signal.SIGHUP) is signal.SIG_IGN
    finally:
        signal.signal(signal.SIGHUP, before)
