"""A guide in a session: the tries written down, the time and the pedal change it, and each change is kept.

Whenever a try is set right, the guide is worked out again from its start. So a count typed in, a mark of unfairness and
an undo all reach it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, Protocol, TypeVar

from trainer.errors import TrainerError
from trainer.practice.guide import Guide, Task
from trainer.records.attempt import Attempt
from trainer.session.tries import Tries

Led = TypeVar("Led", bound=Guide)
Kept = TypeVar("Kept", bound=Guide, contravariant=True)


class Keeper(Protocol[Kept]):
    """Writes a guide of one type to the logbook."""

    def stamp(self, guide: Kept, attempt: Attempt) -> Attempt:
        """An attempt about to begin, marked with what it is part of."""

    def keep(self, guide: Kept, now_s: float) -> None:
        """Write where the guide stands: after each try, after each change of the guide, and on leaving."""


class Guided(Generic[Led]):
    """guide: as it stands now. keeper: writes to the logbook where it stands; None where nothing is kept."""

    def __init__(self, guide: Led, tries: Tries, keeper: Keeper[Led] | None = None) -> None:
        self.guide = self._start = guide
        self._tries, self._keeper = tries, keeper
        self._changes: tuple[Callable[[Led], Led], ...] = ()
        self._seen = tries.attempts

    @property
    def task(self) -> Task | None:
        """What to do now; None when all is done."""
        return self.guide.task

    @property
    def number(self) -> int:
        """The number of the task's block; 0 where there are no blocks."""
        return self.task.number if self.task else 0

    @property
    def may_begin(self) -> bool:
        """Whether a try may begin: not in a pause, and not when all is done."""
        return self.task is not None and not self.task.is_pause

    def require_free(self) -> None:
        """Raise TrainerError if the guide fixes tempo and dwell."""
        if self.task is not None and self.task.fixed:
            raise TrainerError(self.task.fixed)

    def stamp(self, attempt: Attempt) -> Attempt:
        """An attempt about to begin, marked with the climb or the plan's run it is part of."""
        return self._keeper.stamp(self.guide, attempt) if self._keeper else attempt

    def begun(self, now_s: float) -> bool:
        """Tell the guide that the pedal was pressed at rest; True if that changed it."""
        before = self.guide
        self._change(lambda guide: guide.begun(now_s))
        return self._changed(before, now_s)

    def skip(self, now_s: float) -> bool:
        """Have the guide go on to its next part; True if that changed it."""
        before = self.guide
        self._change(lambda guide: guide.skipped(now_s))
        return self._changed(before, now_s)

    def wrote(self, now_s: float) -> None:
        """Tell the guide of the try that was written down last."""
        place = len(self._tries.attempts) - 1
        self._seen = self._tries.attempts
        self._change(lambda guide: guide.after(self._tries.attempts[place], now_s))
        self.keep(now_s)

    def catch_up(self, now_s: float) -> bool:
        """Tell the guide, at rest, the time and the tries set right meanwhile; True if that changed it."""
        before = self.guide
        if self._tries.attempts is not self._seen:
            self._seen = self._tries.attempts
            self.guide = self._start
            for change in self._changes:
                self.guide = change(self.guide)
        if self.guide.at(now_s) != self.guide:
            self._change(lambda guide: guide.at(now_s))
        return self._changed(before, now_s)

    def keep(self, now_s: float) -> None:
        """Write to the logbook where the guide stands."""
        if self._keeper is not None:
            self._keeper.keep(self.guide, now_s)

    def _changed(self, before: Led, now_s: float) -> bool:
        if self.guide == before:
            return False
        self.keep(now_s)
        return True

    def _change(self, change: Callable[[Led], Led]) -> None:
        self._changes = (*self._changes, change)
        self.guide = change(self.guide)
