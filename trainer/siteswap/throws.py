"""A throw: which hand of which juggler throws which value on which beat, and where it comes down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"
"""The digits of siteswap: a stands for 10, z for 35."""

HIGHEST_VALUE = len(DIGITS) - 1
MOST_JUGGLERS = 6


class Hand(StrEnum):
    """A hand. Its value is the letter that screens show and files hold."""

    RIGHT = "R"
    LEFT = "L"

    @property
    def other(self) -> Hand:
        """The opposite hand."""
        return Hand.LEFT if self is Hand.RIGHT else Hand.RIGHT


class Rhythm(StrEnum):
    """How the hands share the beats: in turn, both at once, or as in a pattern for several jugglers."""

    ASYNC = "async"
    SYNC = "sync"
    PASSING = "passing"


@dataclass(frozen=True, slots=True)
class Throw:
    """One object that leaves a hand, or an empty hand (value 0), in one period of a pattern.

    beat: whole beats from the start of the period. juggler, to_juggler: counted from 0. hand, to_hand: those of a
    pattern that starts with the right hand. column: place in the text, counted from 1.
    """

    beat: int
    juggler: int
    hand: Hand
    value: int
    to_juggler: int
    to_hand: Hand
    column: int

    @property
    def crosses(self) -> bool:
        """Whether it comes down in a hand of the other side, of whichever juggler."""
        return self.hand is not self.to_hand

    @property
    def passed(self) -> bool:
        """Whether it goes to another juggler."""
        return self.juggler != self.to_juggler

    @property
    def held(self) -> bool:
        """Whether it is a 2 that can stay in the hand, without throw and catch."""
        return self.value == 2 and not self.crosses and not self.passed

    @property
    def empty(self) -> bool:
        """Whether the hand has nothing to throw."""
        return self.value == 0

    @property
    def lands(self) -> int:
        """The beat, from the start of the period, on which its object is thrown again."""
        return self.beat + self.value


def step_to_text(hands: Sequence[Sequence[str]], rhythm: Rhythm) -> str:
    """Write the throws of one juggler on one step. hands: the texts of each hand's throws; in async of one hand."""
    cells = [texts[0] if len(texts) == 1 else f"[{''.join(texts)}]" if texts else "0" for texts in hands]
    return f"({cells[0]},{cells[1]})" if rhythm is Rhythm.SYNC else cells[0]


def value_to_digit(value: int) -> str:
    """Return the digit of a throw value from 0 to 35. Raises IndexError for a higher one."""
    return DIGITS[value]
