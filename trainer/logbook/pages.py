"""The list of attempts page by page, filtered and sorted, as fast with a million of them as with ten.

Three things make it so. Texts are matched against the figures, which are few, and against the notes, which are kept
once each; what is counted is counted in `days`; and a page begins where the last one ended, not so many rows later.
"""

from __future__ import annotations

import sqlite3
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum
from pathlib import Path
from typing import Any, Final

from trainer.logbook import rows
from trainer.logbook.book import Book
from trainer.logbook.records import Attempt, CountedBy

LISTED: Final = "a.removed = 0 AND a.ended IS NOT NULL"  # word for word the condition of the indices
ALL_DAYS: Final = (-(10**7), 10**7)

Place = tuple[int | float, ...]
"""Where a page ended: the sort keys of its last attempt."""


class Sort(Enum):
    """The orders of the list; the value is what stands before day and number in an attempt's sort keys."""

    NEWEST = ""
    OLDEST = " "
    CATCHES = "COALESCE(a.catches, -1), "
    SECONDS = "COALESCE(a.seconds, -1), "
    TEMPO = "a.tempo_bpm, "


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
class Page:
    """Attempts in the order asked for. end: where the next page begins; None if this was the last."""

    attempts: tuple[Attempt, ...]
    end: Place | None


@dataclass(frozen=True, slots=True)
class Part:
    """Attempts of some figures, with a note that has the words the figures lack. figures: None for all of them."""

    figures: tuple[int, ...] | None
    lacking: tuple[str, ...] = ()


class Pages(Book):
    """What the logbook does for lists."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        super().__init__(path, connection)
        connection.create_function("has_words", 2, _has_words, deterministic=True)

    def page(
        self, wanted: Filter = EVERYTHING, sort: Sort = Sort.NEWEST, limit: int = 50, after: Place | None = None
    ) -> Page:
        """At most `limit` attempts, from the start or after the end of another page of the same filter and order."""
        values = _days(wanted) | {"limit": limit + 1, **{f"k{n}": key for n, key in enumerate(after or ())}}
        keys = f"{sort.value.strip()} a.day, a.id"
        way = "ASC" if sort is Sort.OLDEST else "DESC"
        order = ", ".join(f"{n} {way}" for n in range(1, 4 if sort.value.strip() else 3))
        sign = ">" if sort is Sort.OLDEST else "<"
        beyond = f"({keys}) {sign} ({', '.join(f':k{n}' for n in range(len(after)))})" if after else "1"
        found: list[tuple[Any, ...]] = []
        for part in self._parts(wanted):
            by_time = sort in (Sort.NEWEST, Sort.OLDEST)
            query = _each_figure(part, keys, beyond, order) if by_time else _all_at_once(part, keys, beyond, order)
            found += map(tuple, self._rows(query, values | _words(part)))
        found.sort(reverse=sort is not Sort.OLDEST)
        places = found[:limit]
        shown = {attempt.id: attempt for attempt in self._numbered([place[-1] for place in places])}
        return Page(
            tuple(shown[place[-1]] for place in places if place[-1] in shown),
            places[-1] if len(found) > limit else None,
        )

    def count(self, wanted: Filter = EVERYTHING) -> int:
        """How many attempts a filter lets through."""
        total = 0
        for part in self._parts(wanted):
            if part.lacking:
                query = f"SELECT COUNT(*) FROM attempts a WHERE {_condition(part)}"
            else:
                of = "" if part.figures is None else f"figure_id IN ({_listed(part.figures)}) AND"
                query = f"SELECT COALESCE(SUM(attempts), 0) FROM days WHERE {of} day BETWEEN :since AND :until"
            total += self._one(query, _days(wanted) | _words(part))
        return total

    def removed(self, limit: int = 50) -> tuple[Attempt, ...]:
        """The attempts that were removed, the last one first."""
        found = self._rows("SELECT id FROM attempts WHERE removed = 1 ORDER BY id DESC LIMIT ?", (limit,))
        return self._numbered([row["id"] for row in found])[::-1]

    def _numbered(self, numbers: list[int]) -> tuple[Attempt, ...]:
        return self._select(f"WHERE a.id IN ({_listed(numbers)}) ORDER BY a.id", {})

    def _select(self, where: str, values: Mapping[str, Any]) -> tuple[Attempt, ...]:
        query = f"SELECT {rows.COLUMNS} FROM attempts a {rows.JOINS} {where}"
        return tuple(rows.to_attempt(row, self.path) for row in self._rows(query, dict(values)))

    def _parts(self, wanted: Filter) -> list[Part]:
        """What a filter comes to, as parts that have no attempt in common."""
        words = _folded(wanted.text).split()
        if not words and (wanted.pattern, wanted.prop, wanted.juggler, wanted.counted_by) == (None,) * 4:
            return [Part(None)]
        prop, juggler = rows.name(wanted.prop), rows.name(wanted.juggler)
        lacking: dict[tuple[str, ...], list[int]] = {}
        for row in self._rows(
            """SELECT f.id, f.pattern, f.name, f.counted_by, p.name AS prop, j.name AS juggler
            FROM figures f JOIN props p ON p.id = f.prop_id LEFT JOIN jugglers j ON j.id = f.juggler_id"""
        ):
            asked = ((wanted.pattern, row["pattern"]), (prop, row["prop"]), (juggler, row["juggler"]),
                     (wanted.counted_by, row["counted_by"]))  # fmt: skip
            if any(one is not None and one != other for one, other in asked):
                continue
            text = _folded("\n".join(row[name] or "" for name in ("pattern", "name", "prop", "juggler")))
            lacking.setdefault(tuple(word for word in words if word not in text), []).append(row["id"])
        return [Part(tuple(figures), words) for words, figures in lacking.items()]


def _each_figure(part: Part, keys: str, beyond: str, order: str) -> str:
    """By time the first of each figure are found in the index, and the first of all are among them."""
    if part.figures is None or part.lacking:
        return _all_at_once(part, keys, beyond, order)
    first = f"""SELECT a.id FROM attempts a WHERE a.figure_id = f.id AND {LISTED}
        AND a.day BETWEEN :since AND :until AND {beyond} ORDER BY {_of(order)} LIMIT :limit"""
    return f"""SELECT {keys} FROM figures f CROSS JOIN attempts a
        WHERE f.id IN ({_listed(part.figures)}) AND a.id IN ({first}) ORDER BY {order} LIMIT :limit"""


def _all_at_once(part: Part, keys: str, beyond: str, order: str) -> str:
    return f"SELECT {keys} FROM attempts a WHERE {_condition(part)} AND {beyond} ORDER BY {order} LIMIT :limit"


def _of(order: str) -> str:
    """The order by time, as one of columns."""
    return order.replace("1", "a.day").replace("2", "a.id")


def _condition(part: Part) -> str:
    figures = "" if part.figures is None else f"AND a.figure_id IN ({_listed(part.figures)})"
    noted = "AND a.note_id IN (SELECT id FROM notes WHERE has_words(text, :words))" if part.lacking else ""
    return f"{LISTED} AND a.day BETWEEN :since AND :until {figures} {noted}"


def _listed(numbers: tuple[int, ...] | list[int]) -> str:
    return ", ".join(map(str, numbers))


def _days(wanted: Filter) -> dict[str, int]:
    since, until = wanted.since, wanted.until
    return {
        "since": ALL_DAYS[0] if since is None else since.toordinal() - rows.EPOCH_DAY,
        "until": ALL_DAYS[1] if until is None else until.toordinal() - rows.EPOCH_DAY,
    }


def _words(part: Part) -> dict[str, str]:
    return {"words": "\n".join(part.lacking)} if part.lacking else {}


def _folded(text: str) -> str:
    """A text for comparing: accents in one form, no case of letters."""
    return unicodedata.normalize("NFC", text).casefold()


def _has_words(text: str, words: str) -> bool:
    folded = _folded(text)
    return all(word in folded for word in words.split("\n"))
