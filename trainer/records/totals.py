"""What many attempts add up to: the figures they belong to, and a tally for each figure and day."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from trainer.records.attempt import Attempt, CountedBy


@dataclass(frozen=True, slots=True)
class Figure:
    """What tries are summed up by: tries that differ in any of these are never mixed.

    name: of the pattern in the library, None for none. juggler: None where nobody was named.
    """

    pattern: str
    name: str | None
    prop: str
    counted_by: CountedBy
    juggler: str | None

    @property
    def title(self) -> str:
        """What to call the pattern."""
        return self.name or self.pattern


def figure_of(attempt: Attempt) -> Figure:
    """The figure an attempt belongs to."""
    return Figure(attempt.pattern, attempt.name, attempt.prop, attempt.counted_by, attempt.juggler)


@dataclass(frozen=True, slots=True)
class Total:
    """What fair tries with a known count come to.

    best: the most catches of one. seconds: from each first throw to its end. drops: how many tries ended in a drop; the
    others were collected, or ended by a goal, the clock or their juggler.
    """

    tries: int = 0
    flashes: int = 0
    qualifies: int = 0
    catches: int = 0
    best: int = 0
    seconds: float = 0.0
    drops: int = 0

    def __add__(self, other: Total) -> Total:
        return Total(
            self.tries + other.tries,
            self.flashes + other.flashes,
            self.qualifies + other.qualifies,
            self.catches + other.catches,
            max(self.best, other.best),
            self.seconds + other.seconds,
            self.drops + other.drops,
        )


@dataclass(frozen=True, slots=True)
class Tally:
    """The tries of one figure on one day, by the date of the place they were made at."""

    figure: Figure
    day: date
    total: Total


@dataclass(frozen=True, slots=True)
class FigureTotal:
    """The totals of a figure: all its attempts and their seconds, and what the tries among them come to.

    best_day: when its best was reached first; None without a try. last_day: when it was practised last.
    """

    figure: Figure
    attempts: int
    attempts_s: float
    total: Total
    best_day: date | None
    last_day: date


@dataclass(frozen=True, slots=True)
class DayTotal:
    """The totals of one day, by the date of each place: all attempts, and what the tries among them come to."""

    day: date
    attempts: int
    attempts_s: float
    total: Total


def add_up(tallies: Iterable[Tally]) -> Total:
    """The tallies as one total."""
    return sum((tally.total for tally in tallies), Total())
