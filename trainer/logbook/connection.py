"""What every part of the logbook works with: the open file, changes that happen whole or not at all, rows."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Self

from trainer.logbook import opening, rows
from trainer.logbook.errors import LogbookError
from trainer.logbook.opening import in_words
from trainer.records.attempt import Attempt
from trainer.records.courses import LoggedClimb, PlanRun


class LogbookConnection:
    """An open logbook file; a context manager that closes it. Use it from the thread that opened it."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path, self.connection = path, connection
        self._file = opening.file_number(path)
        connection.row_factory = sqlite3.Row

    def close(self) -> None:
        """Close the file; a second time does nothing."""
        self.connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @contextmanager
    def at_once(self) -> Iterator[sqlite3.Connection]:
        """All that is written meanwhile is one change: all of it, or none. One inside another is part of it."""
        if self.connection.in_transaction:
            yield self.connection
            return
        try:
            with in_words(self.path), opening.transaction(self.connection):
                yield self.connection
                # Else the change goes into a file that nobody finds again.
                if opening.file_number(self.path) != self._file:
                    raise LogbookError(self.path, None, "", opening.TAKEN_AWAY)
        except BaseException:
            self._forget()
            raise

    def _forget(self) -> None:
        """Forget what was read of the file: called after a change that was taken back, which may have been read."""

    def read(self, query: str, values: Any = ()) -> list[sqlite3.Row]:
        """The rows of a query. LogbookError if the file can't be read."""
        with in_words(self.path):
            return self.connection.execute(query, values).fetchall()

    def read_one(self, query: str, values: Any = ()) -> Any:
        """The first column of the first row; None without one."""
        found = self.read(query, values)
        return found[0][0] if found else None

    def insert(self, table: str, row: Mapping[str, Any]) -> int:
        """The number of a new row; called inside a change."""
        names, places = ", ".join(row), ", ".join(f":{name}" for name in row)
        number = self.connection.execute(f"INSERT INTO {table} ({names}) VALUES ({places})", row).lastrowid
        assert number is not None
        return number

    def _uid(self, table: str, record: Attempt | LoggedClimb | PlanRun) -> int:
        """The identity a record brings along, or a new one; called inside a change."""
        if record.uid is not None:
            return rows.uid_number(record.uid)
        while True:
            uid = rows.new_uid(record.started_at)
            if self.read_one(f"SELECT 1 FROM {table} WHERE uid = ?", (uid,)) is None:
                return uid

    def _named(self, table: str, name: str | None) -> int | None:
        """The number of a juggler or prop, entered if new; called inside a change."""
        return self._once(table, "name", rows.name(name))

    def _noted(self, note: str) -> int | None:
        """The number of a note, entered if new; None for an empty one. Called inside a change."""
        return self._once("notes", "text", opening.storable(note) or None)

    def _once(self, table: str, column: str, value: str | None) -> int | None:
        if value is None:
            return None
        self.connection.execute(f"INSERT OR IGNORE INTO {table} ({column}) VALUES (?)", (value,))
        return int(self.read_one(f"SELECT id FROM {table} WHERE {column} = ?", (value,)))
