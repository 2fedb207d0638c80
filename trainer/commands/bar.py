"""The bar of a long job, and the clean end of a job that a signal asks to stop."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager
from types import FrameType
from typing import TYPE_CHECKING, TextIO

from trainer.files.texts import one_line

if TYPE_CHECKING:
    from rich.progress import Progress

PATIENCE_S = 0.5
"""Seconds a job takes before its bar is drawn."""

TELLING_S = 0.05
"""Seconds at least between two pictures of the bar."""

STOPPING = ("SIGINT", "SIGTERM", "SIGHUP")
"""Signals that ask a job to stop; not every system has all of them."""


class Bar:
    """A bar that is told the share done, from 0 to 1, and drawn once the job has taken longer than PATIENCE_S."""

    def __init__(self, what: str, stream: TextIO, now: Callable[[], float] = time.monotonic) -> None:
        self._what, self._stream, self._now = one_line(what), stream, now
        self._next_s = now() + PATIENCE_S
        self._progress: Progress | None = None

    def __call__(self, share: float) -> None:
        now_s = self._now()
        if now_s < self._next_s:
            return
        self._next_s = now_s + TELLING_S
        if self._progress is None:
            self._progress = _drawn(self._stream)
            self._progress.start()
            self._progress.add_task(self._what, total=1.0)
        self._progress.update(self._progress.task_ids[0], completed=share)

    def close(self) -> None:
        """Take the bar away again."""
        if self._progress is not None:
            self._progress.stop()


def _drawn(stream: TextIO) -> Progress:
    from rich.console import Console  # only here: most jobs are done before they need it
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    return Progress(*columns, console=Console(file=stream), transient=True)


@contextmanager
def shown(what: str, stream: TextIO | None = None) -> Iterator[Callable[[float], None]]:
    """A function to tell the share done to, shown on standard error if that is a terminal."""
    stream = stream or sys.stderr
    if not stream.isatty():
        yield lambda _share: None
        return
    with closing(Bar(what, stream)) as bar:
        yield bar


@contextmanager
def handling(handlers: Mapping[signal.Signals, Callable[[int, FrameType | None], None]]) -> Iterator[None]:
    """Give each signal its handler until the block ends, and then the one it had before."""
    before = {each: signal.signal(each, handler) for each, handler in handlers.items()}
    try:
        yield
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)


@contextmanager
def stoppable() -> Iterator[None]:
    """Turn every signal that asks to stop into a KeyboardInterrupt, so that what is half done is cleared away.

    Signals after the first are ignored until the block ends. One that was ignored from outside (nohup) stays so.
    """
    there = [getattr(signal, name) for name in STOPPING if hasattr(signal, name)]
    asking = [each for each in there if signal.getsignal(each) is not signal.SIG_IGN]

    def stop(_number: int, _frame: FrameType | None) -> None:
        for each in asking:
            signal.signal(each, signal.SIG_IGN)
        raise KeyboardInterrupt

    with handling(dict.fromkeys(asking, stop)):
        yield
