"""Counting an attempt: its catches so far and at its end, what ends it by itself, and which catch is heard."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from trainer.practice.guide import Aim
from trainer.practice.run import BY_ITSELF, SETTLE_S, Limit, Signal
from trainer.records.attempt import CountedBy, Ended, TapsUnit
from trainer.timing.counting import Goals, beat_of_catch, catches_by
from trainer.timing.score import Score

QUIET_TAPS = 2.5
"""Counted by taps, a run ends when no tap has come for this times the usual wait between two …"""

SHORTEST_QUIET_S = 1.5
"""… and for at least this long."""

CLEAN = (Ended.COLLECTED, *BY_ITSELF)
"""Endings after which every catch counts."""


@dataclass(frozen=True, slots=True)
class Counter:
    """Counts one attempt. aim: what ends it by itself, None where only a press or the quiet after the taps does."""

    score: Score
    counted_by: CountedBy
    unit: TapsUnit
    aim: Aim | None = None

    def running(self, beat: Fraction, taps: int) -> int:
        """Catches so far, for the screen.

        By the beat those due by now, but no more than are aimed at; by taps those tapped. By hand nobody knows yet: by
        the beat.
        """
        catches = self._made(beat, taps)
        return min(catches, self._due or catches)

    def ended(self, beat: Fraction, taps: int, ending: Ended) -> int | None:
        """Catches of an attempt that ended at a beat; None by hand, where they are typed in.

        By the beat, after a clean finish every catch due by then counts; after a drop the last of them is the one that
        was missed. A given-up run counts as a drop does.
        """
        if self.counted_by is CountedBy.HAND:
            return None
        if ending is Ended.GOAL and self._due:
            return self._due
        missed = 0 if ending in CLEAN or self.counted_by is CountedBy.TAPS else 1
        return max(0, self._made(beat, taps) - missed)

    def _made(self, beat: Fraction, taps: int) -> int:
        if self.counted_by is CountedBy.TAPS:
            return taps * self.catches_per_tap()
        return catches_by(self.score, beat)

    @property
    def _due(self) -> int | None:
        """The number of catches that ends the attempt, counted by the beat; None where no number does."""
        return self.aim.catches if self.aim is not None and self.counted_by is CountedBy.BEAT else None

    def catches_per_tap(self) -> int:
        """Catches that one tap stands for. A tap a right hand's catch stands for two: the left's comes next."""
        return {TapsUnit.CATCH: 1, TapsUnit.RIGHT: 2, TapsUnit.ROUND: max(1, Goals.of(self.score).round)}[self.unit]

    def beats_per_tap(self) -> Fraction:
        """Average number of beats from one tap to the next."""
        per_beat = Fraction(len(self.score.catch_cells), self.score.pattern.period)
        return self.catches_per_tap() / per_beat if per_beat else Fraction(self.score.pattern.round)

    def quiet_s(self, tempo_bpm: Fraction) -> float:
        """How long no tap may come at a tempo before a run counted by taps ends."""
        return max(SHORTEST_QUIET_S, QUIET_TAPS * float(self.beats_per_tap() * 60 / tempo_bpm))

    @property
    def explanation(self) -> str:
        """The way of counting, in a sentence."""
        if self.counted_by is CountedBy.BEAT:
            return "by the beat: tap to start, tap at the drop; twice quickly for a clean finish"
        if self.counted_by is CountedBy.HAND:
            return "by hand: tap to start and to stop, then type the catches"
        return {
            TapsUnit.CATCH: "by taps: one tap a catch; it ends when the taps stop",
            TapsUnit.RIGHT: "by taps: one tap a right-hand catch (counts 2); it ends when the taps stop",
            TapsUnit.ROUND: f"by taps: one tap a round (counts {self.catches_per_tap()}); it ends when the taps stop",
        }[self.unit]

    def limit(self, started_s: float, reaction_s: float, heard_s: Callable[[Fraction], float | None]) -> Limit | None:
        """What ends a run that aims at something; None where only a press can.

        heard_s: when a beat is heard. An aim is held when a drop at its very moment would have been pressed by now:
        after the reaction time and the settling. By hand nobody counts along, so only time ends a run.
        """
        if self.aim is None:
            return None
        hold_s = reaction_s + SETTLE_S
        if self.aim.seconds is not None:
            return Limit(Signal.TIME, started_s + self.aim.seconds, hold_s)
        assert self.aim.catches is not None
        if self.counted_by is CountedBy.TAPS:
            return Limit(Signal.GOAL, taps=ceil(self.aim.catches / self.catches_per_tap()))
        beat = beat_of_catch(self.score, self._due) if self._due else None
        at_s = heard_s(beat) if beat is not None else None
        return Limit(Signal.GOAL, at_s, hold_s) if at_s is not None else None

    def roles(self, best: int | None) -> tuple[tuple[int, str], ...]:
        """Pairs of a catch and the kit's role heard at it: flash, qualify, one more than the best so far, the aim."""
        goals = Goals.of(self.score)
        named = [*goals.named]
        if best:
            named.append((best + 1, "best"))
        if self.aim is not None and self.aim.catches not in (None, goals.flash, goals.qualify):
            named.append((self.aim.catches, "goal"))
        return tuple((catch, role) for catch, role in named if catch)
