"""The logbook as the rest of the trainer sees it: one class, which opens the file and writes and reads attempts.

Two trainers may use one logbook at once. What goes wrong is a LogbookError of one line, and the file is left as it was.
"""

from __future__ import annotations

import json
import sqlite3
import threading
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final, NotRequired, Self, TypedDict, Unpack

from trainer.files.toml import DataError
from trainer.logbook import opening, processes, rows
from trainer.logbook.courses import Courses
from trainer.logbook.errors import AttemptRefused
from trainer.logbook.figures import Figures
from trainer.logbook.pages import LISTED, Pages
from trainer.records.attempt import Attempt, Corrected, Correction, CountedBy, Ended

A_DAY_S: Final = 86_400
"""No attempt lasts as long: an older one is given up even where nobody can tell whether its process still lives."""

NARROWED: Final = {
    "pattern": "f.pattern = :pattern",
    "prop": "p.name = :prop",
    "counted_by": "f.counted_by = :counted_by",
    "session_id": """a.session_id = :session_id
        AND a.id >= (SELECT attempts_from FROM sessions WHERE id = :session_id)""",
    "climb_uid": "a.climb_id = (SELECT id FROM climbs WHERE uid = :climb_uid)",
    "plan_run_uid": "a.plan_run_id = (SELECT id FROM plan_runs WHERE uid = :plan_run_uid)",
    "since": "a.started_utc_s >= :since",
}
"""What `Logbook.attempts` can be asked for, each as a condition."""


class Ending(TypedDict):
    """How an attempt ended. fair: it is unless said otherwise."""

    ended: Ended | str
    catches: int | None
    seconds: float | None
    hiccups: NotRequired[int]
    note: NotRequired[str]
    fair: NotRequired[bool]


class Logbook(Pages, Figures, Courses):
    """An open logbook; a context manager that closes it. Use it from the thread that opened it."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        super().__init__(path, connection)
        self._owner = processes.token()
        self.backup_trouble = ""  # why there is no backup of today, in one line

    @classmethod
    def open(cls, path: Path, *, wait_s: float = 2.0, now: datetime | None = None) -> Self:
        """The logbook at `path`, made if it is not there, brought to the newest version, its orphans given up.

        wait_s: how long to wait for another program that is writing. now: the time, of the clock if not given.
        Raises LogbookError.
        """
        now = now or datetime.now().astimezone()
        logbook = cls(path, opening.to_write(path, wait_s))
        try:
            logbook._give_up_orphans(now)
        except BaseException:
            logbook.close()
            raise
        if logbook.read_one("SELECT 1 FROM attempts LIMIT 1"):
            logbook._back_up(now.date())
        return logbook

    def _back_up(self, today: date) -> None:
        """Make today's backup if there is none; the day's work goes on without one, which `backup_trouble` tells."""
        if opening.backup_of(self.path, today).exists():
            return
        from trainer.logbook import backups  # once a day: other starts do without

        def make() -> None:
            try:
                backups.back_up_today(self.path, today)
            except DataError as error:
                self.backup_trouble = str(error)

        if self.path.stat().st_size <= backups.AT_ONCE_BYTES:
            make()
        else:
            threading.Thread(target=make, name="backup").start()

    @classmethod
    def open_to_read(cls, path: Path, *, wait_s: float = 2.0) -> Self:
        """The logbook at `path`, which is not changed; its folder need not be writable. Empty if it is missing."""
        return cls(path, opening.to_read(path, wait_s))

    def begin_session(self, started_at: datetime) -> int:
        """The number of the session that began at a moment, entered if new. ValueError without an offset from UTC."""
        row = rows.instant(started_at)
        found = "SELECT id FROM sessions WHERE (started_utc_s, utc_offset_s) = (:started_utc_s, :utc_offset_s)"
        with self.at_once():
            number: int | None = self.read_one(found, row)
            after = self.read_one("SELECT MAX(id) FROM attempts") or 0
            return number or self.insert("sessions", row | {"attempts_from": after + 1})

    def add(self, attempt: Attempt) -> Attempt:
        """Write an attempt that has ended; the same with its number, its identity, and whether it was a best."""
        if attempt.ended is None:
            raise ValueError("the attempt has not ended: begin_attempt is for those")
        with self.at_once():
            number = self.insert("attempts", self.new_row(attempt, self._day_before()))
            self.sum_up([number])
            return self._attempts("WHERE a.id = :id", {"id": number})[0]

    def add_all(self, attempts: Iterable[Attempt]) -> int:
        """Write many attempts that have ended, all of them or none, and sum them up once; how many they were."""
        with self.at_once():
            numbers = [self.insert("attempts", self.new_row(each, self._day_before())) for each in attempts]
            self.sum_up(numbers)
        return len(numbers)

    def begin_attempt(self, attempt: Attempt) -> str:
        """Write an attempt that is under way; its identity. Should this process die, the next one gives it up."""
        if attempt.ended is not None or attempt.catches is not None:
            raise ValueError("the attempt has ended: add is for those")
        with self.at_once():
            row = self.new_row(attempt, self._day_before()) | {"owner": self._owner}
            self.insert("attempts", row)
            return rows.uid_text(row["uid"])

    def end(self, uid: str, **ending: Unpack[Ending]) -> None:
        """Write how an attempt that this process began ends, if nothing else comes: `resume` takes it back.

        `end` again, or `finish`, replaces it. AttemptRefused for an attempt of anyone else, or a finished one.
        """
        self._end(uid, self._owner, ending)

    def resume(self, uid: str) -> None:
        """Put an attempt whose end was written by `end` back under way; AttemptRefused for any other."""
        self._end(uid, self._owner, {"ended": None, "catches": None, "seconds": None})

    def finish(self, uid: str, **ending: Unpack[Ending]) -> Attempt:
        """End an attempt that this process began and has not finished; AttemptRefused for any other."""
        with self.at_once():
            self._end(uid, None, ending)
            return self.attempt(uid)

    def is_ours(self, uid: str) -> bool:
        """Whether this process began an attempt and has not finished it."""
        owner = self.read_one("SELECT owner FROM attempts WHERE uid = ?", (rows.uid_number(uid),))
        return bool(owner == self._owner)

    def lacks(self, uids: Iterable[str]) -> frozenset[str]:
        """Those identities of which no attempt here has ended."""
        numbers = {rows.uid_number(uid): uid for uid in uids}
        lacked = self.read(
            """SELECT value FROM json_each(?) WHERE NOT EXISTS (
                SELECT 1 FROM attempts WHERE uid = value AND ended IS NOT NULL)""",
            (json.dumps(list(numbers)),),
        )
        return frozenset(numbers[row["value"]] for row in lacked)

    def correct(self, uid: str, *, corrected_at: datetime, **changes: Unpack[Corrected]) -> Attempt:
        """Set fields of an ended attempt right; what stood there before stays in its corrections."""
        if "ended" in changes:
            changes["ended"] = Ended(changes["ended"])
        if "note" in changes:
            changes["note"] = opening.storable(changes["note"])
        return self._set(uid, corrected_at, changes)

    def remove(self, uid: str, *, corrected_at: datetime) -> Attempt:
        """Take an ended attempt out of every list and figure; it stays in the file, for `restore`."""
        return self._set(uid, corrected_at, {"removed": True})

    def restore(self, uid: str, *, corrected_at: datetime) -> Attempt:
        """Bring back an attempt that was removed."""
        return self._set(uid, corrected_at, {"removed": False})

    def corrections(self, uid: str) -> tuple[Correction, ...]:
        """What was set right in an attempt, oldest first."""
        found = self.read(
            """SELECT attempt_id, corrected_at, field, before, after FROM corrections
            WHERE attempt_id = (SELECT id FROM attempts WHERE uid = ?) ORDER BY id""",
            (rows.uid_number(uid),),
        )
        return tuple(map(rows.to_correction, found))

    def attempt(self, uid: str) -> Attempt:
        """One attempt that has ended, removed or not; AttemptRefused if there is none of that identity."""
        attempt = self._any_attempt(uid)
        if attempt.ended is None:
            raise AttemptRefused(self.path, None, "", f"Attempt {attempt.id} was still under way.")
        return attempt

    def attempts(
        self, pattern: str | None = None, limit: int | None = None, *, prop: str | None = None,
        counted_by: CountedBy | str | None = None, session_id: int | None = None, since: datetime | None = None,
        climb_uid: str | None = None, plan_run_uid: str | None = None,
    ) -> tuple[Attempt, ...]:  # fmt: skip
        """The attempts that have ended and are not removed, by day, then in the order they were begun.

        A clock that was set back does not change the order (rows.day_of). limit: the last so many.
        """
        wanted = {
            "pattern": pattern, "prop": rows.name(prop), "counted_by": None if counted_by is None else str(counted_by),
            "session_id": session_id, "since": None if since is None else since.timestamp(),
            "climb_uid": climb_uid and rows.uid_number(climb_uid),
            "plan_run_uid": plan_run_uid and rows.uid_number(plan_run_uid),
        }  # fmt: skip
        given = {field: value for field, value in wanted.items() if value is not None}
        conditions = [LISTED, *(NARROWED[field] for field in given)]
        order = "a.day, a.id" if limit is None else f"a.day DESC, a.id DESC LIMIT {int(limit)}"
        found = self._attempts(f"WHERE {' AND '.join(conditions)} ORDER BY {order}", given)
        return found if limit is None else found[::-1]

    def problems(self) -> tuple[str, ...]:
        """What SQLite finds wrong in the whole file, and rows that refer to none; empty if all is well. Slow."""
        found = [row[0] for row in self.read("PRAGMA integrity_check") if row[0] != "ok"]
        stray = [f"row {row[1]} of {row[0]} leads nowhere" for row in self.read("PRAGMA foreign_key_check")]
        return (*found, *stray)

    def _end(self, uid: str, owner: str | None, ending: Mapping[str, Any]) -> None:
        """Write the end of an attempt of this process, or that it has none yet. owner: None if that is final."""
        with self.at_once() as connection:
            # Made first, as Attempt refuses what can't be before anything is written.
            done = replace(self._any_attempt(uid), **{"hiccups": 0, "note": "", "fair": True, **ending})
            # By owner, not by "under way": one that another trainer took for orphaned is still ours to finish.
            changed = connection.execute(
                """UPDATE attempts SET ended = :ended, catches = :catches, seconds = :seconds, hiccups = :hiccups,
                note_id = :note_id, fair = :fair, owner = :owner WHERE id = :id AND owner = :us""",
                rows.ended_values(done) | {"id": done.id, "note_id": self._noted(done.note), "owner": owner,
                                           "us": self._owner},
            )  # fmt: skip
            if changed.rowcount != 1:
                raise AttemptRefused(self.path, None, "", f"Attempt {uid} was not under way here.")
            assert done.id is not None
            self.sum_up([done.id])

    def _set(self, uid: str, corrected_at: datetime, changes: Mapping[str, Any]) -> Attempt:
        """Give fields of an ended attempt other values; each that differs is noted as a correction."""
        with self.at_once() as connection:
            before = self.attempt(uid)
            assert before.id is not None
            after = replace(before, **changes)
            for field in changes:
                old, new = rows.plain(getattr(before, field)), rows.plain(getattr(after, field))
                if old == new:
                    continue
                correction = Correction(
                    attempt_id=before.id, corrected_at=corrected_at, field=field, before=old, after=new
                )
                self.insert("corrections", rows.correction_values(correction))
                column, value = ("note_id", self._noted(after.note)) if field == "note" else (field, new)
                connection.execute(f"UPDATE attempts SET {column} = ? WHERE id = ?", (value, before.id))
            self.sum_up([before.id])
            return self.attempt(uid)

    def _any_attempt(self, uid: str) -> Attempt:
        found = self._attempts("WHERE a.uid = :uid", {"uid": rows.uid_number(uid)})
        if not found:
            raise AttemptRefused(self.path, None, "", f"There was no attempt {uid}.")
        return found[0]

    def _day_before(self) -> int | None:
        """The day of the attempt written last."""
        day: int | None = self.read_one("SELECT day FROM attempts ORDER BY id DESC LIMIT 1")
        return day

    def _give_up_orphans(self, now: datetime) -> None:
        orphans = []
        for row in self.read("SELECT id, owner, started_utc_s FROM attempts WHERE ended IS NULL"):
            life = processes.life(row["owner"])
            old = now.timestamp() - row["started_utc_s"] > A_DAY_S
            if life is processes.Life.GONE or (life is processes.Life.UNKNOWN and old):
                orphans.append(row["id"])
        if orphans:
            with self.at_once() as connection:
                connection.executemany(
                    "UPDATE attempts SET ended = 'given-up' WHERE id = ? AND ended IS NULL",
                    [(number,) for number in orphans],
                )
                self.sum_up(orphans)
