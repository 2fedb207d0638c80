"""The words for how catches are counted and how a try ends, apart from the attempts so that settings load fast."""

from __future__ import annotations

from enum import StrEnum


class CountedBy(StrEnum):
    """The three ways to count catches, never mixed in one figure."""

    BEAT = "beat"
    TAPS = "taps"
    HAND = "hand"


class TapsUnit(StrEnum):
    """What one tap counts."""

    CATCH = "catch"
    RIGHT = "right"
    ROUND = "round"


class Ended(StrEnum):
    """How an attempt ended."""

    DROP = "drop"
    COLLECTED = "collected"
    GOAL = "goal"
    GIVEN_UP = "given-up"
    TIME = "time"

    @property
    def words(self) -> str:
        """As people read it, such as “given up”."""
        return self.replace("-", " ")
