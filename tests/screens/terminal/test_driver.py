"""A stop from outside, and going on after it: nothing of it is done in the middle of something else."""

from __future__ import annotations

import asyncio
import os
import pty
import signal
from collections.abc import Iterator

import pytest
from textual.app import App
from textual.drivers.linux_driver import LinuxDriver

from trainer.screens.terminal.driver import steady


@pytest.fixture
def signals() -> Iterator[None]:
    """What a driver sets for the signals of a stop is taken back."""
    stop = (signal.SIGTSTP, signal.SIGCONT, signal.SIGWINCH)
    before = [signal.getsignal(each) for each in stop]
    yield
    for each, was in zip(stop, before, strict=True):
        signal.signal(each, was)


@pytest.mark.usefixtures("signals")
def test_a_signal_waits_until_what_is_being_done_is_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """The queue to the terminal is locked for a moment at each write: to write within the signal waited for ever."""
    done: list[str] = []
    monkeypatch.setattr(os, "kill", lambda _process, sent: done.append(sent.name))

    class Driver(steady(LinuxDriver)):
        def suspend_application_mode(self) -> None:
            done.append("leaves the terminal")

        def resume_application_mode(self) -> None:
            done.append("begins anew")

    async def stop_and_go_on() -> None:
        driver = Driver(App())
        driver.fileno, far_end = pty.openpty()
        for sent, follows in (
            ([signal.SIGTSTP], ["leaves the terminal", "SIGSTOP"]),
            ([signal.SIGCONT], ["begins anew"]),
            ([signal.SIGTSTP, signal.SIGCONT], ["begins anew"]),  # together: else it would stay stopped
        ):
            done.clear()
            for each in sent:
                signal.raise_signal(each)
            assert done == [], "something was done within the signal"
            turned = asyncio.Event()
            asyncio.get_running_loop().call_soon(turned.set)
            await turned.wait()
            assert done == follows
        os.close(driver.fileno)
        os.close(far_end)

    asyncio.run(stop_and_go_on())
    done.clear()
    signal.raise_signal(signal.SIGCONT)
    assert done == [], "the loop is closed: nothing is left to begin anew"
