"""What must be in a logbook: a witness notes each try as it is told, and compares the file, read past the trainer."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path

from trainer.logbook.rows import uid_text
from trainer.records.attempt import Attempt, Corrected, Ended
from trainer.session.tries import Tries


@dataclass(frozen=True, slots=True)
class Row:
    """What a try ended with, and what was set right in it since."""

    catches: int | None
    ended: str
    fair: bool = True
    removed: bool = False


def row_of(attempt: Attempt) -> Row:
    assert attempt.ended is not None
    return Row(attempt.catches, str(attempt.ended), attempt.fair, attempt.removed)


def rows_in(path: Path) -> dict[str, Row]:
    """The tries in a file that have ended, by their identity, read with SQL alone."""
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as file:
        found = file.execute("SELECT uid, catches, ended, fair, removed FROM attempts WHERE ended IS NOT NULL")
        return {uid_text(uid): Row(catches, ended, bool(fair), bool(gone)) for uid, catches, ended, fair, gone in found}


def is_sound(path: Path) -> bool:
    """Whether SQLite finds nothing wrong in a file."""
    with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as file:
        return bool(file.execute("PRAGMA integrity_check").fetchone()[0] == "ok")


@dataclass
class Told:
    """All tries that must be in the file. awaited: those that a restore took away, until the next try is written."""

    rows: dict[str, Row] = field(default_factory=dict)
    awaited: set[str] = field(default_factory=set)
    tries: int = 0

    def faults(self, path: Path, unsaved: set[str]) -> list[str]:
        """What is not in the file as it was told, or is in it and was not."""
        there = rows_in(path)
        found = [
            f"{uid} was told as {row} and is {there.get(uid, 'lost')}"
            for uid, row in self.rows.items()
            if there.get(uid) != row and not (uid in unsaved or (uid in self.awaited and uid not in there))
        ]
        return found + [
            f"{uid} is there as {row} and was never told" for uid, row in there.items() if uid not in self.rows
        ]


class WitnessedTries(Tries):
    """The tries of a sitting; what they tell the screen is noted in `told`."""

    told: Told
    ending: str = ""

    def end(self, ended: Ended, catches: int | None, seconds: float, hiccups: int, note: str) -> None:
        super().end(ended, catches, seconds, hiccups, note)
        assert self._under_way is not None
        assert self._under_way.uid is not None
        self.ending = self._under_way.uid
        self.told.rows[self.ending] = Row(catches, str(ended))

    def resume(self) -> None:
        super().resume()
        self.told.rows.pop(self.ending, None)
        self.told.awaited.discard(self.ending)
        self.ending = ""

    def finish(self, ended: Ended, catches: int | None, seconds: float, hiccups: int, note: str) -> Attempt:
        assert self._under_way is not None
        assert self._under_way.uid is not None
        uid, self.ending = self._under_way.uid, ""
        self.told.rows[uid] = Row(catches, str(ended))
        self.told.tries += 1
        return super().finish(ended, catches, seconds, hiccups, note)

    def save(self) -> bool:
        saved = super().save()
        if saved:
            self.told.awaited &= {self.ending}
        return saved

    def changed_elsewhere(self, attempt: Attempt) -> None:
        super().changed_elsewhere(attempt)
        assert attempt.uid is not None
        self.told.rows[attempt.uid] = row_of(attempt)

    def _set_right(self, place: int, now: datetime, changes: Corrected) -> Attempt:
        after = super()._set_right(place, now, changes)
        assert after.uid is not None
        known = {name: value for name, value in changes.items() if name != "note"}
        if "ended" in known:
            known["ended"] = str(known["ended"])
        self.told.rows[after.uid] = replace(self.told.rows[after.uid], **known)  # type: ignore[arg-type]
        return after

    def restored(self, path: Path) -> None:
        """The file was replaced: it must be as it is, and get back what it lacks of this sitting."""
        there = rows_in(path)
        mine = {each.uid: row_of(each) for each in self.attempts if each.uid}
        if self.ending:
            mine[self.ending] = self.told.rows[self.ending]
        lacked = {uid: row for uid, row in mine.items() if uid not in there}
        self.told.rows = {**there, **lacked}
        self.told.awaited = set(lacked)
