"""What a list is asked for: an order, a filter, and where a page ended."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum
from typing import Final

from trainer.records.attempt import CountedBy

PageEnd = tuple[int | float, ...]
"""Where a page ended: the sort keys of its last attempt."""


class Sort(Enum):
    """The orders of a list: the index that has it, the sort key before day and number, and the way it is read."""

    NEWEST = "attempts_by_day", "", "DESC"
    OLDEST = "attempts_by_day", "", "ASC"
    CATCHES = "attempts_by_catches", "COALESCE(a.catches, -1)", "DESC"
    SECONDS = "attempts_by_seconds", "COALESCE(a.seconds, -1)", "DESC"
    TEMPO = "attempts_by_tempo", "a.tempo_bpm", "DESC"

    def __init__(self, index: str, key: str, way: str) -> None:
        self.index, self.way = index, way
        self.keys = (key, "a.day", "a.id") if key else ("a.day", "a.id")


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
