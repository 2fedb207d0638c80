"""Guides: values that say what to do next, try after try. A climb is one, a plan's run is one."""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Self

from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.records.attempt import Attempt, Ended
from trainer.timing.counting import Goals


@dataclass(frozen=True, slots=True)
class Aim:
    """What one try is to reach: a number of catches or of seconds. ValueError unless it is exactly one of them."""

    catches: int | None = None
    seconds: float | None = None

    def __post_init__(self) -> None:
        if (self.catches is None) is (self.seconds is None) or (self.catches or self.seconds or 0) <= 0:
            raise ValueError("an aim is a number of catches or of seconds, above 0")

    def reached(self, attempt: Attempt) -> bool:
        """Whether a try that has ended reached the aim. Seconds are reached only by a run that they ended."""
        if self.catches is not None:
            return attempt.catches is not None and attempt.catches >= self.catches
        return attempt.ended is Ended.TIME

    def decided(self, attempt: Attempt) -> bool:
        """Whether it is known if a try reached the aim; not while a count by hand is still to be typed in."""
        return self.catches is None or attempt.catches is not None

    def __str__(self) -> str:
        return f"{self.catches} catches" if self.catches is not None else f"{self.seconds:g} s"


@dataclass(frozen=True, slots=True)
class Task:
    """What to do now. choice: None for a pause, in which no try begins. tempo_bpm: None for the pattern's usual one.

    aim: what ends a try by itself, None for nothing. say: a sentence for the juggler. fixed: why tempo and dwell
    can't be changed by keys, empty if they can. ends_s: of a pause, when it ends by itself. number: of the block in
    a plan, which a kit with numbers speaks when it begins; 0 for none. Two tasks that are equal are the same task: what
    keys have changed in it stays.
    """

    choice: Choice | None
    tempo_bpm: Fraction | None = None
    aim: Aim | None = None
    say: str = ""
    fixed: str = ""
    ends_s: float | None = None
    number: int = 0

    @property
    def is_pause(self) -> bool:
        """Whether this is a pause, in which nothing is thrown."""
        return self.choice is None


@dataclass(frozen=True, slots=True)
class Told:
    """What a guide has to tell at one moment, for whoever shows it. Every text may be empty.

    leads: False where there is no guide. place: which part of the whole this is. lines: how far it has come. say: a
    sentence for the juggler. coming: the parts that follow a pause, a line each. left_s: of a pause, how long it still
    lasts; None where it has no end of its own. word, hint: where things stand between two tries and what to press, if
    the guide has words of its own for it; {pedal} stands for the pedal's key.
    """

    leads: bool = True
    place: str = ""
    lines: tuple[str, ...] = ()
    say: str = ""
    coming: tuple[str, ...] = ()
    left_s: float | None = None
    word: str = ""
    hint: str = ""


class Guide(ABC):
    """Says what to do next. Each change gives a new value; seconds are those of the clock that stamps the presses.

    A method that a guide does not override leaves it as it is.
    """

    __slots__ = ()

    @property
    @abstractmethod
    def task(self) -> Task | None:
        """What to do now; None when all is done."""

    @property
    def sound(self) -> str:
        """The role of the kit that tells what the last change brought; empty if it brought nothing new."""
        return ""

    def told(self, now_s: float) -> Told:
        """What the guide has to tell at a moment."""
        return Told()

    def begun(self, now_s: float) -> Self:
        """The guide after a press of the pedal at rest."""
        return self

    def at(self, now_s: float) -> Self:
        """The guide after what time has brought about at rest."""
        return self

    def after(self, attempt: Attempt, now_s: float) -> Self:
        """The guide after a try that was written down, whether it counts or not."""
        return self

    def skipped(self, now_s: float) -> Self:
        """The guide at its next part, from now on; a guide without parts stays as it is."""
        return self


@dataclass(frozen=True, slots=True)
class NoGuide(Guide):
    """The guide of a practice without one: its one task lasts as long as the juggler likes."""

    task: Task

    def told(self, now_s: float) -> Told:
        return Told(leads=False)


GOAL = re.compile(r"(\d{1,6})(?: ?(s|seconds|catches))?")


def goal_to_aim(goal: str, goals: Goals) -> Aim:
    """What a goal's word asks of one try: flash, qualify, so many catches (“12 catches”, “12”) or seconds (“10 s”).

    goals: of the pattern, whose flash and qualify are meant. Raises TrainerError for any other text.
    """
    named = {"flash": goals.flash, "qualify": goals.qualify}
    text = goal.strip().lower()
    if text in named:
        if not named[text]:
            raise TrainerError("There is nothing to catch in this pattern. Choose one with an object.")
        return Aim(catches=named[text])
    found = GOAL.fullmatch(text)
    if found is None or not int(found[1]):
        raise TrainerError(f"“{goal}” was not a goal. Write flash, qualify, a number of catches, or seconds as “10 s”.")
    return Aim(seconds=float(found[1])) if (found[2] or "c")[0] == "s" else Aim(catches=int(found[1]))


def minutes_left(seconds: float) -> str:
    """Time left as minutes and seconds; the last second is shown until it is over."""
    minutes, left = divmod(ceil(seconds), 60)
    return f"{minutes}:{left:02}"
