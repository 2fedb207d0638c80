"""The list of attempts page by page, filtered and sorted, as fast with a million of them as with ten.

Three things make it so. Texts are matched against the figures, which are few, and against the notes, which are kept
once each; attempts are counted in `days`; and a page begins where the last one ended, not so many rows later.
"""

from __future__ import annotations

import json
import sqlite3
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from trainer.logbook import rows
from trainer.logbook.book import Book
from trainer.logbook.parts import Part, Place
from trainer.logbook.records import Attempt, CountedBy

if TYPE_CHECKING:
    from trainer.logbook.ordered import Ordered

LISTED: Final = "a.removed = 0 AND a.ended IS NOT NULL"  # word for word the condition of the indices
ALL_DAYS: Final = (-(10**7), 10**7)
TRIED: Final = 400  # first attempts in the order of time, of which most filters let enough through
PIECE: Final = 10_000  # attempts read at once, so that a key has not long to wait


class Sort(Enum):
    """The orders of the list; the value is what stands before day and number in an attempt's sort keys."""

    NEWEST = ""
    OLDEST = " "  # the same keys, the other way round
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
ANY: Final = (None,) * 4  # pattern, prop, way of counting, juggler


@dataclass(frozen=True, slots=True)
class Page:
    """Attempts in the order asked for. end: where the next page begins; None if this was the last."""

    attempts: tuple[Attempt, ...]
    end: Place | None


@dataclass(frozen=True, slots=True)
class Texts:
    """A figure as it is filtered by: its number, its texts, and all of them folded into one."""

    number: int
    pattern: str
    prop: str
    counted_by: str
    juggler: str | None
    folded: str


class Pages(Book):
    """What the logbook does for lists."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        super().__init__(path, connection)
        # Figures and notes are only ever added: those known stay, new ones are read when they are needed.
        self._figures: list[Texts] = []
        self._notes: list[tuple[int, str]] = []
        self._parted: tuple[tuple[Filter, int, int], list[Part]] = ((EVERYTHING, 0, 0), [])
        self._held: tuple[int, dict[str, list[tuple[int, str]]]] = (0, {})
        self._counted: tuple[tuple[int, int], dict[int, int]] = ((0, -1), {})
        self._ordered: tuple[tuple[int, int], Sort, Ordered] | None = None

    def read_ahead(self, sort: Sort) -> Iterator[None]:
        """Read what filters are held against, a piece each turn; after the last one, pages and counts are quick.

        That is all texts, and those attempts that have a note; for an order that no index has, all attempts. A million
        takes two or three seconds altogether, a piece some hundredths. When the file is changed, from here or
        elsewhere, attempts are to be read again. Nothing is read that was, and still holds.
        """
        from trainer.logbook.ordered import Ordered, to_table

        order = Order(sort, None, _days(EVERYTHING))
        by = "a.note_id, a.figure_id, a.day, a.id" if order.by_time else "a.id"  # as their index has them
        whose = "INDEXED BY attempts_by_note WHERE a.note_id IS NOT NULL AND" if order.by_time else "WHERE"
        places, columns = by.count(",") + 1, order.length + 2
        query = f"""SELECT {order.keys}, a.figure_id, COALESCE(a.note_id, 0), {by} FROM attempts a {whose} {LISTED}
            AND ({by}) > ({", ".join("?" * places)}) ORDER BY {by} LIMIT {PIECE}"""
        while self._read(sort) is None:
            for read in (self._figure_texts, self._note_texts, self._counts):
                read()
                yield
            state, after, tables = self._state(), (-1,) * places, [to_table((), columns)]
            while state == self._state() and (piece := self._rows(query, after)):
                tables.append(to_table((row[:columns] for row in piece), columns))
                after = piece[-1][columns:]
                yield
            if state == self._state():
                self._ordered = state, sort, Ordered(tables, greatest_first=order.latest_first)

    def _read(self, sort: Sort | None = None) -> Ordered | None:
        """The attempts read ahead, in this order or any; None if none were, or the file was changed since."""
        if self._ordered is None or self._ordered[0] != self._state() or sort not in (None, self._ordered[1]):
            return None
        return self._ordered[2]

    def page(
        self, wanted: Filter = EVERYTHING, sort: Sort = Sort.NEWEST, limit: int = 50, after: Place | None = None
    ) -> Page:
        """At most `limit` attempts, from the start or after the end of another page of the same filter and order."""
        order = Order(sort, after, _days(wanted) | {"limit": limit + 1})
        parts, found = self._parts(wanted), []
        if (ordered := self._read(sort)) is not None:
            known = [part for part in parts if part.notes is not None or not order.by_time]
            parts = [part for part in parts if part not in known]
            found = ordered.first(known, order.days, limit + 1, after) if known else []
        for part in parts:
            if order.by_time and part.notes is None and part.figures is not None:
                found += self._of_figures(part.figures, order)
            else:
                found += map(tuple, self._rows(_all_at_once(part, order), order.values | _noted(part)))
        found.sort(reverse=order.latest_first)
        places = found[:limit]
        numbers = [int(place[-1]) for place in places]
        shown = {attempt.id: attempt for attempt in self._numbered(numbers)}
        end = places[-1] if len(found) > limit else None
        return Page(tuple(shown[number] for number in numbers if number in shown), end)

    def count(self, wanted: Filter = EVERYTHING) -> int:
        """How many attempts a filter lets through."""
        total, ordered = 0, self._read()
        for part in self._parts(wanted):
            if part.notes is not None and ordered is not None:
                total += ordered.count([part], Order(Sort.NEWEST, None, _days(wanted)).days)
            elif part.notes is not None:
                query = f"SELECT COUNT(*) FROM attempts a INDEXED BY attempts_by_note WHERE {_condition(part)}"
                total += self._one(query, _days(wanted) | _noted(part))
            elif (wanted.since, wanted.until) == (None, None):
                counts = self._counts()
                total += sum(counts.values() if part.figures is None else (counts.get(n, 0) for n in part.figures))
            else:
                of = "1" if part.figures is None else f"figure_id IN ({_listed(part.figures)})"
                query = f"SELECT COALESCE(SUM(attempts), 0) FROM days WHERE {of} AND day BETWEEN :since AND :until"
                total += self._one(query, _days(wanted))
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

    def _of_figures(self, figures: tuple[int, ...], order: Order) -> list[Place]:
        """The sort keys of the first attempts of some figures in an order of time, as many as its limit."""
        values, limit, among = dict(order.values), int(order.values["limit"]), frozenset(figures)
        by = f"{order.beyond} ORDER BY {order.by_name} LIMIT"
        first = self._rows(f"SELECT a.day, a.id, a.figure_id FROM attempts a WHERE {by} {TRIED}", values)
        found: list[Place] = [(day, number) for day, number, figure in first if figure in among]
        if len(found) < limit and len(first) == TRIED:
            found, counts = [], self._counted[1]
            query = f"SELECT a.day, a.id FROM attempts a WHERE a.figure_id = :figure AND {by} :limit"
            for figure in sorted(figures, key=lambda figure: counts.get(figure, 0), reverse=True):
                found += map(tuple, self._rows(query, values | {"figure": figure}))
                found.sort(reverse=order.latest_first)
                del found[limit:]
                if len(found) == limit:  # of the other figures, what lies beyond these days is not looked at
                    values["since" if order.latest_first else "until"] = found[-1][0]
        return found

    def _parts(self, wanted: Filter) -> list[Part]:
        """What a filter comes to, as parts that have no attempt in common: what a figure lacks, a note must have."""
        words = _folded(wanted.text).split()
        asked = (wanted.pattern, rows.name(wanted.prop), wanted.counted_by, rows.name(wanted.juggler))
        if not words and asked == ANY:
            return [Part()]
        figures, notes = self._figure_texts(), self._note_texts() if words else []
        known = (wanted, len(figures), len(notes))
        if self._parted[0] == known:
            return self._parted[1]
        holding = {
            word: frozenset([number for number, _ in held]) for word, held in self._notes_with(words, notes).items()
        }
        lacking: dict[tuple[str, ...], list[int]] = {}
        for figure in figures:
            held = (figure.pattern, figure.prop, figure.counted_by, figure.juggler)
            if asked == ANY or all(one is None or one == other for one, other in zip(asked, held, strict=True)):
                lacked = tuple([word for word in words if word not in figure.folded])
                lacking.setdefault(lacked, []).append(figure.number)
        parts = [
            Part(
                None if len(of) == len(figures) else tuple(of),
                frozenset.intersection(*(holding[word] for word in lacked)) if lacked else None,
            )
            for lacked, of in lacking.items()
        ]
        self._parted = (known, [part for part in parts if part.notes is None or part.notes])
        return self._parted[1]

    def _notes_with(self, words: list[str], notes: list[tuple[int, str]]) -> dict[str, list[tuple[int, str]]]:
        """The notes each word stands in, sought among those that hold a part of it: it is typed letter by letter."""
        before = self._held[1] if self._held[0] == len(notes) else {}
        found = {}
        for word in words:
            among = min((held for part, held in before.items() if part in word), key=len, default=notes)
            found[word] = [note for note in among if word in note[1]]
        self._held = (len(notes), found)
        return found

    def _figure_texts(self) -> list[Texts]:
        last = self._figures[-1].number if self._figures else 0
        self._figures += [
            Texts(number, pattern, prop, counted_by, juggler, _folded("\n".join(
                filter(None, (pattern, name, prop, juggler)))))
            for number, pattern, name, prop, counted_by, juggler in self._rows(
                """SELECT f.id, f.pattern, f.name, p.name, f.counted_by, j.name FROM figures f
                JOIN props p ON p.id = f.prop_id LEFT JOIN jugglers j ON j.id = f.juggler_id
                WHERE f.id > ? ORDER BY f.id""",
                (last,),
            )
        ]  # fmt: skip
        return self._figures

    def _note_texts(self) -> list[tuple[int, str]]:
        last = self._notes[-1][0] if self._notes else 0
        found = self._rows("SELECT id, text FROM notes WHERE id > ? ORDER BY id", (last,))
        self._notes += [(number, _folded(text)) for number, text in found]
        return self._notes

    def _state(self) -> tuple[int, int]:
        """Another one once the file was changed, from here or elsewhere."""
        return self._one("PRAGMA data_version"), self._connection.total_changes

    def _counts(self) -> dict[int, int]:
        """How many attempts each figure has, counted anew when the file was changed, from here or elsewhere."""
        now = self._state()
        if self._counted[0] != now:
            self._counted = (now, dict(map(tuple, self._rows(
                "SELECT figure_id, SUM(attempts) FROM days GROUP BY figure_id"))))  # fmt: skip
        return self._counted[1]


class Order:
    """An order of the list, from a place on, as the pieces of a query need it."""

    def __init__(self, sort: Sort, after: Place | None, values: dict[str, int]) -> None:
        self.by_time = sort in (Sort.NEWEST, Sort.OLDEST)
        self.keys = f"{sort.value.strip()} a.day, a.id"
        self.latest_first = sort is not Sort.OLDEST
        way, sign = ("DESC", "<") if self.latest_first else ("ASC", ">")
        self.values: dict[str, int | float] = dict(values)
        self.days = values["since"], values["until"]
        self.beyond = f"a.day BETWEEN :since AND :until AND {LISTED}"
        if after is not None:
            places = [f":k{n}" for n in range(len(after))]
            self.values |= {f"k{n}": key for n, key in enumerate(after)}
            self.beyond += f" AND ({self.keys}) {sign} ({', '.join(places)})"
            if self.by_time:  # said twice: an index is used for this, not for the comparison of two keys
                first, last = self.values["since"], self.values["until"]
                self.values |= {"since": max(first, after[0])} if sign == ">" else {"until": min(last, after[0])}
        self.length = 2 if self.by_time else 3  # of the keys
        self.by_number = ", ".join(f"{n} {way}" for n in range(1, self.length + 1))
        self.by_name = f"a.day {way}, a.id {way}"
        self.index = "INDEXED BY attempts_by_figure" if sort is Sort.CATCHES else ""


def _all_at_once(part: Part, order: Order) -> str:
    index = order.index if part.notes is None else "INDEXED BY attempts_by_note"
    return f"""SELECT {order.keys} FROM attempts a {index} WHERE {order.beyond} AND {_chosen(part)}
        ORDER BY {order.by_number} LIMIT :limit"""


def _condition(part: Part) -> str:
    return f"a.day BETWEEN :since AND :until AND {LISTED} AND {_chosen(part)}"


def _chosen(part: Part) -> str:
    figures = "1" if part.figures is None else f"a.figure_id IN ({_listed(part.figures)})"
    if part.notes is None:
        return figures
    # The plus keeps SQLite from looking each note up with each figure.
    return f"+{figures} AND a.note_id IN (SELECT value FROM json_each(:notes))"


def _noted(part: Part) -> dict[str, Any]:
    return {} if part.notes is None else {"notes": json.dumps(list(part.notes))}


def _listed(numbers: tuple[int, ...] | list[int]) -> str:
    return ", ".join(map(str, numbers))


def _days(wanted: Filter) -> dict[str, int]:
    since, until = wanted.since, wanted.until
    return {
        "since": ALL_DAYS[0] if since is None else since.toordinal() - rows.EPOCH_DAY,
        "until": ALL_DAYS[1] if until is None else until.toordinal() - rows.EPOCH_DAY,
    }


def _folded(text: str) -> str:
    """A text for comparing: accents in one form, no case of letters."""
    return unicodedata.normalize("NFC", text).casefold()
