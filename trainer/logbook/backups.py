"""Backups of the logbook: one each day of use, of which the last seven are kept, and how one is put back.

SQLite makes the copy, of a logbook in use too; it is whole or not there. What a backup replaces is kept first.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import date, datetime
from pathlib import Path
from typing import Final

from trainer.files.checks import Wrong
from trainer.files.ordinary import LOGBOOK_BYTES, Missing, open_ordinary
from trainer.files.places import make_folder
from trainer.logbook import opening
from trainer.logbook.errors import LogbookError
from trainer.logbook.opening import in_words

KEPT: Final = 7
STEP_PAGES: Final = 4
"""A logbook is put back in steps of so few pages that it takes more than one: a new one has some 40."""
AT_ONCE_BYTES: Final = 20_000_000
"""A larger logbook is backed up in a thread beside the practice: nobody notices a tenth of a second, everybody two."""


def back_up_today(path: Path, today: date) -> Path | None:
    """Make today's backup of the logbook at `path` and remove the oldest ones; None if there is one of today.

    One dated later than today was made while the clock was wrong: such go before the others. LogbookError if it
    could not be made; a damaged logbook pushes no sound backup out.
    """
    target = opening.backup_of(path, today)
    if target.exists():
        return None
    copy(path, target)
    for old in sorted(opening.backups(path), key=lambda each: each.name > target.name)[KEPT:]:
        old.unlink(missing_ok=True)
    return target


def copy(path: Path, target: Path) -> None:
    """Write a checked copy of the logbook at `path`, which may be in use, over `target`; LogbookError if it fails."""
    make_folder(target.parent)
    with (
        in_words(path),
        closing(opening.read_only(path, wait_s=2.0)) as original,
        opening.copied(original, target) as made,
    ):
        if made.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
            raise opening.damaged(path)


def restore(path: Path, source: Path, now: datetime) -> Path | None:
    """Put the logbook at `source` in the place of the one at `path`; where the one before is kept now, None for none.

    LogbookError if `source` is no sound logbook or the place can't be written; then all is
    as it was. Another trainer may have the logbook open: it sees the other content from then on.
    """
    try:
        open_ordinary(source, LOGBOOK_BYTES).close()
    except Missing:
        raise LogbookError(source, None, "", "There was no such file.") from None
    except Wrong as wrong:
        raise LogbookError(source, None, "", str(wrong)) from None
    with in_words(source), closing(opening.to_read(source, wait_s=2.0)) as original:
        if original.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
            raise opening.Damaged(source, None, "", opening.DAMAGED)
        if path.exists() and path.samefile(source):
            raise LogbookError(source, None, "", "The file was the logbook itself.")
        make_folder(path.parent)
        kept = path.with_name(f"{path.stem}.before-{now:%Y-%m-%d-%H%M%S}{path.suffix}")
        if kept.exists():
            raise LogbookError(kept, None, "", "The file was there already and was left as it was. Try again.")
        if not path.exists():
            _replace(path, original, None)
            return None
        try:
            _replace(path, original, kept)
        except opening.Damaged:
            _move(path, kept)
            try:
                _replace(path, original, None)
            except BaseException:
                _move(kept, path)
                raise
    return kept


def _replace(path: Path, original: sqlite3.Connection, kept: Path | None) -> None:
    """Put the content of `original` into the logbook at `path`. kept: where the content before is copied to first."""

    def keep(status: int, _remaining: int, _total: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):  # else it would be tried for ever
            raise LogbookError(path, None, "", opening.LOCKED)
        # Between two steps the logbook is locked for writing: what a trainer writes is in the copy, or comes after.
        if kept is not None and not kept.exists():
            copy(path, kept)

    with in_words(path), closing(sqlite3.connect(path, timeout=2.0, isolation_level=None)) as target:
        original.backup(target, pages=STEP_PAGES, progress=keep)


def _move(path: Path, target: Path) -> None:
    """Rename a logbook and the files that SQLite keeps beside it, the logbook last."""
    for ending in ("-wal", "-shm", ""):
        part = Path(f"{path}{ending}")
        if part.exists():
            os.replace(part, f"{target}{ending}")
