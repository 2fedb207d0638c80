"""What a search is asked for, as a value or as typed text.

SearchQuery holds the bounds; texts_to_query makes one of what somebody typed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum

from trainer.errors import TrainerError
from trainer.siteswap.throws import DIGITS, HIGHEST_VALUE, Rhythm

LONGEST_PERIOD = 100
WHOLE_NUMBER = re.compile(r"[+-]?[0-9]{1,6}")
LONGEST_SHOWN = 20

HANDS = {Rhythm.ASYNC: 1, Rhythm.SYNC: 2}
"""Throws at one moment: in async one hand throws on each beat, in sync both hands throw on every second beat."""


class SearchError(TrainerError):
    """A query that no pattern can meet, or that cannot be read or counted."""


class Only(StrEnum):
    """A property that every pattern found must have."""

    GROUND = "ground"
    PRIME = "prime"
    NO_ZIP = "no zip"


@dataclass(frozen=True, slots=True)
class SearchQuery:
    """The bounds of a search for patterns of one juggler, without multiplex.

    period: exact number of beats; repetitions of a shorter pattern are not found. highest, lowest: bounds on every
    throw value; None stands for the highest value there is. contains: values that must occur, each as often as it
    is named. Raises SearchError for a bound out of range and for an odd period in sync.
    """

    objects: int
    period: int
    highest: int | None = None
    lowest: int = 0
    rhythm: Rhythm = Rhythm.ASYNC
    only: frozenset[Only] = frozenset()
    contains: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if self.rhythm not in HANDS:
            raise SearchError("Passing patterns were asked for; ask for async or sync ones.")
        if not 0 <= self.objects <= HIGHEST_VALUE:
            raise SearchError(f"{self.objects} objects were asked for; choose a number from 0 to {HIGHEST_VALUE}.")
        if not 1 <= self.period <= LONGEST_PERIOD:
            raise SearchError(f"A period of {self.period} was asked for; choose one from 1 to {LONGEST_PERIOD} beats.")
        if self.rhythm is Rhythm.SYNC and self.period % 2:
            raise SearchError(f"A sync period of {self.period} was asked for; two beats a pair make it even.")
        for name, value in (("highest", self.highest), ("lowest", self.lowest)):
            if value is not None and not 0 <= value <= HIGHEST_VALUE:
                raise SearchError(f"A {name} throw of {value} was asked for; choose one from 0 to {HIGHEST_VALUE}.")
        for value in self.contains:
            if not 0 <= value <= HIGHEST_VALUE:
                raise SearchError(f"A throw of {value} was asked for; values go from 0 to {HIGHEST_VALUE}.")

    @property
    def hands(self) -> int:
        """How many hands throw at one moment: 1 in async, 2 in sync."""
        return HANDS[self.rhythm]

    @property
    def top(self) -> int:
        """The highest value that any pattern of this query can have.

        All values of a period add up to objects × period. In a ground pattern every throw comes down before the
        end of the ground state that follows its period.
        """
        top = min(HIGHEST_VALUE if self.highest is None else self.highest, self.objects * self.period)
        return min(top, self.objects + self.period + self.hands - 2) if Only.GROUND in self.only else top


def texts_to_query(
    objects: str,
    period: str,
    highest: str = "",
    lowest: str = "",
    contains: str = "",
    only: Collection[Only] = (),
    rhythm: Rhythm = Rhythm.ASYNC,
) -> SearchQuery:
    """Make a query of typed texts.

    An empty text for highest, lowest or contains sets no bound. Raises SearchError, whose message says what to type
    instead.
    """
    query = SearchQuery(
        text_to_number(objects, "number of objects"),
        text_to_number(period, "period"),
        text_to_number(highest, "highest throw") if highest.strip() else None,
        text_to_number(lowest, "lowest throw") if lowest.strip() else 0,
        rhythm,
        frozenset(only),
        text_to_values(contains),
    )
    if query.highest is not None and query.lowest > query.highest:
        raise SearchError(f"The lowest throw, {query.lowest}, was above the highest, {query.highest}; exchange them.")
    return query


def text_to_number(text: str, what: str) -> int:
    """Read a whole number.

    Full-width digits are read too. what: the name of the number in messages. Raises SearchError.
    """
    folded = _folded(text)
    if not folded:
        raise SearchError(f"No {what} was given; type a whole number.")
    if not WHOLE_NUMBER.fullmatch(folded):
        raise SearchError(f"“{_shown(text)}” was given as the {what}; type a whole number.")
    return int(folded)


def text_to_bounded(text: str, what: str, least: int, most: int) -> int:
    """Read a whole number from least to most, both included. Raises SearchError."""
    number = text_to_number(text, what)
    if not least <= number <= most:
        raise SearchError(f"“{_shown(text)}” was given as the {what}; choose a number from {least} to {most}.")
    return number


def text_to_values(text: str) -> tuple[int, ...]:
    """Read throw values with commas or spaces between them.

    Values from 10 on may be written as numbers or as letters. Raises SearchError.
    """
    values = []
    for word in _folded(text).replace(",", " ").split():
        if len(word) == 1 and word in DIGITS:
            values.append(DIGITS.index(word))
        elif WHOLE_NUMBER.fullmatch(word) and 0 <= int(word) <= HIGHEST_VALUE:
            values.append(int(word))
        else:
            raise SearchError(f"“{_shown(word)}” was no throw; type values from 0 to 9 or a to z, such as 5,1.")
    return tuple(values)


def _folded(text: str) -> str:
    return unicodedata.normalize("NFKC", text).strip().lower()


def _shown(text: str) -> str:
    """Shorten a typed text for a message and replace characters that cannot be printed."""
    text = "".join(char if char.isprintable() else "·" for char in text.strip())
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"
