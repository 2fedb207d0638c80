"""Following a guide: from the tries written down to what comes next, also when one of them is set right afterwards.

Where the guide stands is worked out again from its start whenever the journal changes, so a count typed in, a mark
of unfairness and an undo all reach it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.library.chosen import Chosen
from trainer.practice.guide import Aim, Guide, Skippable, Task
from trainer.records.attempt import Attempt
from trainer.session.keepers import NO_KEEPER, Keeper
from trainer.session.tries import Tries

ToChosen = Callable[[Choice, Fraction | None], Chosen]
"""A pattern as the settings have it carried out, at a tempo or its usual one."""


@dataclass(frozen=True, slots=True)
class Lead:
    """Who leads a session. to_chosen: how the guide's patterns are carried out. keeper: writes down where it stands."""

    guide: Guide
    to_chosen: ToChosen
    keeper: Keeper = NO_KEEPER


GuideChange = Callable[[Guide], Guide]


class Guided:
    """A guide as it stands by now. guide: the value, None where a session goes its own way; then nothing is changed."""

    def __init__(self, lead: Lead | None, tries: Tries) -> None:
        self.guide = self._start = lead.guide if lead else None
        self._lead, self._tries = lead, tries
        self._events: tuple[GuideChange, ...] = ()
        self._seen = tries.attempts

    @property
    def task(self) -> Task | None:
        """What to do now; None when all is done, and without a guide."""
        return self.guide.task if self.guide else None

    @property
    def aim(self) -> Aim | None:
        """What ends a try by itself."""
        return self.task.aim if self.task else None

    @property
    def sound(self) -> str:
        """The role of the kit that tells what the last change brought; empty for none."""
        return self.guide.sound if self.guide else ""

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
        return self.guide is None or (self.task is not None and self.task.choice is not None)

    def require_free(self) -> None:
        """Raise TrainerError where tempo and dwell are the guide's."""
        if self.task is not None and self.task.fixed:
            raise TrainerError(self.task.fixed)

    def chosen(self) -> Chosen | None:
        """The task's pattern as it is carried out; None where there is none."""
        task = self.task
        return self._lead.to_chosen(task.choice, task.tempo_bpm) if self._lead and task and task.choice else None

    def stamp(self, attempt: Attempt) -> Attempt:
        """An attempt about to begin, with what it is part of."""
        return self._lead.keeper.stamp(self.guide, attempt) if self._lead and self.guide else attempt

    def begun(self, now_s: float) -> bool:
        """The pedal was pressed at rest; whether the guide stands otherwise now."""
        before = self.guide
        self._note(lambda guide: guide.begun(now_s))
        return self._changed(before, now_s)

    def skip(self, now_s: float) -> bool:
        """On to what comes next, where the guide has such; whether it stands otherwise now."""
        before = self.guide
        self._note(lambda guide: guide.skipped(now_s) if isinstance(guide, Skippable) else guide)
        return self._changed(before, now_s)

    def wrote(self, now_s: float) -> None:
        """The journal's last attempt has ended under this guide."""
        place = len(self._tries.attempts) - 1
        self._seen = self._tries.attempts
        self._note(lambda guide: guide.after(self._tries.attempts[place], now_s))
        self.keep(now_s)

    def catch_up(self, now_s: float) -> bool:
        """Take in, at rest, the time and what was set right meanwhile; whether the guide stands otherwise now."""
        before = self.guide
        if self._tries.attempts is not self._seen:
            self._seen = self._tries.attempts
            self.guide = self._start
            for event in self._events:
                self.guide = event(self.guide) if self.guide else None
        if self.guide is not None and self.guide.at(now_s) != self.guide:
            self._note(lambda guide: guide.at(now_s))
        return self._changed(before, now_s)

    def _changed(self, before: Guide | None, now_s: float) -> bool:
        if self.guide == before:
            return False
        self.keep(now_s)
        return True

    def keep(self, now_s: float) -> None:
        """Have written down where the guide stands; also for leaving."""
        if self._lead is not None and self.guide is not None:
            self._lead.keeper.keep(self.guide, now_s)

    def _note(self, event: GuideChange) -> None:
        if self.guide is not None:
            self._events = (*self._events, event)
            self.guide = event(self.guide)
