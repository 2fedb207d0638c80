"""What every part of the logbook works with: the open file, changes that happen whole or not at all, rows."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, Self

from trainer.logbook import opening, rows
from trainer.logbook.errors import LogbookError
from trainer.logbook.opening import in_words
from trainer.records.attempt import Attempt
from trainer.records.courses import LoggedClimb, PlanRun

NO_FILE: Final = (-1, -1)
"""The number of no file there is."""


class LogbookConnection:
    """An open logbook file; a context manager that closes it. Use it from the thread that opened it."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._use(connection)

    def _use(self, connection: sqlite3.Connection) -> None:
        self.connection = connection
        self._file = opening.file_number(self.path)
        self._beside = opening.beside(self.path)
        connection.row_factory = sqlite3.Row
        self._forget()

    def close(self) -> None:
        """Close the file; a second time does nothing."""
        if opening.file_number(self.path) != self._file:
            opening.leave(self.connection, self.path, self._beside)
        self.connection.close()

    def take_up(self) -> bool:
        """Open the file that stands at the path now, a new one if there is none; False if it is the one that is open.

        LogbookError if it can't be opened; until it can, nothing is read.
        """
        if opening.file_number(self.path) == self._file:
            return False
        if not self.path.parent.is_dir():  # a disk that was pulled out: nobody would find what is written in its place
            raise LogbookError(self.path, None, "", opening.TAKEN_AWAY)
        wait_s = self._wait_ms() / 1000
        self.close()
        self._use(opening.in_memory(self.path))
        self._file, self._beside = NO_FILE, {}
        self._use(opening.to_write(self.path, wait_s))
        return True

    @contextmanager
    def hurried(self, wait_s: float) -> Iterator[None]:
        """Meanwhile, another program that is writing is waited for no longer than this."""
        before_ms = self._wait_ms()
        self.connection.execute(f"PRAGMA busy_timeout = {int(wait_s * 1000)}")
        try:
            yield
        finally:
            self.connection.execute(f"PRAGMA busy_timeout = {before_ms}")

    def _wait_ms(self) -> int:
        return int(self.read_one("PRAGMA busy_timeout"))

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

    def number_of(self, table: str, uid: str | None) -> int | None:
        """The number of the row of an identity here; None if there is none."""
        if uid is None:
            return None
        number: int | None = self.read_one(f"SELECT id FROM {table} WHERE uid = ?", (rows.uid_number(uid),))
        return number

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
