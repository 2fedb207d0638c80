"""Backups: one a day, seven kept, whole or not there; what is put back takes the place of nothing that is not kept."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from trainer.logbook import backups, opening
from trainer.logbook.errors import LogbookError
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, Ended

AT = datetime(2026, 3, 29, 18, 30, tzinfo=UTC)
PLAIN = Attempt(
    session_id=1, started_at=AT, pattern="441", objects=3, tempo=Fraction(172), dwell=Fraction(2, 3), flash_at=3,
    qualify_at=6, catches=4, ended=Ended.DROP,
)  # fmt: skip


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A logbook with one attempt, opened once."""
    path = tmp_path / "logbook.sqlite"
    with Logbook.open(path, now=AT) as book:
        book.begin_session(AT)
        book.add(PLAIN)
    return path


def damage(path: Path) -> bytes:
    content = bytearray(path.read_bytes())
    content[8192:] = b"\xff" * (len(content) - 8192)
    path.write_bytes(content)
    return bytes(content)


def held(path: Path) -> int:
    with Logbook.open_to_read(path) as book:
        assert book.problems() == ()
        return len(book.attempts())


def test_one_backup_a_day_of_use_and_the_last_seven_are_kept(path: Path) -> None:
    assert opening.backups(path) == (), "there was nothing to back up when it was made"
    for day in range(10):
        for hour in range(2):
            with Logbook.open(path, now=AT + timedelta(days=2 * day, hours=hour)) as book:
                assert book.backup_trouble == ""
                book.add(replace(PLAIN, started_at=AT + timedelta(days=2 * day)))
    names = [backup.name for backup in opening.backups(path)]
    assert names == [f"logbook.{AT.date() + timedelta(days=2 * day)}.sqlite" for day in range(9, 2, -1)]
    assert [held(backup) for backup in opening.backups(path)] == [19, 17, 15, 13, 11, 9, 7], "as the day began"
    assert {each.name for each in path.parent.iterdir()} == {"logbook.sqlite", "backups"}


def test_a_backup_that_cannot_be_made_is_told_and_stops_nobody(path: Path) -> None:
    opening.backup_folder(path).write_text("in the way")
    with Logbook.open(path, now=AT) as book:
        assert "The folder could not be made" in book.backup_trouble
        book.add(PLAIN)
    assert held(path) == 2


def test_a_large_logbook_is_backed_up_beside_the_practice(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import threading

    monkeypatch.setattr(backups, "AT_ONCE_BYTES", 0)
    with Logbook.open(path, now=AT) as book:
        for thread in threading.enumerate():
            if thread.name == "backup":
                thread.join()
        assert book.backup_trouble == ""
    assert [held(backup) for backup in opening.backups(path)] == [1]


def test_a_backup_of_a_logbook_in_use_has_all_that_was_announced(path: Path) -> None:
    with Logbook.open(path, now=AT) as book:
        book.add(PLAIN)  # in the -wal file still
        backups.copy(path, path.with_name("copy.sqlite"))
    assert held(path.with_name("copy.sqlite")) == 2


def test_damage_pushes_no_sound_backup_out_and_the_newest_is_offered(path: Path) -> None:
    Logbook.open(path, now=AT).close()
    (backup,) = opening.backups(path)
    content = damage(path)
    with pytest.raises(LogbookError) as caught:
        Logbook.open(path, now=AT + timedelta(days=1))
    assert str(caught.value).endswith(f"“throwbeat log restore {backup}” brings back the newest backup.")
    with pytest.raises(LogbookError, match="damaged"):
        backups.back_up_today(path, AT.date() + timedelta(days=1))
    assert opening.backups(path) == (backup,)
    assert path.read_bytes() == content
    kept = backups.restore(path, backup, AT)
    assert held(path) == 1
    assert kept is not None
    assert kept.read_bytes() == content, "the damaged one is kept as it was"


def test_restoring_keeps_what_it_takes_the_place_of(path: Path) -> None:
    Logbook.open(path, now=AT).close()
    (backup,) = opening.backups(path)
    with Logbook.open(path, now=AT) as book:
        book.add(PLAIN)
        kept = backups.restore(path, backup, AT)
        assert len(book.attempts()) == 1, "a trainer that has it open sees what was put back"
        assert book.add(PLAIN).id == 2
    assert kept == path.with_name("logbook.before-2026-03-29-183000.sqlite")
    assert (held(path), held(kept)) == (2, 2)
    with pytest.raises(LogbookError, match="was there already"):
        backups.restore(path, backup, AT)


def test_a_logbook_is_put_where_there_was_none(path: Path, tmp_path: Path) -> None:
    target = tmp_path / "new" / "logbook.sqlite"
    assert backups.restore(target, path, AT) is None
    assert held(target) == 1


def test_what_is_no_sound_logbook_is_not_put_back(path: Path, tmp_path: Path) -> None:
    before = path.read_bytes()
    other = tmp_path / "other.sqlite"
    with closing(sqlite3.connect(other)) as db:
        db.execute("CREATE TABLE recipes (name)")
    newer = tmp_path / "newer.sqlite"
    backups.copy(path, newer)
    with closing(sqlite3.connect(newer)) as db:
        db.execute("PRAGMA user_version = 99")
    damaged = tmp_path / "damaged.sqlite"
    backups.copy(path, damaged)
    damage(damaged)
    for source, says in (
        (other, "another program's database"), (newer, "version 99"), (damaged, "damaged"), (path, "logbook itself"),
        (tmp_path / "none", "There was no such file"), (tmp_path, "This was a folder, not a file."),
    ):  # fmt: skip
        with pytest.raises(LogbookError, match=says):
            backups.restore(path, source, AT)
    assert path.read_bytes() == before
    assert not list(tmp_path.glob("*before*"))
    assert not list(tmp_path.glob(".*"))


def test_a_restore_that_fails_in_the_middle_leaves_all_as_it_was(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    good = path.with_name("good.sqlite")
    backups.copy(path, good)
    content = damage(path)

    connect, opened = sqlite3.connect, []

    def full(target: str | Path, *args: Any, **options: Any) -> sqlite3.Connection:
        if target == path:
            opened.append(path.exists())
            if opened == [True, False]:  # it was damaged, and is moved away
                raise sqlite3.OperationalError("disk I/O error")
        return connect(target, *args, **options)

    monkeypatch.setattr(sqlite3, "connect", full)
    with pytest.raises(LogbookError):
        backups.restore(path, good, AT)
    assert opened == [True, False]
    assert path.read_bytes() == content


def test_what_a_trainer_writes_during_a_restore_is_in_what_is_kept_or_comes_after(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody can write between the copy that is kept and the moment when all is replaced."""
    with Logbook.open(tmp_path / "other.sqlite") as other:
        other.begin_session(AT)
        other.add(replace(PLAIN, catches=77))
    copied, copy = [], backups.copy

    def copy_and_write(source: Path, target: Path) -> None:
        copy(source, target)
        copied.append(target)
        late = sqlite3.connect(path, timeout=0.05, isolation_level=None)
        with closing(late), pytest.raises(sqlite3.OperationalError, match="locked"):
            late.execute("BEGIN IMMEDIATE")

    monkeypatch.setattr(backups, "copy", copy_and_write)
    kept = backups.restore(path, tmp_path / "other.sqlite", AT)
    assert copied == [kept]
    with Logbook.open_to_read(path) as book:
        assert [each.catches for each in book.attempts()] == [77]


def test_a_restore_under_a_lock_that_never_comes_gives_up(path: Path, tmp_path: Path) -> None:
    Logbook.open(tmp_path / "other.sqlite").close()
    before = path.read_bytes()
    with closing(sqlite3.connect(path, isolation_level=None)) as holder:
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogbookError, match="locked by another program"):
            backups.restore(path, tmp_path / "other.sqlite", AT)
        holder.execute("ROLLBACK")
    assert path.read_bytes() == before


def test_an_older_version_is_put_back_in_the_newest_for_trainers_that_have_the_logbook_open(path: Path) -> None:
    old = Path(__file__).parents[1] / "data" / "logbook" / "version-1.sqlite"
    with Logbook.open(path) as book:
        backups.restore(path, old, AT)
        assert len(book.attempts()) == 7
        book.begin_session(AT + timedelta(days=99))


def test_backups_of_days_on_which_the_clock_was_wrong_push_out_none_of_the_others(path: Path) -> None:
    for days in (*range(3), *range(30_000, 30_009), 3, 4):
        backups.back_up_today(path, AT.date() + timedelta(days=days))
    today = AT.date() + timedelta(days=4)
    assert opening.backup_of(path, today) in opening.backups(path)
    assert {opening.backup_of(path, AT.date() + timedelta(days=days)) for days in range(3, 5)} <= set(
        opening.backups(path)
    )
    assert len(opening.backups(path)) == 7
