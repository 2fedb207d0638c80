"""What is read of a logbook ahead of the keys of a list, and kept in line with the file."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from trainer.logbook import opening
from trainer.logbook.errors import LogbookError
from trainer.logbook.filters import LISTED, Sort
from trainer.logbook.matching import Matching, Texts
from trainer.logbook.opening import in_words

if TYPE_CHECKING:
    from trainer.logbook.ordered import Ordered, Table

PIECE: Final = 2000  # attempts read at once, after which the reading can be stopped
ONE_BY_ONE: Final = 20  # so many changed attempts are seen to; more, and all are read again
PATIENCE_S: Final = 2.0  # with a program that writes while this one begins to read


class Counted(NamedTuple):
    """A figure's attempts, and their days; none without attempts."""

    attempts: int
    first: int | None
    last: int | None


class Held(NamedTuple):
    """What filters are held against: texts, how many attempts a figure has, and those of an order that are kept."""

    figures: list[Texts]
    notes: list[tuple[int, str]]
    counted: dict[int, Counted]
    ordered: Ordered


class Reading:
    """A logbook being read ahead, by a connection of its own: `read` is for a thread, the rest for any.

    state: of the logbook as it began.
    """

    def __init__(self, path: Path, sort: Sort, file: tuple[int, int] | None, state: tuple[int, int]) -> None:
        self.sort, self.state = sort, state
        self.held: Held | None = None
        self._path, self._file, self._stopped = path, file, threading.Event()

    def close(self) -> None:
        """Have no more read than the piece that is being read."""
        self._stopped.set()

    def read(self) -> None:
        """Read it all as it is at one moment. LogbookError if that can't be."""
        with Ahead(self._path, opening.to_read(self._path, PATIENCE_S)) as book:
            if book._file != self._file:
                raise LogbookError(self._path, None, "", opening.TAKEN_AWAY)
            self.held = book._hold_all(self.sort, self._stopped)


class Ahead(Matching):
    """Attempts counted by figure, and attempts in memory in the order of a list.

    Both are as the file has them: what this logbook changes is changed in them, and when another program has changed
    the file they are forgotten.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        super().__init__(path, connection)
        self._version = -1
        self._counted: dict[int, Counted] | None = None
        self._ordered: tuple[Sort, Ordered] | None = None

    def is_ahead(self, sort: Sort) -> bool:
        """Whether all is read that pages in an order and counts need to be quick."""
        return self._read(sort) is not None and self._counted is not None

    @property
    def is_counted(self) -> bool:
        """Whether counts are quick."""
        self._catch_up()
        return self._counted is not None

    def reading(self, sort: Sort) -> Reading:
        """What is to be read for that: all texts, and those attempts that have a note.

        For an order that no index has, it is all attempts: of a million, three seconds' work.
        """
        self._catch_up()
        return Reading(self.path, sort, self._file, self._state())

    def take(self, reading: Reading) -> None:
        """Take over what was read, unless the file has been changed since it began."""
        if reading.held is not None and reading.state == self._state():
            self._figures, self._notes, self._counted, ordered = reading.held
            self._ordered = reading.sort, ordered

    def _hold_all(self, sort: Sort, stopped: threading.Event) -> Held | None:
        """All of it, from one state of the file; None if it was stopped."""
        from trainer.logbook.ordered import Ordered

        self._rows("BEGIN")
        figures, notes, tables = self._figure_texts(), self._note_texts(), []
        for table in self._tables(sort):
            if stopped.is_set():
                return None
            tables.append(table)
        if stopped.is_set():
            return None
        return Held(figures, notes, self._counts(), Ordered(tables, greatest_first=sort.greatest_first))

    def _read(self, sort: Sort | None = None) -> Ordered | None:
        """The attempts in memory: in this order, or any; None if they are not there."""
        self._catch_up()
        return None if self._ordered is None or sort not in (None, self._ordered[0]) else self._ordered[1]

    def _counts(self) -> dict[int, Counted]:
        """What attempts each figure has."""
        self._catch_up()
        if self._counted is None:
            query = "SELECT figure_id, SUM(attempts), MIN(day), MAX(day) FROM days GROUP BY figure_id"
            self._counted = {figure: Counted(*of) for figure, *of in self._rows(query)}
        return self._counted

    def _catch_up(self) -> None:
        version = self._one("PRAGMA data_version")  # another one once another connection has changed the file
        if self._touched is None or version != self._version or len(self._touched) > ONE_BY_ONE:
            self._counted = self._ordered = None
            self._touched = set()
        elif self._touched:
            numbers = ", ".join(map(str, self._touched))
            if self._counted is not None:
                for (figure,) in self._rows(f"SELECT DISTINCT figure_id FROM attempts WHERE id IN ({numbers})"):
                    query = "SELECT COALESCE(SUM(attempts), 0), MIN(day), MAX(day) FROM days WHERE figure_id = ?"
                    self._counted[figure] = Counted(*self._rows(query, (figure,))[0])
            if self._ordered is not None:
                from trainer.logbook.ordered import to_table

                sort, ordered = self._ordered
                query = f"SELECT {_columns(sort)} FROM attempts a WHERE {_condition(sort)} AND a.id IN ({numbers})"
                ordered.change(tuple(self._touched), to_table(self._rows(query), sort.length + 2))
        self._touched.clear()
        self._version = version

    def _taken_back(self) -> None:
        super()._taken_back()
        self._version = -1

    def _tables(self, sort: Sort) -> Iterator[Table]:
        """The attempts that are kept, as Ordered takes them, piece by piece."""
        from trainer.logbook.ordered import to_table

        yield to_table((), sort.length + 2)
        with in_words(self.path):
            found = self._connection.execute(f"SELECT {_columns(sort)} FROM attempts a WHERE {_condition(sort)}")
            while piece := found.fetchmany(PIECE):
                try:
                    yield to_table(piece, sort.length + 2)
                except ValueError:
                    message = "An attempt could not be understood: a text stood where a number belongs."
                    raise LogbookError(self.path, None, "", message) from None

    def _state(self) -> tuple[int, int]:
        """Another one once the file was changed, from here or elsewhere."""
        return self._one("PRAGMA data_version"), self._connection.total_changes


def _columns(sort: Sort) -> str:
    return f"{sort.keys}, a.figure_id, COALESCE(a.note_id, 0)"


def _condition(sort: Sort) -> str:
    return f"{'a.note_id IS NOT NULL AND ' if sort.by_time else ''}{LISTED}"
