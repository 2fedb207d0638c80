"""What is read of a logbook ahead of the keys of a list, and kept in line with the file."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import ThreadPoolExecutor, wait
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple, ParamSpec, TypeVar

from trainer.logbook.matching import Matching
from trainer.logbook.parts import LISTED, Sort

if TYPE_CHECKING:
    from trainer.logbook.ordered import Ordered, Table

P = ParamSpec("P")
T = TypeVar("T")

PIECE: Final = 2000  # attempts read at once, so that a key has not long to wait
ONE_BY_ONE: Final = 20  # so many changed attempts are seen to; more, and all are read again
LONGEST_WAIT_S: Final = 0.01


class Counted(NamedTuple):
    """A figure's attempts, and their days; none without attempts."""

    attempts: int
    first: int | None
    last: int | None


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

    def read_ahead(self, sort: Sort) -> Iterator[None]:
        """Read what filters are held against, a piece each turn; after the last one, pages and counts are quick.

        That is all texts, and those attempts that have a note; for an order that no index has, all attempts: of a
        million two or three seconds' work. Nothing is read that was, and still holds; it begins again when the file is
        changed meanwhile.
        """
        while self._read(sort) is None:
            yield from _beside(import_module, "trainer.logbook.ordered")  # numpy takes its time
            from trainer.logbook.ordered import Ordered, to_table

            self._figure_texts()
            yield
            while self._read_notes(PIECE):
                yield
            self._counts()
            yield
            state, tables = self._state(), [to_table((), sort.length + 2)]
            for table in self._tables(sort):
                tables.append(table)
                yield
            ordered = yield from _beside(Ordered, tables, greatest_first=sort.greatest_first)
            if state == self._state():
                self._ordered = sort, ordered
        self._counts()  # forgotten if the file was changed just before all was read

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
        """The attempts that are kept, as Ordered takes them, a piece each turn."""
        from trainer.logbook.ordered import to_table

        by = "a.note_id, a.figure_id, a.day, a.id" if sort.by_time else "a.id"  # as the index has them
        after: tuple[int, ...] = (-1,) * (by.count(",") + 1)
        index = "INDEXED BY attempts_by_note" if sort.by_time else ""
        query = f"""SELECT {by}, {_columns(sort)} FROM attempts a {index} WHERE {_condition(sort)}
            AND ({by}) > ({", ".join("?" for _ in after)}) ORDER BY {by} LIMIT {PIECE}"""
        while piece := self._rows(query, after):
            yield to_table((row[len(after) :] for row in piece), sort.length + 2)
            after = piece[-1][: len(after)]

    def _state(self) -> tuple[int, int]:
        """Another one once the file was changed, from here or elsewhere."""
        return self._one("PRAGMA data_version"), self._connection.total_changes


def _beside(act: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> Generator[None, None, T]:
    """What it comes to, done in a thread, while keys are attended to in this one."""
    threads = ThreadPoolExecutor(1)
    doing = threads.submit(act, *args, **kwargs)
    threads.shutdown(wait=False)
    while wait((doing,), LONGEST_WAIT_S).not_done:
        yield
    return doing.result()


def _columns(sort: Sort) -> str:
    return f"{sort.keys}, a.figure_id, COALESCE(a.note_id, 0)"


def _condition(sort: Sort) -> str:
    return f"{'a.note_id IS NOT NULL AND ' if sort.by_time else ''}{LISTED}"
