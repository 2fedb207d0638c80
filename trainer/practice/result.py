"""The result of an attempt: how many catches, by the way they were counted."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.logbook.records import CountedBy, Ended, TapsUnit
from trainer.timing.counting import Goals, catches_by
from trainer.timing.score import Score


@dataclass(frozen=True, slots=True)
class Counter:
    """Counts one attempt. Each way of counting says how it counts in `explanation`."""

    score: Score
    goals: Goals
    counted_by: CountedBy
    unit: TapsUnit

    @classmethod
    def of(cls, score: Score, counted_by: CountedBy, unit: TapsUnit) -> Counter:
        return cls(score, Goals.of(score), counted_by, unit)

    def running(self, beat: Fraction, taps: int) -> int:
        """Catches so far: by the beat those due by now, by taps those tapped. By hand nobody knows yet: by the beat."""
        if self.counted_by is CountedBy.TAPS:
            return taps * self.catches_per_tap()
        return catches_by(self.score, beat)

    def ended(self, beat: Fraction, taps: int, ending: Ended) -> int:
        """Catches of an attempt that ended at a beat.

        By the beat, after a clean finish every catch due by then counts; after a drop the last of them is the
        one that was missed. A given-up run counts as a drop does.
        """
        catches = self.running(beat, taps)
        clean = ending in (Ended.COLLECTED, Ended.GOAL, Ended.TIME)
        missed = 0 if clean or self.counted_by is CountedBy.TAPS else 1
        return max(0, catches - missed)

    def catches_per_tap(self) -> int:
        """Catches that one tap stands for; two for the right hand's, its own and the left's that follows."""
        return {TapsUnit.CATCH: 1, TapsUnit.RIGHT: 2, TapsUnit.ROUND: max(1, self.goals.round)}[self.unit]

    def beats_per_tap(self) -> Fraction:
        """Beats from one tap to the next if none is missed, on the average."""
        per_beat = Fraction(len(self.score.catch_cells), self.score.pattern.period)
        return self.catches_per_tap() / per_beat if per_beat else Fraction(self.score.pattern.round)

    @property
    def explanation(self) -> str:
        """How this counts, in a sentence for the screen."""
        if self.counted_by is CountedBy.BEAT:
            return "by the beat: tap to start, tap at the drop; twice quickly for a clean finish"
        if self.counted_by is CountedBy.HAND:
            return "by hand: tap to start and to stop, then type the catches"
        return {
            TapsUnit.CATCH: "by taps: one tap a catch; it ends when the taps stop",
            TapsUnit.RIGHT: "by taps: one tap a right-hand catch (counts 2); it ends when the taps stop",
            TapsUnit.ROUND: f"by taps: one tap a round (counts {self.catches_per_tap()}); it ends when the taps stop",
        }[self.unit]
