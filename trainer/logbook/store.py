"""The logbook's file: the only SQL of the trainer, and the only code that imports sqlite3.

Every change is one transaction, on the disk before the call returns; two trainers may use one logbook at once.
What goes wrong is a LogbookError of one line, and the file is left as it was.
"""

from __future__ import annotations

import sqlite3
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self, Unpack

from trainer.logbook import opening, processes
from trainer.logbook.opening import in_words
from trainer.logbook.records import Attempt, Corrected, Correction, CountedBy, Ended, LogbookError

A_DAY_S: Final = 86_400  # no attempt lasts as long: after it, one whose process nobody knows of is closed too

COLUMNS: Final = """a.id, a.session_id, a.started_at, a.pattern, a.name, a.objects, a.tempo, a.dwell, a.counted_by,
    a.taps_unit, a.catches, a.seconds, a.ended, a.flash_at, a.qualify_at, a.hiccups, a.note, a.fair,
    p.name AS prop, j.name AS juggler"""
JOINS: Final = "JOIN props p ON p.id = a.prop_id LEFT JOIN jugglers j ON j.id = a.juggler_id"

# A best beat every earlier fair attempt of its figure, and the first one needs a catch. Said twice: once for the
# whole logbook in one pass, once for few attempts by a look into the index.
BEST_OF_MANY: Final = """a.fair AND a.catches > COALESCE(MAX(CASE WHEN a.fair THEN a.catches END) OVER (
    PARTITION BY a.pattern, a.name, a.prop_id, a.counted_by ORDER BY a.id
    ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING), 0)"""
BEST_OF_FEW: Final = """a.fair AND a.catches > COALESCE((SELECT e.catches FROM attempts e
    WHERE e.pattern = a.pattern AND e.name IS a.name AND e.prop_id = a.prop_id AND e.counted_by = a.counted_by
    AND e.fair = 1
    AND e.catches IS NOT NULL AND e.id < a.id ORDER BY e.catches DESC LIMIT 1), 0)"""

# What `attempts` can be narrowed by. Those of the first kind keep figures whole, so they may come before the pass.
FIGURE: Final = {
    "pattern": "a.pattern = :pattern",
    "prop": "p.name = :prop",
    "counted_by": "a.counted_by = :counted_by",
}
PART: Final = {"session_id": "a.session_id = :session_id", "since": "a.started_utc_s >= :since", "id": "a.id = :id"}


class Logbook:
    """An open logbook; a context manager that closes it. Use it from the thread that opened it."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path, self._connection = path, connection
        self._owner = processes.token()
        connection.row_factory = sqlite3.Row

    @classmethod
    def open(cls, path: Path, *, wait_s: float = 2.0, now: datetime | None = None) -> Self:
        """The logbook at `path`, made if it is not there, brought to the newest version, its orphans given up.

        `wait_s`: how long to wait for another program that is writing. `now`: the clock's, unless a test says.
        """
        logbook = cls(path, opening.to_write(path, wait_s))
        try:
            logbook._give_up_orphans(now or datetime.now(UTC))
        except BaseException:
            logbook.close()
            raise
        return logbook

    @classmethod
    def open_to_read(cls, path: Path, *, wait_s: float = 2.0) -> Self:
        """The logbook at `path` without any change to it, in a folder that can't be written too; empty if missing."""
        return cls(path, opening.to_read(path, wait_s))

    def close(self) -> None:
        """Close the file; a second time does nothing."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def begin_session(self, started_at: datetime) -> int:
        """Note that a session began; its number. ValueError without an offset from UTC."""
        if started_at.utcoffset() is None:
            raise ValueError("started_at has no offset from UTC")
        with self._change() as connection:
            return _inserted(connection, "sessions", _instant(started_at))

    def add(self, attempt: Attempt) -> Attempt:
        """Write an attempt that has ended; the same with its number, and whether it was a best."""
        if attempt.ended is None:
            raise ValueError("the attempt has not ended: begin_attempt is for those")
        with self._change() as connection:
            number = _inserted(connection, "attempts", self._to_row(attempt))
        return self.attempt(number)

    def begin_attempt(self, attempt: Attempt) -> int:
        """Write an attempt that is under way; its number, for `finish`. Should this process die, it is given up."""
        if attempt.ended is not None or attempt.catches is not None:
            raise ValueError("the attempt has ended: add is for those")
        with self._change() as connection:
            return _inserted(connection, "attempts", self._to_row(attempt) | {"owner": self._owner})

    def finish(
        self, number: int, *, ended: Ended | str, catches: int | None, seconds: float | None,
        hiccups: int = 0, note: str = "", fair: bool = True,
    ) -> Attempt:  # fmt: skip
        """End an attempt this process began, once; LogbookError if it is not under way here."""
        # The checks of Attempt, before anything is written.
        done = replace(
            self._any_attempt(number), ended=Ended(ended), catches=catches, seconds=seconds,
            hiccups=hiccups, note=note, fair=fair,
        )  # fmt: skip
        with self._change() as connection:
            # By owner, not by "under way": one that another trainer took for orphaned is still ours to finish.
            changed = connection.execute(
                """UPDATE attempts SET ended = :ended, catches = :catches, seconds = :seconds, hiccups = :hiccups,
                note = :note, fair = :fair, owner = NULL WHERE id = :id AND owner = :owner""",
                self._to_values(done) | {"id": number, "owner": self._owner},
            )
            if changed.rowcount != 1:
                raise LogbookError(self.path, None, "", f"Attempt {number} was not under way here.")
        return self.attempt(number)

    def correct(self, number: int, *, corrected_at: datetime, **changes: Unpack[Corrected]) -> Attempt:
        """Set fields of an ended attempt right; what stood there before stays in its corrections."""
        if "ended" in changes:
            changes["ended"] = Ended(changes["ended"])
        with self._change() as connection:
            before = self.attempt(number)
            after = replace(before, **changes)
            for field in changes:
                old, new = _plain(getattr(before, field)), _plain(getattr(after, field))
                if old == new:
                    continue
                _inserted(connection, "corrections", {
                    "attempt_id": number, "corrected_at": corrected_at.isoformat(), "field": field,
                    "before": old, "after": new,
                })  # fmt: skip
                connection.execute(f"UPDATE attempts SET {field} = ? WHERE id = ?", (new, number))
        return self.attempt(number)

    def corrections(self, number: int) -> tuple[Correction, ...]:
        """What was set right in an attempt, oldest first."""
        rows = self._rows(
            "SELECT attempt_id, corrected_at, field, before, after FROM corrections WHERE attempt_id = ? ORDER BY id",
            (number,),
        )
        return tuple(
            Correction(**dict(row) | {"corrected_at": datetime.fromisoformat(row["corrected_at"])}) for row in rows
        )

    def attempt(self, number: int) -> Attempt:
        """One attempt that has ended; LogbookError if there is none of that number."""
        attempt = self._any_attempt(number)
        if attempt.ended is None:
            raise LogbookError(self.path, None, "", f"Attempt {number} was still under way.")
        return attempt

    def attempts(
        self, pattern: str | None = None, limit: int | None = None, *, prop: str | None = None,
        counted_by: CountedBy | str | None = None, session_id: int | None = None, since: datetime | None = None,
    ) -> tuple[Attempt, ...]:  # fmt: skip
        """The attempts that have ended, in the order they were begun (whatever the clock said); `limit`: the last."""
        wanted = {"pattern": pattern, "prop": _name(prop), "counted_by": counted_by, "session_id": session_id,
                  "since": None if since is None else since.timestamp()}  # fmt: skip
        given = {field: str(value) if field == "counted_by" else value
                 for field, value in wanted.items() if value is not None}  # fmt: skip
        found = self._select(given, limit, "a.ended IS NOT NULL")
        return tuple(self._to_attempt(row) for row in found)

    def best_catches(self, pattern: str, prop: str, counted_by: CountedBy | str, name: str | None = None) -> int | None:
        """The most catches of a fair attempt of one figure; None if none was counted.

        name: of the pattern in the library, None for none: throws alike in text, tossed, bounced or on the run, are
        figures of their own.
        """
        rows = self._rows(
            """SELECT MAX(catches) AS most FROM attempts WHERE pattern = ? AND name IS ? AND counted_by = ? AND fair = 1
            AND prop_id = (SELECT id FROM props WHERE name = ?)""",
            (pattern, name, str(counted_by), _name(prop)),
        )
        most: int | None = rows[0]["most"]
        return most

    def qualified(self) -> tuple[tuple[str, str | None], ...]:
        """The patterns of which a fair attempt has qualified: text, and name where the library has one."""
        rows = self._rows(
            "SELECT DISTINCT pattern, name FROM attempts WHERE fair = 1 AND catches >= qualify_at ORDER BY 1, 2"
        )
        return tuple((row["pattern"], row["name"]) for row in rows)

    def problems(self) -> tuple[str, ...]:
        """What SQLite finds wrong in the whole file, and rows that lead nowhere; empty if all is well. Slow."""
        found = [row[0] for row in self._rows("PRAGMA integrity_check") if row[0] != "ok"]
        stray = [f"row {row[1]} of {row[0]} leads nowhere" for row in self._rows("PRAGMA foreign_key_check")]
        return (*found, *stray)

    @contextmanager
    def _change(self) -> Iterator[sqlite3.Connection]:
        with in_words(self.path), opening.transaction(self._connection):
            yield self._connection

    def _rows(self, query: str, values: Any = ()) -> list[sqlite3.Row]:
        with in_words(self.path):
            return self._connection.execute(query, values).fetchall()

    def _select(self, given: Mapping[str, Any], limit: int | None, condition: str) -> list[sqlite3.Row]:
        few = limit is not None or not given.keys().isdisjoint(PART.keys() - {"since"})
        figure = " AND ".join([condition, *(FIGURE[field] for field in given if field in FIGURE)])
        part = " AND ".join([text for field, text in PART.items() if field in given])
        if few:
            query = f"SELECT {COLUMNS}, {BEST_OF_FEW} AS best FROM attempts a {JOINS} WHERE {figure}"
            query += f" AND {part}" if part else ""
        else:
            query = f"SELECT {COLUMNS}, a.started_utc_s, {BEST_OF_MANY} AS best FROM attempts a {JOINS} WHERE {figure}"
            query = f"SELECT * FROM ({query}) a WHERE {part}" if part else query
        query += f" ORDER BY a.id DESC LIMIT {int(limit)}" if limit is not None else " ORDER BY a.id"
        rows = self._rows(query, dict(given))
        return rows if limit is None else rows[::-1]

    def _any_attempt(self, number: int) -> Attempt:
        rows = self._select({"id": number}, None, "1")
        if not rows:
            raise LogbookError(self.path, None, "", f"There was no attempt {number}.")
        return self._to_attempt(rows[0])

    def _give_up_orphans(self, now: datetime) -> None:
        orphans = []
        for row in self._rows("SELECT id, owner, started_utc_s FROM attempts WHERE ended IS NULL"):
            life = processes.life(row["owner"])
            old = now.timestamp() - row["started_utc_s"] > A_DAY_S
            if life is processes.Life.GONE or (life is processes.Life.UNKNOWN and old):
                orphans.append((row["id"],))
        if orphans:
            with self._change() as connection:
                connection.executemany("UPDATE attempts SET ended = 'given-up' WHERE id = ? AND ended IS NULL", orphans)

    def _to_row(self, attempt: Attempt) -> dict[str, Any]:
        return self._to_values(attempt) | _instant(attempt.started_at) | {
            "session_id": attempt.session_id, "pattern": attempt.pattern, "name": attempt.name,
            "objects": attempt.objects, "tempo": str(attempt.tempo), "dwell": str(attempt.dwell),
            "counted_by": str(attempt.counted_by), "taps_unit": _plain(attempt.taps_unit),
            "flash_at": attempt.flash_at, "qualify_at": attempt.qualify_at,
            "prop_id": self._named("props", attempt.prop), "juggler_id": self._named("jugglers", attempt.juggler),
        }  # fmt: skip

    def _to_values(self, attempt: Attempt) -> dict[str, Any]:
        """The fields that are known once an attempt has ended."""
        return {
            "ended": _plain(attempt.ended), "catches": attempt.catches, "seconds": attempt.seconds,
            "hiccups": attempt.hiccups, "note": opening.storable(attempt.note), "fair": int(attempt.fair),
        }  # fmt: skip

    def _named(self, table: str, name: str | None) -> int | None:
        """The number of a juggler or prop, entered if new; called inside a change."""
        if name is None:
            return None
        self._connection.execute(f"INSERT OR IGNORE INTO {table} (name) VALUES (?)", (_name(name),))
        row = self._connection.execute(f"SELECT id FROM {table} WHERE name = ?", (_name(name),)).fetchone()
        return int(row["id"])

    def _to_attempt(self, row: sqlite3.Row) -> Attempt:
        fields = {key: row[key] for key in row.keys() if key != "started_utc_s"}  # noqa: SIM118
        try:
            fields["started_at"] = datetime.fromisoformat(row["started_at"])
            fields["tempo"], fields["dwell"] = _exact(row["tempo"]), _exact(row["dwell"])
            fields["fair"], fields["best"] = bool(row["fair"]), bool(row["best"])
            return Attempt(**fields)
        except (ValueError, TypeError, ZeroDivisionError):
            raise LogbookError(self.path, None, "", f"Attempt {row['id']} could not be understood.") from None


def _inserted(connection: sqlite3.Connection, table: str, row: Mapping[str, Any]) -> int:
    names, places = ", ".join(row), ", ".join(f":{name}" for name in row)
    number = connection.execute(f"INSERT INTO {table} ({names}) VALUES ({places})", row).lastrowid
    assert number is not None
    return number


@lru_cache(maxsize=1000)
def _exact(text: str) -> Fraction:
    """A stored number; a logbook holds few different ones, and reading one takes longer than all else in a row."""
    return Fraction(text)


def _instant(at: datetime) -> dict[str, Any]:
    return {"started_at": at.isoformat(), "started_utc_s": at.timestamp()}


def _name(text: str | None) -> str | None:
    """A name as stored: accents in one form, so that two keyboards write one name."""
    return None if text is None else opening.storable(unicodedata.normalize("NFC", text.strip()))


def _plain(value: Any) -> str | int | None:
    if isinstance(value, bool):
        return int(value)
    return value if value is None or isinstance(value, int) else str(value)
