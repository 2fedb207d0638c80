"""Following a guide: from the tries written down to what comes next, also when one of them is set right afterwards.

Where the guide stands is worked out again from its start whenever a try is set right, so a count typed in, a mark of
unfairness and an undo all reach it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from trainer.errors import TrainerError
from trainer.practice.guide import Aim, Guide, Task
from trainer.records.attempt import Attempt
from trainer.session.keepers import Keeper
from trainer.session.tries import Tries

Led = TypeVar("Led", bound=Guide)


class Guided(Generic[Led]):
    """A guide as it stands by now. keeper: writes down where that is; None where nothing is kept."""

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
    def aim(self) -> Aim | None:
        """What ends a try by itself."""
        return self.task.aim if self.task else None

    @property
    def number(self) -> int:
        """The number of the block that the task is of; 0 for none."""
        return self.task.number if self.task else 0

    @property
    def pause_ends_s(self) -> float | None:
        """When the pause ends by itself; None where it does not, and where there is none."""
        return self.task.ends_s if self.task else None

    @property
    def may_begin(self) -> bool:
        """Whether there is something to throw now: not in a pause, and not when all is done."""
        return self.task is not None and not self.task.is_pause

    def require_free(self) -> None:
        """Raise TrainerError where tempo and dwell are the guide's."""
        if self.task is not None and self.task.fixed:
            raise TrainerError(self.task.fixed)

    def stamp(self, attempt: Attempt) -> Attempt:
        """An attempt about to begin, with what it is part of."""
        return self._keeper.stamp(self.guide, attempt) if self._keeper else attempt

    def begun(self, now_s: float) -> bool:
        """The pedal was pressed at rest; whether the guide stands otherwise now."""
        before = self.guide
        self._change(lambda guide: guide.begun(now_s))
        return self._changed(before, now_s)

    def skip(self, now_s: float) -> bool:
        """On to the guide's next part; whether it stands otherwise now."""
        before = self.guide
        self._change(lambda guide: guide.skipped(now_s))
        return self._changed(before, now_s)

    def wrote(self, now_s: float) -> None:
        """The last of the tries has ended under this guide."""
        place = len(self._tries.attempts) - 1
        self._seen = self._tries.attempts
        self._change(lambda guide: guide.after(self._tries.attempts[place], now_s))
        self.keep(now_s)

    def catch_up(self, now_s: float) -> bool:
        """Take in, at rest, the time and what was set right meanwhile; whether the guide stands otherwise now."""
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
        """Have written down where the guide stands; also for leaving."""
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
