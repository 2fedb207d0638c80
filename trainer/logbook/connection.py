"""What every part of the logbook works with: the open file, changes that happen whole or not at all, rows."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from trainer.logbook import opening, rows
from trainer.logbook.errors import LogbookError
from trainer.logbook.opening import in_words
from trainer.records.attempt import Attempt
from trainer.records.courses import LoggedClimb, PlanRun


class LogbookConnection:
    """An open logbook file; a context manager that closes it. Use it from the thread that opened it."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path, self._connection = path, connection
        self._file = opening.file_number(path)
        self._touched: set[int] | None = None  # attempts changed here; None as long as nobody wants to know
        connection.row_factory = sqlite3.Row

    def close(self) -> None:
        """Close the file; a second time does nothing."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @contextmanager
    def _change(self) -> Iterator[sqlite3.Connection]:
        """A transaction; one inside another is part of it."""
        if self._connection.in_transaction:
            yield self._connection
            return
        try:
            with in_words(self.path), opening.transaction(self._connection):
                yield self._connection
                if opening.file_number(self.path) != self._file:  # it would go into a file that nobody finds again
                    raise LogbookError(self.path, None, "", opening.TAKEN_AWAY)
        except BaseException:
            self._taken_back()
            raise

    def _taken_back(self) -> None:
        """Called after a change that did not happen: rows read inside it may never have been."""

    def _rows(self, query: str, values: Any = ()) -> list[sqlite3.Row]:
        with in_words(self.path):
            return self._connection.execute(query, values).fetchall()

    def _one(self, query: str, values: Any = ()) -> Any:
        """The first column of the first row; None without one."""
        found = self._rows(query, values)
        return found[0][0] if found else None

    def _insert(self, table: str, row: Mapping[str, Any]) -> int:
        """The number of a new row; called inside a change."""
        names, places = ", ".join(row), ", ".join(f":{name}" for name in row)
        number = self._connection.execute(f"INSERT INTO {table} ({names}) VALUES ({places})", row).lastrowid
        assert number is not None
        return number

    def _begin_session(self, started_at: datetime) -> int:
        """The number of a new session; called inside a change."""
        after = self._one("SELECT MAX(id) FROM attempts") or 0
        return self._insert("sessions", rows.instant(started_at) | {"attempts_from": after + 1})

    def _uid(self, table: str, record: Attempt | LoggedClimb | PlanRun) -> int:
        """The identity a record brings along, or a new one; called inside a change."""
        if record.uid is not None:
            return rows.uid_number(record.uid)
        while True:
            uid = rows.new_uid(record.started_at)
            if self._one(f"SELECT 1 FROM {table} WHERE uid = ?", (uid,)) is None:
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
        self._connection.execute(f"INSERT OR IGNORE INTO {table} ({column}) VALUES (?)", (value,))
        return int(self._one(f"SELECT id FROM {table} WHERE {column} = ?", (value,)))
