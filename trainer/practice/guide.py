"""A guide says what to do next, try after try: a climb, judged attempts, a plan. A value that grows with each try."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol, runtime_checkable

from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.records.attempt import Attempt, Ended
from trainer.timing.counting import Goals


@dataclass(frozen=True, slots=True)
class Aim:
    """What one try is to reach: so many catches, or so many seconds; ValueError unless it is one of the two."""

    catches: int | None = None
    seconds: float | None = None

    def __post_init__(self) -> None:
        if (self.catches is None) is (self.seconds is None) or (self.catches or self.seconds or 0) <= 0:
            raise ValueError("an aim is a number of catches or of seconds, above 0")

    def reached(self, attempt: Attempt) -> bool:
        """Whether a try that has ended reached it. Seconds are reached only by a run that they ended."""
        if self.catches is not None:
            return attempt.catches is not None and attempt.catches >= self.catches
        return attempt.ended is Ended.TIME

    def decided(self, attempt: Attempt) -> bool:
        """Whether one can say so already; a count by hand that is still to be typed in can't."""
        return self.catches is None or attempt.catches is not None

    def __str__(self) -> str:
        return f"{self.catches} catches" if self.catches is not None else f"{self.seconds:g} s"


@dataclass(frozen=True, slots=True)
class Task:
    """What to do now. choice: None for a pause, in which no try begins. tempo_bpm: None for the pattern's usual one.

    aim: what ends a try by itself, None for nothing. say: a sentence for the juggler. fixed: why tempo and dwell
    can't be changed by keys, empty if they can. ends_s: of a pause, when it ends by itself. number: of the block in
    a plan, which a kit with numbers speaks when it begins; 0 for none.
    """

    choice: Choice | None
    tempo_bpm: Fraction | None = None
    aim: Aim | None = None
    say: str = ""
    fixed: str = ""
    ends_s: float | None = None
    number: int = 0


class Guide(Protocol):
    """Where one stands. Each change gives a new value; seconds are those of the clock that stamps the presses."""

    @property
    def task(self) -> Task | None:
        """What to do now; None when all is done."""

    @property
    def sound(self) -> str:
        """The role of the kit that tells what the last change brought; empty if it brought nothing new."""

    def begun(self, now_s: float) -> Guide:
        """The pedal was pressed at rest."""

    def at(self, now_s: float) -> Guide:
        """What time alone brings about at rest."""

    def after(self, attempt: Attempt, now_s: float) -> Guide:
        """A try has ended and been written down, whether it counts or not."""


@runtime_checkable
class Skippable(Protocol):
    """A guide with parts, of which one can be left out."""

    def skipped(self, now_s: float) -> Guide:
        """The next part, from now on."""


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
