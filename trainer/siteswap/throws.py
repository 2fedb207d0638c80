"""One throw: which hand of which juggler throws what, when, and where it comes down."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"
"""The digits of siteswap: a stands for 10, z for 35."""

HIGHEST_VALUE = len(DIGITS) - 1
MOST_JUGGLERS = 6


class Hand(StrEnum):
    """A hand, by the letter shown to people and written to files."""

    RIGHT = "R"
    LEFT = "L"

    @property
    def other(self) -> Hand:
        """The opposite hand."""
        return Hand.LEFT if self is Hand.RIGHT else Hand.RIGHT


class Rhythm(StrEnum):
    """How the hands share the beats."""

    ASYNC = "async"
    SYNC = "sync"
    PASSING = "passing"


@dataclass(frozen=True, slots=True)
class Throw:
    """One object leaving a hand, or the empty hand (value 0), in one period of a pattern.

    beat: whole beats from the start of the period. juggler, to_juggler: counted from 0.
    hand: for a pattern that starts with the right hand. column: place in the text, counted from 1.
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
        """Whether it comes down in a hand of the other side."""
        return self.hand is not self.to_hand

    @property
    def passed(self) -> bool:
        """Whether it goes to another juggler."""
        return self.juggler != self.to_juggler

    @property
    def held(self) -> bool:
        """Whether this is a 2 that can stay in the hand: no throw, no catch."""
        return self.value == 2 and not self.crosses and not self.passed

    @property
    def empty(self) -> bool:
        """Whether the hand has nothing to throw."""
        return self.value == 0

    @property
    def lands(self) -> int:
        """The beat, from the start of the period, at which it is due to be thrown again."""
        return self.beat + self.value


def value_to_digit(value: int) -> str:
    """The digit of a throw value from 0 to 35. Raises IndexError beyond."""
    return DIGITS[value]
