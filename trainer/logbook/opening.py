"""Opens the logbook's file: checks that it is ours and sound, brings it to the newest version, says what failed.

Nothing here writes to a file that is damaged, another program's, or from a newer version.
"""

from __future__ import annotations

import os
import sqlite3
import stat
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import date
from pathlib import Path
from typing import Final

from trainer.files.parts import open_part
from trainer.files.places import make_folder
from trainer.logbook.errors import LogbookError
from trainer.logbook.migrations import APPLICATION_ID, MIGRATIONS

CHECKED_BYTES: Final = 2_000_000  # about 20,000 attempts

Migrations = Sequence[Sequence[str]]

DAMAGED: Final = "The logbook was damaged, and was left as it was. Move it elsewhere to begin a new one."
LOCKED: Final = "The logbook was locked by another program. Close that program, then try again."
TAKEN_AWAY: Final = "The logbook was taken away or replaced while it was open. Put it back, or leave and start again."
READ_ONLY: Final = "The logbook could not be written: the file or its folder was read-only. Make it writable."

# By SQLite's primary result code. Source: https://www.sqlite.org/rescode.html
SENTENCES: Final = {
    sqlite3.SQLITE_BUSY: LOCKED,
    sqlite3.SQLITE_LOCKED: LOCKED,
    sqlite3.SQLITE_PROTOCOL: LOCKED,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_PERM: READ_ONLY,
    sqlite3.SQLITE_CANTOPEN: "The logbook could not be opened. Check that its folder is there and writable.",
    sqlite3.SQLITE_FULL: "The disk was full, and nothing was written to the logbook. Make room, then try again.",
    sqlite3.SQLITE_IOERR: "The disk failed while the logbook was read or written. Check the disk.",
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_NOTADB: "The file was no logbook, or a damaged one, and was left as it was. Move it elsewhere.",
}
OUR_MISTAKES: Final = (sqlite3.ProgrammingError, sqlite3.IntegrityError, sqlite3.NotSupportedError)


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Turn what SQLite says about the file into a LogbookError; mistakes of the program stay what they are."""
    try:
        yield
    except OUR_MISTAKES:
        raise
    except sqlite3.DatabaseError as error:
        code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT) & 0xFF  # none: a text that is no UTF-8
        if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            raise damaged(path, SENTENCES[code]) from None
        sentence = SENTENCES.get(code, f"The logbook could not be used: {error}.")
        raise LogbookError(path, None, "", sentence) from None


class Damaged(LogbookError):
    """The file was damaged, or none of ours."""


def damaged(path: Path, sentence: str = DAMAGED) -> Damaged:
    """The error for a damaged logbook, which offers the newest backup if there is one."""
    newest = next(iter(backups(path)), None)
    offer = f" “throwbeat log restore {newest}” brings back the newest backup." if newest else ""
    return Damaged(path, None, "", sentence + offer)


def backup_folder(path: Path) -> Path:
    """Where the daily backups of the logbook at `path` are."""
    return path.with_name("backups")


def backup_of(path: Path, day: date) -> Path:
    """The backup of a day of the logbook at `path`, whether it is there or not."""
    return backup_folder(path) / f"{path.stem}.{day.isoformat()}{path.suffix}"


def backups(path: Path) -> tuple[Path, ...]:
    """The daily backups of the logbook at `path`, the newest first."""
    found = backup_folder(path).glob(f"{path.stem}.????-??-??{path.suffix}")
    return tuple(sorted(found, reverse=True))


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """A transaction: all of it is on the disk at the end, or none of it happened."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:  # a full disk has ended it already
            connection.execute("ROLLBACK")
        raise


def to_write(path: Path, wait_s: float, migrations: Migrations = MIGRATIONS) -> sqlite3.Connection:
    """A connection to the logbook at `path`, made if it is not there, in the newest version; LogbookError if not."""
    _refuse_what_is_no_file(path)
    make_folder(path.parent)
    with in_words(path), _closed_on_failure(sqlite3.connect(path, timeout=wait_s, isolation_level=None)) as db:
        version = version_of(db, path, len(migrations))
        if version:
            _refuse_damage(db, path)
        # Two that make one logbook at the same moment are told "busy" at once, whatever the timeout.
        _patiently(lambda: db.execute("PRAGMA journal_mode = WAL").fetchall(), wait_s)
        db.execute("PRAGMA synchronous = FULL")
        if version < len(migrations):
            if version:
                _back_up(db, path, version)
            _migrate(db, path, migrations)
        db.execute("PRAGMA foreign_keys = ON")  # afterwards: a migration may have to rebuild a table others refer to
        return db


def to_read(path: Path, wait_s: float, migrations: Migrations = MIGRATIONS) -> sqlite3.Connection:
    """A connection that changes nothing. A file that is missing, empty or older is read from a new copy in memory."""
    if not _refuse_what_is_no_file(path):
        return in_memory(path, migrations)
    with in_words(path), _closed_on_failure(read_only(path, wait_s)) as db:
        if version_of(db, path, len(migrations)) == len(migrations):
            return db
        copy = in_memory(path, migrations, db)
        db.close()
        return copy


def file_number(path: Path) -> tuple[int, int] | None:
    """What tells the file at `path` from another one put in its place; None if there is none."""
    try:
        found = os.stat(path)
    except OSError:
        return None
    return found.st_dev, found.st_ino


def beside(path: Path) -> dict[Path, tuple[int, int] | None]:
    """The files that SQLite keeps beside an open logbook, and what tells each from another one in its place."""
    return {part: file_number(part) for part in (Path(f"{path}-wal"), Path(f"{path}-shm"))}


def leave(connection: sqlite3.Connection, path: Path, files: dict[Path, tuple[int, int] | None]) -> None:
    """Leave a logbook whose file was moved or replaced: what SQLite keeps beside it must not meet another file.

    SQLite would take the changes that wait there for changes of the file that is at the path now. files: as they were
    when it was opened; others are let be. Source: https://www.sqlite.org/howtocorrupt.html, 1.4 and 4.2 to 4.4.
    """
    ours = [part for part, number in files.items() if number is not None and file_number(part) == number]
    if ours and not path.exists():  # nobody but us works with them: they can go into the file that was moved
        with in_words(path):
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    for part in ours:
        part.unlink(missing_ok=True)


def storable(text: str) -> str:
    """A text as UTF-8 can hold it: bytes of a command line that were none become question marks."""
    return text.encode("utf-8", "replace").decode("utf-8")


def _refuse_what_is_no_file(path: Path) -> bool:
    """Whether the file is there; LogbookError if what is there is no ordinary file."""
    try:
        kind = os.stat(path).st_mode
    except FileNotFoundError:
        return False
    except OSError as error:
        raise LogbookError(path, None, "", f"The logbook could not be opened: {error.strerror}.") from None
    if not stat.S_ISREG(kind):
        raise LogbookError(path, None, "", "The logbook was no ordinary file. Move it elsewhere to begin a new one.")
    return True


@contextmanager
def _closed_on_failure(connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    try:
        yield connection
    except BaseException:
        connection.close()
        raise


def read_only(path: Path, wait_s: float) -> sqlite3.Connection:
    """A connection that changes nothing and leaves nothing beside the file, even in a folder that can't be written."""
    address, written = path.absolute().as_uri(), Path(f"{path}-wal")
    was_shared = written.exists()
    connection = sqlite3.connect(f"{address}?mode=ro", uri=True, timeout=wait_s, isolation_level=None)
    try:
        connection.execute("PRAGMA user_version").fetchone()
    except sqlite3.DatabaseError as error:
        connection.close()
        # In a folder that can't be written SQLite can't share the file. With nothing waiting to be merged into it,
        # it is safe to read it as one that never changes.
        alone = not written.exists() or written.stat().st_size == 0
        if error.sqlite_errorcode & 0xFF not in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY) or not alone:
            raise
        return sqlite3.connect(f"{address}?mode=ro&immutable=1", uri=True, isolation_level=None)
    if not was_shared and written.exists():
        # SQLite made it for this reading, empty, and takes it away as the last connection closes that might write.
        connection.close()
        connection = sqlite3.connect(f"{address}?mode=rw", uri=True, timeout=wait_s, isolation_level=None)
        connection.execute("PRAGMA query_only = ON")
    return connection


def version_of(db: sqlite3.Connection, path: Path, newest: int = len(MIGRATIONS)) -> int:
    """The version of the tables, 0 for an empty file; LogbookError if they are newer than ours, or not ours."""
    # In one statement: between two, another trainer may have made the tables, and half of what it did would be seen.
    ((version, application, tables),) = db.execute(
        "SELECT user_version, application_id, (SELECT count(*) FROM sqlite_master)"
        " FROM pragma_user_version, pragma_application_id"
    ).fetchall()
    if application != APPLICATION_ID and (tables or version or application):
        raise LogbookError(path, None, "", "The file was another program's database. Move it elsewhere.")
    if version > newest:
        reason = f"The logbook was of version {version}, newer than version {newest}, the newest known here."
        raise LogbookError(path, None, "", f"{reason} Update the trainer.")
    return int(version)


def _refuse_damage(db: sqlite3.Connection, path: Path) -> None:
    """LogbookError if a walk through the whole file finds damage.

    The walk takes 2 ms for 1,000 attempts; a larger file is not walked through, so that practice need not wait.
    """
    if path.stat().st_size <= CHECKED_BYTES and db.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
        raise damaged(path)


def _patiently(act: Callable[[], object], wait_s: float) -> None:
    """Do `act`; while the file is busy try again, for `wait_s` at most."""
    until = time.monotonic() + wait_s
    while True:
        try:
            act()
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() >= until:
                raise
        time.sleep(0.01)


def _migrate(db: sqlite3.Connection, path: Path, migrations: Migrations) -> None:
    with transaction(db):
        version = version_of(db, path, len(migrations))  # again: another trainer may have been faster
        for statements in migrations[version:]:
            for statement in statements:
                db.execute(statement)
        db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        db.execute(f"PRAGMA user_version = {len(migrations)}")


def _back_up(db: sqlite3.Connection, path: Path, version: int) -> None:
    """A copy beside the logbook before its tables change; copies made before are never written over."""
    copy_path = next(
        candidate
        for number in range(1, 1000)
        if not (candidate := path.with_name(f"{path.stem}.version-{version}.{number}{path.suffix}")).exists()
    )
    with copied(db, copy_path):
        pass


@contextmanager
def copied(db: sqlite3.Connection, target: Path) -> Iterator[sqlite3.Connection]:
    """A copy of a logbook, which is moved to `target` when the block is left without an error, to be looked through.

    LogbookError if it can't be written.
    """
    try:
        with open_part(target) as (part, _):
            # A file of its own: on some systems SQLite would wait for ever for the lock that the part is held by.
            copy = Path(f"{part}-copy")
            with closing(sqlite3.connect(copy, isolation_level=None)) as made:
                db.backup(made)
                made.execute("PRAGMA journal_mode = DELETE").fetchall()  # a single file, until it is used
                yield made
            os.replace(copy, target)
    except OSError as error:
        raise LogbookError(target, None, "", f"The copy could not be written: {error.strerror or error}.") from None


def in_memory(
    path: Path, migrations: Migrations = MIGRATIONS, original: sqlite3.Connection | None = None
) -> sqlite3.Connection:
    """A logbook in memory, in the newest version: a copy of an open one, or an empty one. path: for messages."""
    memory = sqlite3.connect(":memory:", isolation_level=None)
    if original is not None:
        original.backup(memory)
    _migrate(memory, path, migrations)
    return memory
