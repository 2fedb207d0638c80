"""From what somebody typed to a query: numbers, and the throws a pattern has to contain."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection

from trainer.siteswap.search import Only, SearchError, SearchQuery
from trainer.siteswap.throws import DIGITS, HIGHEST_VALUE, Rhythm

WHOLE_NUMBER = re.compile(r"[+-]?[0-9]{1,6}")
LONGEST_SHOWN = 20


def texts_to_query(
    objects: str,
    period: str,
    highest: str = "",
    lowest: str = "",
    contains: str = "",
    only: Collection[Only] = (),
    rhythm: Rhythm = Rhythm.ASYNC,
) -> SearchQuery:
    """The query that was typed; an empty text leaves a bound out. Raises SearchError with what to type instead."""
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
    """A whole number, in digits of any width. Raises SearchError."""
    folded = _folded(text)
    if not folded:
        raise SearchError(f"No {what} was given; type a whole number.")
    if not WHOLE_NUMBER.fullmatch(folded):
        raise SearchError(f"“{_shown(text)}” was given as the {what}; type a whole number.")
    return int(folded)


def text_to_bounded(text: str, what: str, least: int, most: int) -> int:
    """A whole number within bounds. Raises SearchError."""
    number = text_to_number(text, what)
    if not least <= number <= most:
        raise SearchError(f"“{_shown(text)}” was given as the {what}; choose a number from {least} to {most}.")
    return number


def text_to_values(text: str) -> tuple[int, ...]:
    """Throw values with commas or spaces between them, 10 and above as numbers or letters. Raises SearchError."""
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
    """A typed text as a message may hold it: short, and of signs that can be printed."""
    text = "".join(sign if sign.isprintable() else "·" for sign in text.strip())
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"
