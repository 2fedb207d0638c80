"""What a list is asked for: an order, a filter, what that comes to, and where a page ends."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Final

from trainer.records.attempt import CountedBy

LISTED: Final = "a.removed = 0 AND a.ended IS NOT NULL"  # word for word the condition of the indices

PageEnd = tuple[int | float, ...]
"""Where a page ended: the sort keys of its last attempt."""


class Sort(Enum):
    """The orders of a list; the value is what stands before day and number in an attempt's sort keys."""

    NEWEST = ""
    OLDEST = " "  # the same keys, the other way round
    CATCHES = "COALESCE(a.catches, -1), "
    SECONDS = "COALESCE(a.seconds, -1), "
    TEMPO = "a.tempo_bpm, "

    @property
    def keys(self) -> str:
        """The sort keys, for a query."""
        return f"{self.value.strip()} a.day, a.id"

    @property
    def length(self) -> int:
        """How many they are."""
        return 2 if self.by_time else 3

    @property
    def by_time(self) -> bool:
        """Whether day and number are all that counts."""
        return not self.value.strip()

    @property
    def greatest_first(self) -> bool:
        """Whether the attempt with the greatest keys is listed first."""
        return self is not Sort.OLDEST


@dataclass(frozen=True, slots=True)
class Filter:
    """What is listed: attempts of which all that is given holds.

    text: words, each of which stands in the pattern, its name, the prop, the juggler or the note, in any case of
    letters. since, until: the first and the last day.
    """

    text: str = ""
    pattern: str | None = None
    prop: str | None = None
    juggler: str | None = None
    counted_by: CountedBy | None = None
    since: date | None = None
    until: date | None = None


EVERYTHING: Final = Filter()


@dataclass(frozen=True, slots=True)
class Selection:
    """Attempts of some figures, None for all of them; of those with certain notes only, or of all: None."""

    figures: tuple[int, ...] | None = None
    notes: frozenset[int] | None = None
