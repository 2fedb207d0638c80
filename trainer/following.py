"""Following a guide: from the tries written down to what comes next, also when one of them is set right afterwards.

Where the guide stands is worked out again from its start whenever the journal changes, so a count typed in, a mark
of unfairness and an undo all reach it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from trainer.chosen import Chosen
from trainer.journal import Journal
from trainer.library.catalogue import Choice
from trainer.logbook.records import Attempt
from trainer.practice.guide import Guide, Task

ToChosen = Callable[[Choice, Fraction | None], Chosen]
"""A pattern as the settings have it carried out, at a tempo or its usual one."""


class Keeper(Protocol):
    """Keeps in the logbook what a guide belongs to, such as a climb."""

    def stamp(self, guide: Guide, attempt: Attempt) -> Attempt:
        """An attempt about to begin, with what it is part of."""

    def keep(self, guide: Guide, now_s: float) -> None:
        """Where the guide stands, after each try, each change in the tries, and on leaving."""


class NoKeeper:
    """Keeps nothing."""

    def stamp(self, guide: Guide, attempt: Attempt) -> Attempt:
        return attempt

    def keep(self, guide: Guide, now_s: float) -> None:
        pass


NO_KEEPER = NoKeeper()


@dataclass(frozen=True, slots=True)
class Lead:
    """Who leads a session. to_chosen: how the guide's patterns are carried out. keeper: writes down where it stands."""

    guide: Guide
    to_chosen: ToChosen
    keeper: Keeper = NO_KEEPER


Event = Callable[[Guide], Guide]


class Following:
    """A guide as it stands by now. guide: the value."""

    def __init__(self, lead: Lead, journal: Journal) -> None:
        self.to_chosen = lead.to_chosen
        self.guide = self._start = lead.guide
        self._keeper, self._journal = lead.keeper, journal
        self._events: tuple[Event, ...] = ()
        self._seen = journal.attempts

    @property
    def task(self) -> Task | None:
        """What to do now; None when all is done."""
        return self.guide.task

    @property
    def may_begin(self) -> bool:
        """Whether there is something to throw now."""
        return self.task is not None and self.task.choice is not None

    def stamp(self, attempt: Attempt) -> Attempt:
        """An attempt about to begin, with what it is part of."""
        return self._keeper.stamp(self.guide, attempt)

    def begun(self, now_s: float) -> None:
        """The pedal was pressed at rest."""
        self._note(lambda guide: guide.begun(now_s))

    def wrote(self, now_s: float) -> None:
        """The journal's last attempt has ended under this guide."""
        place = len(self._journal.attempts) - 1
        self._seen = self._journal.attempts
        self._note(lambda guide: guide.after(self._journal.attempts[place], now_s))
        self._keeper.keep(self.guide, now_s)

    def catch_up(self, now_s: float) -> bool:
        """Take in, at rest, the time and what was set right meanwhile; whether the guide stands otherwise now."""
        before = self.guide
        if self._journal.attempts is not self._seen:
            self._seen = self._journal.attempts
            self.guide = self._start
            for event in self._events:
                self.guide = event(self.guide)
        timed = self.guide.at(now_s)
        if timed != self.guide:
            self._note(lambda guide: guide.at(now_s))
        if self.guide == before:
            return False
        self._keeper.keep(self.guide, now_s)
        return True

    def leave(self, now_s: float) -> None:
        """The session is over: where the guide stands is kept."""
        self._keeper.keep(self.guide, now_s)

    def _note(self, event: Event) -> None:
        self._events = (*self._events, event)
        self.guide = event(self.guide)
