"""Climbs: a guide that goes up a ladder of rungs while tries reach their aim, and down when they miss it.

Where a climb stands is a fold over its attempts in their order; those that are not fair, given up, or made otherwise
than on the rung leave it where it is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from trainer.errors import TrainerError
from trainer.practice.climbs.ladder import Ladder, Rung, TempoLadder
from trainer.practice.climbs.threshold import Threshold, find_threshold
from trainer.practice.guide import Guide, Task
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.records.courses import ClimbRule

FIXED = "The climb sets the tempo and how it is thrown. Leave it to change them."
UP, DOWN = 1, -1
SOUNDS = {UP: "rung-up", DOWN: "rung-down"}
REACHED = "target"
MOST_IN_A_ROW = 20


@dataclass(frozen=True, slots=True)
class StepRule:
    """When a climb steps: up after so many successes in a row, down after so many misses in a row.

    reversals: after how many turns from up to down and back it is over, None where only the target ends it.
    """

    kind: ClimbRule
    up_after: int
    down_after: int
    reversals: int | None = None

    def __post_init__(self) -> None:
        if not (1 <= self.up_after <= MOST_IN_A_ROW and 1 <= self.down_after <= MOST_IN_A_ROW):
            raise TrainerError(f"A climb steps after 1 to {MOST_IN_A_ROW} tries in a row. Choose such numbers.")


STAIRCASE = StepRule(ClimbRule.STAIRCASE, 2, 1, 10)
"""Converges on the tempo held 70.7 % of the time. Source: Levitt, JASA 49 (1971) 467-477. 10 reversals take some 30 to
40 tries, and are what the interval needs (tests/bench/climbs.py)."""


def plain(up_after: int = 2, down_after: int = 2) -> StepRule:
    """The plain rule: so many successes in a row for a step up, so many misses for a step down."""
    return StepRule(ClimbRule.PLAIN, up_after, down_after)


@dataclass(frozen=True, slots=True)
class Tried:
    """One try that counted: on which rung, and whether it reached its aim."""

    rung: int
    held: bool


@dataclass(frozen=True, slots=True)
class Climb(Guide):
    """A climb as it stands. place: number of the rung. in_row: successes, or misses below 0, since the last step.

    reversals: the rungs on which it turned round. sound: as a Guide has it.
    """

    ladder: Ladder
    rule: StepRule
    counted_by: CountedBy
    place: int = 0
    in_row: int = 0
    direction: int = 0
    tries: tuple[Tried, ...] = ()
    reversals: tuple[int, ...] = ()
    done: bool = False
    sound: str = ""

    def __post_init__(self) -> None:
        if self.rule.kind is ClimbRule.STAIRCASE and not isinstance(self.ladder, TempoLadder):
            raise TrainerError("A staircase finds a tempo. Climb objects by the plain rule.")

    @property
    def rung(self) -> Rung:
        """The rung under way."""
        return self.ladder.rung(self.place)

    @property
    def task(self) -> Task | None:
        if self.done:
            return None
        rung = self.rung
        return Task(rung.choice, rung.tempo_bpm, rung.aim, ", ".join(self.lines), FIXED)

    @property
    def threshold(self) -> Threshold | None:
        """The threshold that a staircase found; None before its end, and of a plain climb."""
        if self.rule.kind is not ClimbRule.STAIRCASE or not self.done:
            return None
        tempo = [float(self.ladder.rung(number).tempo_bpm) for number in self.reversals]
        return find_threshold(
            tuple((float(self.ladder.rung(each.rung).tempo_bpm), each.held) for each in self.tries), tempo
        )

    def after(self, attempt: Attempt, now_s: float) -> Climb:
        """The climb after a try: on the same rung, a step up or down, or at its end."""
        if self.done or not self._counts(attempt):
            return replace(self, sound="")
        held = self.rung.aim.reached(attempt)
        in_row = (max(self.in_row, 0) + 1) if held else (min(self.in_row, 0) - 1)
        tried = replace(self, in_row=in_row, tries=(*self.tries, Tried(self.place, held)), sound="")
        if in_row >= self.rule.up_after:
            return tried._stepped(UP)
        if -in_row >= self.rule.down_after:
            return tried._stepped(DOWN)
        return tried

    def _stepped(self, direction: int) -> Climb:
        turned = self.direction == -direction
        reversals = (*self.reversals, self.place) if turned else self.reversals
        if self.rule.reversals is not None:
            done = len(reversals) >= self.rule.reversals
        else:
            done = direction == UP and self.place == self.ladder.last
        place = self.place if done else self._next_place(direction)
        sound = REACHED if done else SOUNDS[direction] if place != self.place else ""
        return replace(self, place=place, in_row=0, direction=direction, reversals=reversals, done=done, sound=sound)

    def _next_place(self, direction: int) -> int:
        place = max(self.place + direction, self.ladder.first)
        return place if self.ladder.last is None else min(place, self.ladder.last)

    def _counts(self, attempt: Attempt) -> bool:
        rung = self.rung
        asked = rung.choice.pattern.text, rung.choice.name, rung.tempo_bpm
        return (
            attempt.fair
            and not attempt.removed
            and attempt.ended is not Ended.GIVEN_UP
            and attempt.counted_by is self.counted_by
            and (attempt.pattern, attempt.name, attempt.tempo) == asked
            and rung.aim.decided(attempt)
        )

    @property
    def lines(self) -> tuple[str, ...]:
        """Short lines: the goal, and the tries until the next step up or down."""
        up = self.rule.up_after - max(self.in_row, 0)
        down = self.rule.down_after + min(self.in_row, 0)
        found = [f"goal {self.rung.aim}", f"up: {up} more   down: {down} missed"]
        if self.rule.reversals is not None:
            found.append(f"turn {len(self.reversals)} of {self.rule.reversals}")
        return tuple(found)
