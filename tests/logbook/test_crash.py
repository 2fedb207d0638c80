"""Trainers killed at random moments, several on one logbook: what was announced is there, the file is sound."""

import fcntl
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

import trainer
from trainer.logbook.store import Logbook
from trainer.records.attempt import Ended

# Writers on one logbook, forked from one process, which loads the trainer for all of them. Each announces each attempt
# on a pipe of its own once the logbook has it: by add, or by begin and finish.
WRITER = """
import itertools, os, sys
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path
from trainer.records.attempt import Attempt, Ended
from trainer.logbook.rows import uid_number
from trainer.logbook.store import Logbook

pipes = list(map(int, sys.argv[2:]))
for pipe in pipes:
    child = os.fork()
    if not child:
        break
    print(child, flush=True)
else:
    for other in pipes:
        os.close(other)
    for _ in pipes:
        os.wait()
    sys.exit()
os.dup2(pipe, 1)
for other in pipes:
    os.close(other)

book = Logbook.open(Path(sys.argv[1]), wait_s=60)
plain = Attempt(session_id=book.begin_session(datetime.now(UTC)), started_at=datetime.now(UTC), pattern="531",
                objects=3, tempo=Fraction(172), dwell=Fraction(2, 3), flash_at=3, qualify_at=6)
for catches in itertools.count():
    if catches % 2:
        number = book.add(replace(plain, catches=catches, ended=Ended.DROP, note="x" * (catches % 5000))).id
    else:
        uid = book.begin_attempt(plain)
        number = book.read_one("SELECT MAX(id) FROM attempts WHERE uid = ?", (uid_number(uid),))
        print("begun", number, 0, flush=True)
        book.finish(uid, ended="drop", catches=catches, seconds=1.0)
    print("ended", number, catches, flush=True)
"""


def killed(path: Path, writers: int, chance: random.Random) -> list[tuple[str, int, int]]:
    """What `writers` at once announced before each was killed at a moment of its own."""
    root = Path(trainer.__file__).parent.parent
    pipes = [os.pipe() for _ in range(writers)]
    ends = [end for _, end in pipes]
    for end in ends:  # no writer runs far ahead of what is read
        fcntl.fcntl(end, fcntl.F_SETPIPE_SZ, 4096)
    program = [sys.executable, "-c", WRITER, str(path), *map(str, ends)]
    lines: list[str] = []
    with subprocess.Popen(program, cwd=root, stdout=subprocess.PIPE, text=True, pass_fds=ends) as parent:
        for end in ends:
            os.close(end)
        assert parent.stdout is not None
        children = [int(parent.stdout.readline()) for _ in pipes]
        for child, (pipe, _) in zip(children, pipes, strict=True):
            with open(pipe, encoding="utf-8") as said:
                lines += [said.readline() for _ in range(chance.randint(1, 15))]
                time.sleep(chance.uniform(0, 0.002))  # so that it is hit in the middle of things, not just after a line
                os.kill(child, signal.SIGKILL)
                lines += said.read().splitlines(keepends=True)
    whole = [line.split() for line in lines if line.endswith("\n")]
    return [(word, int(number), int(catches)) for word, number, catches in whole]


def nothing_is_lost(path: Path, rounds: int, writers: int, chance: random.Random) -> None:
    announced: dict[int, int] = {}
    begun: set[int] = set()
    for _ in range(rounds):
        for word, number, catches in killed(path, writers, chance):
            if word == "ended":
                announced[number] = catches
            else:
                begun.add(number)
        with Logbook.open(path, wait_s=10) as book:
            assert book.problems() == ()
            found = {attempt.id: attempt for attempt in book.attempts()}
    assert {number: found[number].catches for number in announced} == announced
    unfinished = begun - announced.keys()
    assert all(
        found[number].ended is Ended.DROP or (found[number].ended, found[number].catches) == (Ended.GIVEN_UP, None)
        for number in unfinished
    )
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("SELECT count(*) FROM attempts WHERE ended IS NULL").fetchone()[0] == 0
    assert announced


def test_a_dozen_killed_in_the_middle(tmp_path: Path) -> None:
    nothing_is_lost(tmp_path / "logbook.sqlite", rounds=3, writers=4, chance=random.Random(2026))


@pytest.mark.live
def test_forty_killed_in_the_middle(tmp_path: Path) -> None:
    """tests/live/kill_nine.py kills practising trainers."""
    nothing_is_lost(tmp_path / "logbook.sqlite", rounds=10, writers=4, chance=random.Random(2027))
