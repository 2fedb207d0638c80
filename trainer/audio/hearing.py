"""Hearing: which of a pattern's sounds are heard, and how loud.

A sound that is left out moves no other: what is heard after a silence falls exactly where it would have fallen.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import floor

from trainer.siteswap.throws import Hand
from trainer.timing.counting import all_up_spans
from trainer.timing.score import Event, EventKind, Score


class Hear(StrEnum):
    """Whether throws, catches or both are heard."""

    THROWS = "throws"
    CATCHES = "catches"
    BOTH = "both"


class Hands(StrEnum):
    """Whose throws and catches are heard."""

    BOTH = "both"
    RIGHT = "right"
    LEFT = "left"


class Heights(StrEnum):
    """Whether all throws are heard, or only those of the highest value."""

    ALL = "all"
    TOP = "top"


class AllUp(StrEnum):
    """Whether two sounds tell when all hands become empty and when the first object is back."""

    UNHEARD = "unheard"
    HEARD = "heard"


LEFT_OUT: dict[Hear, tuple[EventKind, ...]] = {
    Hear.THROWS: (EventKind.CATCH,),
    Hear.CATCHES: (EventKind.THROW, EventKind.HOLD, EventKind.GAP, EventKind.ENTRY),
    Hear.BOTH: (),
}
ALWAYS_HEARD = (EventKind.COUNT_IN, EventKind.GOAL, EventKind.UP, EventKind.DOWN)
OF_A_HAND = (EventKind.THROW, EventKind.HOLD, EventKind.GAP, EventKind.CATCH, EventKind.ENTRY, EventKind.FLOOR)
SIDES = {Hands.RIGHT: Hand.RIGHT, Hands.LEFT: Hand.LEFT}

SHORTEST_ALL_UP_BEATS = 1
"""In a shorter window nothing can be done; at a low dwell ratio even a cascade has one in every beat."""

LEAST_GAIN = 0.1
"""A fading click gets no quieter than this: -20 dB."""


@dataclass(frozen=True, slots=True)
class Hearing:
    """What is left out, and what fades.

    silent_rounds: so many unheard rounds follow each heard_rounds that are heard; 0: none. fade_rounds: rounds in which
    the click falls to half its loudness (-6 dB); 0: it does not fade. all_up: whether both ends of an all-up window
    sound, in a silent round too.
    """

    hear: Hear = Hear.THROWS
    hands: Hands = Hands.BOTH
    heights: Heights = Heights.ALL
    heard_rounds: int = 4
    silent_rounds: int = 0
    fade_rounds: int = 0
    all_up: AllUp = AllUp.UNHEARD

    def gain(self, event: Event, score: Score) -> float:
        """How loud an event is, as a factor: 0 where it is unheard, 1 where it is as loud as the kit has it."""
        if event.kind in ALWAYS_HEARD:
            return 1.0
        if event.kind in LEFT_OUT[self.hear] or self._is_left_out(event, score):
            return 0.0
        number = max(0, floor(event.beat / score.pattern.round))
        if self.silent_rounds and number % (self.heard_rounds + self.silent_rounds) >= self.heard_rounds:
            return 0.0
        return max(LEAST_GAIN, 0.5 ** (number / self.fade_rounds)) if self.fade_rounds else 1.0

    def all_up_events(self, score: Score, start_beat: Fraction, stop_beat: Fraction | None) -> Iterator[Event]:
        """The ends of the all-up windows that are heard, from start_beat on and before stop_beat, in order."""
        if self.all_up is AllUp.UNHEARD:
            return
        for window in all_up_spans(score, start_beat, stop_beat):
            if window.beats < SHORTEST_ALL_UP_BEATS:
                continue
            for beat, kind in ((window.start_beat, EventKind.UP), (window.start_beat + window.beats, EventKind.DOWN)):
                if start_beat <= beat and (stop_beat is None or beat < stop_beat):
                    yield Event(beat, kind)

    def _is_left_out(self, event: Event, score: Score) -> bool:
        if event.kind not in OF_A_HAND:
            return False
        other_hand = self.hands is not Hands.BOTH and event.hand is not SIDES[self.hands]
        lower = (
            self.heights is Heights.TOP and event.kind is not EventKind.ENTRY and event.value < score.pattern.highest
        )
        return other_hand or lower


THROWS_HEARD = Hearing()
"""Every throw as loud as the kit has it, and no catch."""
