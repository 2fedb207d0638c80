"""Exports all that is in a logbook to a file, and imports what is new in one, all of it or none.

An attempt has one identity in every logbook. One that is imported a second time, from whichever file, is known and left
as it is here, with its corrections, note and removal.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from trainer.files.checks import Wrong
from trainer.files.ordinary import EXPORTED_BYTES, open_ordinary
from trainer.logbook import rows
from trainer.logbook.errors import LogbookError
from trainer.logbook.fields import Linked, WrongValue, to_linked, to_values
from trainer.logbook.fields_of_courses import COURSES, correction_values, course_values, to_corrections, to_course
from trainer.logbook.formats import Record, read_csv, read_json, to_csv, to_json
from trainer.logbook.opening import in_words
from trainer.logbook.store import Logbook
from trainer.records.attempt import Correction
from trainer.records.courses import LoggedClimb, PlanRun

READERS: Final = {".csv": read_csv, ".json": read_json}
EXPORTED: Final = f"""SELECT {rows.COLUMNS}, s.started_utc_s AS session_utc_s, s.utc_offset_s AS session_offset_s
    FROM attempts a {rows.JOINS} JOIN sessions s ON s.id = a.session_id
    WHERE a.ended IS NOT NULL ORDER BY a.day, a.id"""

Tell = Callable[[float], None]
"""Is told the share of the work that is done, from 0 to 1."""


def silent(_share: float) -> None:
    """The share of the work for nobody."""


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did, or would do: how many attempts, climbs and plan runs were new.

    known: attempts the logbook had already. loose: attempts of a climb or plan run that neither the file nor the
    logbook has; they are imported without it.
    """

    attempts: int = 0
    known: int = 0
    climbs: int = 0
    plan_runs: int = 0
    loose: int = 0


class _TakenBack(Exception):
    """Ends a dry run's transaction, so that nothing of it stays."""


def exported(book: Logbook, ending: str, tell: Tell = silent) -> Iterator[str]:
    """The pieces of a file with all that has ended, removed attempts too. ending: '.csv' or '.json'."""
    # Read in one transaction: another trainer may be writing.
    book.read("BEGIN")
    try:
        if ending == ".csv":
            yield from to_csv(values for _, values in _numbered_out(book, tell))
        else:
            yield from to_json(_lists_out(book, tell))
    finally:
        book.read("ROLLBACK")


def import_file(book: Logbook, path: Path, ending: str, tell: Tell = silent) -> Imported:
    """Take in all that is new in a file, in one transaction; LogbookError with line and field if it can't be."""
    with book.at_once():
        taken = _Taken(book)
        try:
            with open_ordinary(path, EXPORTED_BYTES) as file:
                size = os.fstat(file.fileno()).st_size or 1
                for record in READERS[ending](path, file, lambda read: tell(0.9 * read / size)):
                    taken.take(path, record)
        except Wrong as wrong:
            raise LogbookError(path, None, "", str(wrong)) from None
        except OSError as error:
            raise LogbookError(path, None, "", f"The file could not be read: {error.strerror or error}.") from None
        book.sum_up(taken.numbers)
        tell(1.0)
        return Imported(attempts=len(taken.numbers), **taken.counts)


def try_import(book: Logbook, path: Path, ending: str, tell: Tell = silent) -> Imported:
    """What `import_file` would do: it is done, and taken back."""
    try:
        with book.at_once():
            found = import_file(book, path, ending, tell)
            raise _TakenBack
    except _TakenBack:
        return found


def _lists_out(book: Logbook, tell: Tell) -> Iterator[tuple[str, Iterator[dict[str, Any]]]]:
    began = {row["id"]: rows.moment(row["started_utc_s"], row["utc_offset_s"])
             for row in book.read("SELECT id, started_utc_s, utc_offset_s FROM sessions")}  # fmt: skip
    yield "climbs", (course_values(climb, began[climb.session_id]) for climb in book.climbs())
    yield "plan_runs", (course_values(run, began[run.session_id]) for run in book.plan_runs())
    corrected: dict[int, list[Correction]] = {}
    for row in book.read("SELECT attempt_id, corrected_at, field, before, after FROM corrections ORDER BY id"):
        correction = rows.to_correction(row)
        corrected.setdefault(correction.attempt_id, []).append(correction)
    yield "attempts", (values | {"corrections": [correction_values(each) for each in corrected.get(number, ())]}
                       for number, values in _numbered_out(book, tell))  # fmt: skip


def _numbered_out(book: Logbook, tell: Tell) -> Iterator[tuple[int, dict[str, Any]]]:
    total = book.read_one("SELECT COUNT(*) FROM attempts") or 1
    with in_words(book.path):
        for place, row in enumerate(book.connection.execute(EXPORTED)):
            tell(place / total)
            fields = dict(row)
            session = rows.moment(fields.pop("session_utc_s"), fields.pop("session_offset_s"))
            yield row["id"], to_values(Linked(rows.to_attempt(fields, book.path), session))


class _Taken:
    """What an import has taken in so far. counts: as `Imported` has them, without the attempts."""

    def __init__(self, book: Logbook) -> None:
        self._book = book
        self.numbers: list[int] = []
        self.counts: Counter[str] = Counter()
        self._sessions: dict[tuple[float | int, ...], int] = {}
        self._before: tuple[int, int] | None = None  # session and day of the attempt before

    def take(self, path: Path, record: Record) -> None:
        """Take in one record that the logbook has not got."""
        kind, line, values = record
        try:
            if kind in COURSES:
                self._course(kind, *to_course(kind, values))
            else:
                corrections = to_corrections(values.get("corrections", []))
                self._attempt(to_linked({name: values[name] for name in values if name != "corrections"}), corrections)
        except WrongValue as wrong:
            raise LogbookError(path, line, wrong.field, wrong.message) from None

    def _course(self, table: str, record: LoggedClimb | PlanRun, began: datetime) -> None:
        assert record.uid is not None
        if self._book.number_of(table, record.uid) is not None:
            return
        self.counts[table] += 1
        self._book.keep(replace(record, session_id=self._session(began)))

    def _attempt(self, linked: Linked, corrections: tuple[Correction, ...]) -> None:
        attempt = linked.attempt
        assert attempt.uid is not None
        if self._book.number_of("attempts", attempt.uid) is not None:
            self.counts["known"] += 1
            return
        links = {"climbs": attempt.climb_uid, "plan_runs": attempt.plan_run_uid}
        self.counts["loose"] += any(uid and not self._book.number_of(table, uid) for table, uid in links.items())
        session = self._session(linked.session_started_at)
        attempt = replace(attempt, session_id=session)
        day_before = self._before[1] if self._before is not None and self._before[0] == session else None
        row = self._book.new_row(attempt, day_before)
        self._before = (session, row["day"])
        number = self._book.insert("attempts", row)
        self.numbers.append(number)
        for each in corrections:
            self._book.insert("corrections", rows.correction_values(replace(each, attempt_id=number)))

    def _session(self, began: datetime) -> int:
        """The session that began at that moment, entered if new."""
        key = tuple(rows.instant(began).values())
        if key not in self._sessions:
            self._sessions[key] = self._book.begin_session(began)
        return self._sessions[key]
