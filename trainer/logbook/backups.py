"""Backups of the logbook: one each day of use, the last seven kept; any of them, or any copy, put back in its place.

A backup is made by SQLite itself, of a logbook in use too, and is there whole or not at all. What is put back never
takes the place of something that was not kept first.
"""

from __future__ import annotations

import os
import secrets
import sqlite3
from contextlib import closing
from datetime import date, datetime
from pathlib import Path
from typing import Final

from trainer.files.places import make_folder
from trainer.logbook import opening
from trainer.logbook.errors import LogbookError
from trainer.logbook.opening import in_words

KEPT: Final = 7
AT_ONCE_BYTES: Final = 20_000_000
"""A larger logbook is backed up beside the practice, not before it: a tenth of a second is not noticed, two are."""


def back_up_today(path: Path, today: date) -> Path | None:
    """Today's backup of the logbook at `path`, and the oldest ones away; None if it was made before.

    LogbookError if it could not be made; a damaged logbook pushes no sound backup out.
    """
    target = opening.backup_of(path, today)
    if target.exists():
        return None
    copy(path, target)
    for old in opening.backups(path)[KEPT:]:
        old.unlink(missing_ok=True)
    return target


def copy(path: Path, target: Path) -> None:
    """A checked copy of the logbook at `path`, which may be in use, in place of `target`; LogbookError if it fails."""
    make_folder(target.parent)
    beside = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        with (
            in_words(path),
            closing(opening.read_only(path, wait_s=2.0)) as original,
            closing(sqlite3.connect(beside, isolation_level=None)) as made,
        ):
            original.backup(made)
            made.execute("PRAGMA journal_mode = DELETE").fetchall()  # a single file, until it is used
            if made.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
                raise opening.damaged(path)
        os.replace(beside, target)
    except OSError as error:
        raise LogbookError(target, None, "", f"The backup could not be written: {error.strerror or error}.") from None
    finally:
        for part in (beside, Path(f"{beside}-journal")):
            part.unlink(missing_ok=True)


def restore(path: Path, source: Path, now: datetime) -> Path | None:
    """Put the logbook at `source` in the place of the one at `path`; returns where what was there is kept now.

    None if nothing was there. LogbookError if `source` is no sound logbook or the place can't be written; then all is
    as it was. Another trainer may have the logbook open: it sees the other content from then on.
    """
    with in_words(source), closing(opening.read_only(_there(source), wait_s=2.0)) as original:
        opening.version_of(original, source)
        if original.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
            raise opening.Damaged(source, None, "", opening.DAMAGED)
        if path.exists() and path.samefile(source):
            raise LogbookError(source, None, "", "The file was the logbook itself.")
        make_folder(path.parent)
        kept = _kept(path, now) if path.exists() else None
        moved = kept is not None and not path.exists()
        try:
            with in_words(path), closing(sqlite3.connect(path, timeout=2.0, isolation_level=None)) as target:
                original.backup(target)
        except BaseException:
            if moved and kept is not None:
                _move(kept, path)
            raise
    return kept


def _there(path: Path) -> Path:
    if not path.is_file():
        raise LogbookError(path, None, "", "There was no such file.")
    return path


def _kept(path: Path, now: datetime) -> Path:
    """Where the logbook that was at `path` is kept: a copy of a sound one, a damaged one itself, moved."""
    kept = path.with_name(f"{path.stem}.before-{now:%Y-%m-%d-%H%M%S}{path.suffix}")
    if kept.exists():
        raise LogbookError(kept, None, "", "The file was there already and was left as it was. Try again.")
    try:
        copy(path, kept)
    except opening.Damaged:
        _move(path, kept)
    return kept


def _move(path: Path, target: Path) -> None:
    """Another name for a logbook and what belongs to it, itself last."""
    for ending in ("-wal", "-shm", ""):
        part = Path(f"{path}{ending}")
        if part.exists():
            os.replace(part, f"{target}{ending}")
