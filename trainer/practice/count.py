"""The result of an attempt: how many catches, by the way they were counted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from trainer.practice.guide import Aim
from trainer.practice.run import SETTLE_S, Mark, Signal
from trainer.records.attempt import CountedBy, Ended, TapsUnit
from trainer.timing.counting import Goals, beat_of_catch, catches_by
from trainer.timing.score import Score

QUIET_TAPS = 2.5
"""Counted by taps, a run ends when none has come for so many times the usual wait …"""

SHORTEST_QUIET_S = 1.5
"""… but for no less than this."""


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

    def quiet_s(self, tempo_bpm: Fraction) -> float:
        """How long no tap may come at a tempo before a run counted by taps ends."""
        return max(SHORTEST_QUIET_S, QUIET_TAPS * float(self.beats_per_tap() * 60 / tempo_bpm))

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


def aim_to_mark(
    aim: Aim, counter: Counter, started_s: float, reaction_s: float, heard_s: Callable[[Fraction], float | None]
) -> Mark | None:
    """What ends a run that aims at something; None where only a press can.

    heard_s: when a beat is heard. An aim is held when a drop at its very moment would have been pressed by now:
    after the reaction time and the settling. By hand nobody counts along, so only time ends a run.
    """
    hold_s = reaction_s + SETTLE_S
    if aim.seconds is not None:
        return Mark(Signal.TIME, started_s + aim.seconds, hold_s)
    assert aim.catches is not None
    if counter.counted_by is CountedBy.TAPS:
        return Mark(Signal.GOAL, taps=ceil(aim.catches / counter.catches_per_tap()))
    beat = beat_of_catch(counter.score, aim.catches) if counter.counted_by is CountedBy.BEAT else None
    at_s = heard_s(beat) if beat is not None else None
    return Mark(Signal.GOAL, at_s, hold_s) if at_s is not None else None


def goal_roles(goals: Goals, best: int | None, aim: Aim | None) -> tuple[tuple[int, str], ...]:
    """At which catch which role of the kit is heard: flash, qualify, one more than the best so far, the aim."""
    named = [(goals.flash, "flash"), (goals.qualify, "qualify")]
    if best:
        named.append((best + 1, "best"))
    if aim is not None and aim.catches is not None and aim.catches not in (goals.flash, goals.qualify):
        named.append((aim.catches, "goal"))
    return tuple((catch, role) for catch, role in named if catch)
