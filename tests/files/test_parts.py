"""What a writer that was killed leaves is cleared by the next one, and never what another is still writing."""

from __future__ import annotations

import os
import subprocess
import sys
import textwrap
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from trainer.files import parts
from trainer.files.parts import ENDING, clear, open_part
from trainer.files.whole import Existing, open_whole

ROOT = Path(__file__).parents[2]

WRITERS = {
    "a file": """
        from trainer.files.whole import Existing, open_whole
        with open_whole(folder / "x.csv", Existing.REPLACE) as file:
            file.write(b"half")
            file.flush()
            wait()
    """,
    "a backup": """
        from trainer.logbook import backups, opening
        from trainer.logbook.store import Logbook
        Logbook.open(folder / "logbook.sqlite").close()
        opening.damaged = wait
        import sqlite3
        with opening.copied(sqlite3.connect(folder / "logbook.sqlite"), folder / "copy.sqlite") as made:
            made.execute("BEGIN IMMEDIATE")
            made.execute("CREATE TABLE half (done)")
            wait()
    """,
}


@contextmanager
def writing(what: str, folder: Path) -> Iterator[subprocess.Popen[str]]:
    """A process that is in the middle of writing into `folder`."""
    program = "import sys, time\nfrom pathlib import Path\nfolder = Path(sys.argv[1])\n" + textwrap.dedent("""
        def wait():
            print("ready", flush=True)
            time.sleep(60)
    """) + textwrap.dedent(WRITERS[what])  # fmt: skip
    process = subprocess.Popen(
        [sys.executable, "-c", program, str(folder)], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        yield process
    finally:
        process.kill()
        process.communicate()


def left_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if ".part" in path.name)


@pytest.mark.parametrize("what", WRITERS)
def test_what_a_killed_writer_left_is_cleared_by_the_next_and_not_before(what: str, tmp_path: Path) -> None:
    with writing(what, tmp_path):
        with open_whole(tmp_path / "other.csv") as file:
            file.write(b"whole")
        assert len(left_in(tmp_path)) == {"a file": 1, "a backup": 3}[what], "another is still at it"
    assert left_in(tmp_path), "killed, it could take nothing away"
    with open_whole(tmp_path / "other.csv", Existing.REPLACE) as file:
        file.write(b"again")
    assert left_in(tmp_path) == []
    assert (tmp_path / "other.csv").read_bytes() == b"again"


def test_two_that_write_at_once_leave_each_other_alone(tmp_path: Path) -> None:
    with open_whole(tmp_path / "x.csv", Existing.REPLACE) as one:
        one.write(b"one")
        with open_whole(tmp_path / "x.csv", Existing.REPLACE) as other:
            other.write(b"other")
        one.write(b" and on")
    assert (tmp_path / "x.csv").read_bytes() == b"one and on"
    assert left_in(tmp_path) == []


def test_what_is_none_of_ours_stays(tmp_path: Path) -> None:
    names = (".x.csv.1a2b3c4d.part", "x.throwbeat.part", "a.part", ".a.part", f".x{ENDING}-mine")
    for name in names:
        (tmp_path / name).touch()
    (tmp_path / "mine").write_text("mine")
    (tmp_path / f".folder{ENDING}").mkdir()
    if sys.platform != "win32":
        (tmp_path / f".link{ENDING}").symlink_to(tmp_path / "mine")
        os.mkfifo(tmp_path / f".pipe{ENDING}")
    before = sorted(tmp_path.iterdir())
    clear(tmp_path)
    assert sorted(tmp_path.iterdir()) == before


@pytest.mark.skipif(sys.platform == "win32", reason="there an open file can't be removed")
def test_where_there_are_no_locks_only_what_is_a_day_old_is_cleared(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(parts, "lock", lambda _descriptor: None)
    for name, age_s in (("new", 0), ("old", parts.A_DAY_S + 60)):
        path = tmp_path / f".{name}{ENDING}"
        path.touch()
        os.utime(path, (time.time() - age_s, time.time() - age_s))
    with open_part(tmp_path / "x"):
        assert len(left_in(tmp_path)) == 2
    assert left_in(tmp_path) == [f".new{ENDING}"]


@pytest.mark.skipif(sys.platform == "win32", reason="there an open file can't be removed")
def test_who_is_taken_for_nobody_at_the_first_moment_begins_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = parts.lock
    taken: list[int] = []

    def after_a_clearing(descriptor: int) -> bool | None:
        if not taken:
            taken.append(descriptor)
            clear(tmp_path)
        return real(descriptor)

    monkeypatch.setattr(parts, "lock", after_a_clearing)
    with open_part(tmp_path / "x") as (path, file):
        assert taken
        assert file.fileno()
        assert path.exists()


def test_a_name_of_many_bytes_can_be_written(tmp_path: Path) -> None:
    """A name may have 255 bytes on most systems: 63 signs of four."""
    with open_whole(tmp_path / f"{'🤹' * 60}.csv") as file:
        file.write(b"x")
    assert len(list(tmp_path.iterdir())) == 1
