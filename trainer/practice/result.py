"""The result of an attempt: how many catches, by the way they were counted."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from trainer.practice.run import Counting, Ending
from trainer.timing.counting import Goals, catches_by
from trainer.timing.score import Score


class TapUnit(StrEnum):
    """What one tap stands for when catches are counted by taps."""

    CATCH = "catch"
    RIGHT = "right"
    ROUND = "round"


@dataclass(frozen=True, slots=True)
class Counter:
    """Counts one attempt. Each way of counting says how it counts in `explanation`."""

    score: Score
    goals: Goals
    counting: Counting
    unit: TapUnit

    @classmethod
    def of(cls, score: Score, counting: Counting, unit: TapUnit) -> Counter:
        return cls(score, Goals.of(score), counting, unit)

    def running(self, beat: Fraction, taps: int) -> int:
        """Catches so far: by the beat those due by now, by taps those tapped. By hand nobody knows yet: by the beat."""
        if self.counting is Counting.TAPS:
            return taps * self.catches_per_tap()
        return catches_by(self.score, beat)

    def ended(self, beat: Fraction, taps: int, ending: Ending) -> int:
        """Catches of an attempt that ended at a beat.

        By the beat, after a clean finish every catch due by then counts; after a drop the last of them is the
        one that was missed. A given-up run counts as a drop does.
        """
        catches = self.running(beat, taps)
        clean = ending in (Ending.COLLECTED, Ending.GOAL, Ending.TIME)
        missed = 0 if clean or self.counting is Counting.TAPS else 1
        return max(0, catches - missed)

    def catches_per_tap(self) -> int:
        """Catches that one tap stands for; two for the right hand's, its own and the left's that follows."""
        return {TapUnit.CATCH: 1, TapUnit.RIGHT: 2, TapUnit.ROUND: max(1, self.goals.round)}[self.unit]

    def beats_per_tap(self) -> Fraction:
        """Beats from one tap to the next if none is missed, on the average."""
        per_beat = Fraction(len(self.score.catch_cells), self.score.pattern.period)
        return self.catches_per_tap() / per_beat if per_beat else Fraction(self.score.pattern.round)

    @property
    def explanation(self) -> str:
        """How this counts, in a sentence for the screen."""
        if self.counting is Counting.BEAT:
            return "by the beat: tap to start, tap at the drop; twice quickly for a clean finish"
        if self.counting is Counting.HAND:
            return "by hand: tap to start and to stop, then type the catches"
        return {
            TapUnit.CATCH: "by taps: one tap a catch; it ends when the taps stop",
            TapUnit.RIGHT: "by taps: one tap a right-hand catch (counts 2); it ends when the taps stop",
            TapUnit.ROUND: f"by taps: one tap a round (counts {self.catches_per_tap()}); it ends when the taps stop",
        }[self.unit]
