"""Opening the logbook: new, old, newer, damaged, another's, locked, full, read-only; nothing is ever overwritten."""

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

import pytest

import trainer
from tests.logbook.tried import tried
from trainer.files.toml import DataError
from trainer.logbook import opening
from trainer.logbook.errors import LogbookError
from trainer.logbook.migrations import APPLICATION_ID, MIGRATIONS
from trainer.logbook.store import Logbook


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A logbook with one attempt in it, closed."""
    path = tmp_path / "logbook.sqlite"
    with Logbook.open(path) as book:
        book.add(tried(book))
    return path


def pragma(path: Path, name: str) -> object:
    with closing(sqlite3.connect(path)) as db:
        return db.execute(f"PRAGMA {name}").fetchone()[0]


def said(path: Path, wait_s: float = 0) -> str:
    with pytest.raises(LogbookError) as caught:
        Logbook.open(path, wait_s=wait_s).close()
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_new_logbook_is_made_with_its_folder(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "logbook.sqlite"
    with Logbook.open(path) as book:
        assert book.attempts() == ()
        assert book.problems() == ()
    assert pragma(path, "user_version") == len(MIGRATIONS)
    assert pragma(path, "application_id") == APPLICATION_ID
    assert pragma(path, "journal_mode") == "wal"
    assert [entry.name for entry in path.parent.iterdir()] == ["logbook.sqlite"]


def test_each_connection_is_set_to_keep_what_was_announced(path: Path) -> None:
    with closing(opening.to_write(path, 0.25)) as db:
        settings = [
            db.execute(f"PRAGMA {name}").fetchone()[0] for name in ("foreign_keys", "synchronous", "busy_timeout")
        ]
    assert settings == [1, 2, 250]  # synchronous 2 is FULL


def test_an_empty_file_is_a_new_logbook(tmp_path: Path) -> None:
    (tmp_path / "logbook.sqlite").touch()
    with Logbook.open_to_read(tmp_path / "logbook.sqlite") as book:
        assert book.attempts() == ()
    assert (tmp_path / "logbook.sqlite").stat().st_size == 0
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.add(tried(book))


def test_a_missing_logbook_reads_as_empty_and_is_not_made(tmp_path: Path) -> None:
    with Logbook.open_to_read(tmp_path / "none" / "logbook.sqlite") as book:
        assert book.attempts() == ()
    assert list(tmp_path.iterdir()) == []


def test_reading_leaves_the_file_byte_for_byte_and_nothing_beside_it(path: Path) -> None:
    before, beside = path.read_bytes(), sorted(path.parent.iterdir())
    with Logbook.open_to_read(path) as book:
        assert len(book.attempts()) == 1
    assert path.read_bytes() == before
    assert sorted(path.parent.iterdir()) == beside


def test_a_path_with_signs_that_mean_something_in_addresses(tmp_path: Path) -> None:
    path = tmp_path / "50% ?x=1#y ü.sqlite"
    with Logbook.open(path) as book:
        book.add(tried(book))
    with Logbook.open_to_read(path) as book:
        assert len(book.attempts()) == 1


def test_a_newer_version_is_refused_and_both_are_named(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 99")
    before = path.read_bytes()
    expected = (
        f"{path}: The logbook was of version 99, newer than version {len(MIGRATIONS)}, the newest known here."
        " Update the trainer."
    )
    assert said(path) == expected
    with pytest.raises(LogbookError, match="version 99"):
        Logbook.open_to_read(path)
    assert path.read_bytes() == before


def test_the_database_of_another_program_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite"
    with closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE recipes (name)")
    before = path.read_bytes()
    assert said(path) == f"{path}: The file was another program's database. Move it elsewhere."
    assert path.read_bytes() == before


@pytest.mark.parametrize("content", [b"my notes\n", b"x" * 5000, b"SQLite format 3\0" + b"\xff" * 4000])
def test_a_file_that_is_no_logbook_is_refused_and_kept(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    path.write_bytes(content)
    assert (
        said(path) == f"{path}: The file was no logbook, or a damaged one, and was left as it was. Move it elsewhere."
    )
    with pytest.raises(LogbookError, match="damaged"):
        Logbook.open_to_read(path)
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_a_damaged_logbook_is_refused_and_kept(path: Path) -> None:
    content = bytearray(path.read_bytes())
    page = int(str(pragma(path, "page_size")))
    for start in range(2 * page, len(content), page):  # the header and the table of tables stay readable
        content[start : start + 200] = os.urandom(200)
    path.write_bytes(content)
    assert said(path) == f"{path}: {opening.DAMAGED}"
    assert path.read_bytes() == content


def test_damage_in_a_large_logbook_is_met_where_it_is_used(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "CHECKED_BYTES", 0)
    content = bytearray(path.read_bytes())
    page = int(str(pragma(path, "page_size")))
    content[2 * page :] = b"\xff" * (len(content) - 2 * page)
    path.write_bytes(content)
    assert said(path) == f"{path}: {opening.DAMAGED}"
    assert path.read_bytes() == content


def test_a_logbook_cut_short_is_refused_and_kept(path: Path) -> None:
    content = path.read_bytes()[:-5000]
    path.write_bytes(content)
    assert "damaged" in said(path)
    assert path.read_bytes() == content


def test_a_logbook_whose_tables_are_gone_is_one_line(path: Path) -> None:
    with closing(sqlite3.connect(path)) as db:
        db.executescript("DROP TABLE corrections; DROP TABLE attempts")
    assert said(path) == f"{path}: The logbook could not be used: no such table: attempts."


def test_what_is_no_file(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "file").touch()
    assert said(tmp_path).startswith(f"{tmp_path}: The logbook was no ordinary file.")
    assert said(tmp_path / "pipe").startswith(f"{tmp_path}/pipe: The logbook was no ordinary file.")
    assert said(tmp_path / "file" / "x") == f"{tmp_path}/file/x: The logbook could not be opened: Not a directory."


def test_a_locked_logbook_says_so_after_its_wait(path: Path) -> None:
    expected = f"{path}: The logbook was locked by another program. Close that program, then try again."
    with Logbook.open(path, wait_s=0) as book, closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        attempt = replace(book.attempts()[0], uid=None)  # reading goes on
        with pytest.raises(LogbookError) as caught:
            book.add(attempt)
        assert str(caught.value) == expected
        other.execute("COMMIT")
        assert book.add(attempt).id == 2
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        other.execute("DELETE FROM corrections")
        assert said(path, wait_s=0.02) == expected


def test_a_full_disk_loses_nothing_that_was_announced(path: Path) -> None:
    with Logbook.open(path) as book:
        pages = book.connection.execute("PRAGMA page_count").fetchone()[0]
        book.connection.execute(f"PRAGMA max_page_count = {pages + 4}")  # provokes SQLITE_FULL without a full disk
        with pytest.raises(LogbookError) as caught:
            book.add(tried(book, note="x" * 1_000_000))
        assert str(caught.value) == (
            f"{path}: The disk was full, and nothing was written to the logbook. Make room, then try again."
        )
        assert len(book.attempts()) == 1
        book.connection.execute("PRAGMA max_page_count = 1000000")
        assert book.add(tried(book)).id == 2
        assert book.problems() == ()


FILLING = """
import resource, signal, sys
from pathlib import Path
from tests.logbook.tried import tried
from trainer.logbook.errors import LogbookError
from trainer.logbook.store import Logbook

signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
with Logbook.open(Path(sys.argv[1])) as book:
    resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, 400_000))
    for number in range(100):
        try:
            book.add(tried(book, note=f"{number} " * 5000))
        except LogbookError as error:
            print(error)
            break
        print(number)
"""


def test_a_file_that_can_grow_no_more_loses_nothing_that_was_announced(path: Path) -> None:
    """The system itself refuses to make the file longer, in the middle of a transaction."""
    root = Path(trainer.__file__).parent.parent
    child = subprocess.run(
        [sys.executable, "-c", FILLING, str(path)], cwd=root, capture_output=True, text=True, check=True
    )
    *announced, said = child.stdout.splitlines()
    assert said.startswith(f"{path}: The disk ")
    assert announced
    with Logbook.open(path) as book:
        assert book.problems() == ()
        assert [each.note.split()[0] for each in book.attempts() if each.note] == announced
        book.add(tried(book))


@pytest.mark.parametrize("how", ["removed", "its folder removed", "replaced"])
def test_a_logbook_taken_away_while_it_is_open_is_not_written_into_the_void(path: Path, how: str) -> None:
    with Logbook.open(path) as book:
        if how == "replaced":
            path.rename(path.with_name("elsewhere.sqlite"))
            Logbook.open(path).close()
        elif how == "removed":
            path.unlink()
        else:
            shutil.rmtree(path.parent)
        with pytest.raises(LogbookError) as caught:
            book.add(tried(book))
        assert str(caught.value) == f"{path}: {opening.TAKEN_AWAY}"
        if how == "replaced":  # and put back: the same try is written once
            path.with_name("elsewhere.sqlite").replace(path)
            assert book.add(tried(book)).id == 2


@pytest.fixture
def without_rights() -> Iterator[None]:
    """Root may write anywhere: be no one for the length of a test."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def read_only(path: Path) -> Path:
    """The logbook, and its folder, that nobody may write, reachable from the root."""
    path.chmod(0o444)
    path.parent.chmod(0o555)
    for folder in path.parent.parents:
        if folder.stat().st_mode & 0o011 == 0 and folder.owner() == path.owner():
            folder.chmod(0o711)
    return path


def test_a_read_only_folder_can_be_listed_but_not_written(
    read_only: Path, without_rights: None, request: pytest.FixtureRequest
) -> None:
    before = read_only.read_bytes()
    assert said(read_only).startswith(f"{read_only}: The logbook could not be ")
    with Logbook.open_to_read(read_only) as book:
        assert len(book.attempts()) == 1
    with pytest.raises(DataError, match="Permission denied"):
        Logbook.open(read_only.parent / "deeper" / "logbook.sqlite")
    with pytest.raises(LogbookError, match="Check that its folder is there and writable"):
        Logbook.open(read_only.parent / "new.sqlite")
    assert read_only.read_bytes() == before


NEXT = (*MIGRATIONS, ("CREATE TABLE places (id INTEGER PRIMARY KEY)", "ALTER TABLE sessions ADD COLUMN place TEXT"))
BROKEN = (*MIGRATIONS, ("CREATE TABLE places (id INTEGER PRIMARY KEY)", "CREATE TABLE places (id)"))


def test_an_older_logbook_is_copied_then_migrated(path: Path) -> None:
    opening.to_write(path, 0, NEXT).close()
    assert pragma(path, "user_version") == len(NEXT)
    copy = path.with_name(f"logbook.version-{len(MIGRATIONS)}.1.sqlite")
    with Logbook.open_to_read(copy) as book:
        assert len(book.attempts()) == 1
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT count(*), count(place) FROM sessions").fetchone() == (1, 0)


def test_an_earlier_copy_is_not_written_over(path: Path) -> None:
    first = path.with_name(f"logbook.version-{len(MIGRATIONS)}.1.sqlite")
    first.write_bytes(b"precious")
    opening.to_write(path, 0, NEXT).close()
    assert first.read_bytes() == b"precious"
    assert path.with_name(f"logbook.version-{len(MIGRATIONS)}.2.sqlite").exists()


def test_a_migration_that_fails_changes_nothing(path: Path) -> None:
    with pytest.raises(LogbookError, match="places already exists"):
        opening.to_write(path, 0, BROKEN)
    with Logbook.open(path) as book:
        assert len(book.attempts()) == 1
        assert book.problems() == ()
    with closing(sqlite3.connect(path)) as db:
        assert not db.execute("SELECT 1 FROM sqlite_master WHERE name = 'places'").fetchall()


def test_no_migration_without_a_copy(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    connect = sqlite3.connect

    def full(target: str | Path, *args: Any, **options: Any) -> sqlite3.Connection:
        if ".version-" in str(target):
            error = sqlite3.OperationalError("database or disk is full")
            error.sqlite_errorcode = sqlite3.SQLITE_FULL
            raise error
        return connect(target, *args, **options)

    monkeypatch.setattr(sqlite3, "connect", full)
    with pytest.raises(LogbookError, match="full"):
        opening.to_write(path, 0, NEXT)
    assert pragma(path, "user_version") == len(MIGRATIONS)


def test_reading_an_older_logbook_migrates_only_a_copy_in_memory(path: Path) -> None:
    before = path.read_bytes()
    with closing(opening.to_read(path, 0, NEXT)) as db:
        assert db.execute("SELECT count(*) FROM places").fetchone()[0] == 0
        assert db.execute("SELECT count(*) FROM attempts").fetchone()[0] == 1
    assert path.read_bytes() == before


def test_several_that_make_one_logbook_at_once(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from datetime import datetime, UTC;"
        "from trainer.logbook.store import Logbook; sys.stdin.read(1);"
        "Logbook.open(Path(sys.argv[1]), wait_s=30).begin_session(datetime.now(UTC))"
    )
    path = tmp_path / "new" / "logbook.sqlite"
    command, root = [sys.executable, "-c", code, str(path)], Path(trainer.__file__).parent.parent
    children = [subprocess.Popen(command, cwd=root, stdin=subprocess.PIPE, stderr=subprocess.PIPE) for _ in range(4)]
    for child in children:
        assert child.stdin is not None
        child.stdin.write(b"!")
        child.stdin.flush()
    assert [(child.communicate()[1], child.returncode) for child in children] == [(b"", 0)] * 4
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT count(*) FROM sessions").fetchone()[0] == 4


@pytest.mark.parametrize("moment", range(4))
def test_a_logbook_made_while_its_version_is_asked_for_is_seen_before_or_after(tmp_path: Path, moment: int) -> None:
    path = tmp_path / "logbook.sqlite"
    asked = count()

    def made_by_another(_statement: str) -> None:
        if next(asked) == moment:
            with suppress(LogbookError):  # it may have to wait for the one that reads
                opening.to_write(path, 0).close()

    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.set_trace_callback(made_by_another)
        assert opening.version_of(db, path) in {0, len(MIGRATIONS)}
    assert next(asked) > 0, "nothing was asked"
