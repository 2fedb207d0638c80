"""Logbooks of every version before: opened, they hold what they held; tests/data/logbook has one made by each."""

import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from tests.logbook.tried import uid_of
from trainer.logbook.filters import Filter, Sort
from trainer.logbook.migrations import MIGRATIONS
from trainer.logbook.store import Logbook
from trainer.records.attempt import Correction, CountedBy, Ended, TapsUnit
from trainer.records.totals import Figure, Tally, Total

OLD = Path(__file__).parents[1] / "data" / "logbook"
ROOT = Path(__file__).parents[2]
SUMMER = timezone(timedelta(hours=2))
WEST = timezone(-timedelta(hours=9, minutes=30))
LOCAL = timezone(timedelta(minutes=53, seconds=28))  # a town's own time, from before there were zones
AT = datetime(2026, 3, 29, 18, 30, 15, 250_000, tzinfo=SUMMER)


def old(number: int, folder: Path) -> Path:
    return Path(shutil.copy(OLD / f"version-{number}.sqlite", folder / "logbook.sqlite"))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return old(1, tmp_path)


def test_there_is_a_file_of_each_version_before() -> None:
    names = sorted(file.name for file in OLD.glob("*.sqlite"))
    assert names == [f"version-{number}.sqlite" for number in range(1, len(MIGRATIONS))]
    for number in range(1, len(MIGRATIONS)):
        address = (OLD / f"version-{number}.sqlite").as_uri()
        with closing(sqlite3.connect(f"{address}?mode=ro&immutable=1", uri=True)) as db:
            assert db.execute("PRAGMA user_version").fetchone() == (number,)


@pytest.mark.parametrize("way", ["to write", "to read"])
def test_version_1_holds_what_it_held(path: Path, way: str) -> None:
    """The expected values are those the file was made with."""
    with Logbook.open(path, now=AT) if way == "to write" else Logbook.open_to_read(path) as book:
        assert book.problems() == ()
        first, unfair, corrected, named, taps, by_hand, set_back = book.attempts()
        assert [each.id for each in book.attempts()] == [1, 2, 3, 4, 5, 6, 7], "a clock set back a day changes no order"
        assert [each.best for each in book.attempts()] == [True, False, True, True, True, False, True]
        assert (first.pattern, first.name, first.objects, first.tempo, first.dwell) == (
            "3", None, 3, Fraction(515, 3), Fraction(2, 3),
        )  # fmt: skip
        assert (first.catches, first.seconds, first.ended, first.prop) == (4, 2.5, Ended.DROP, "balls")
        assert (first.started_at, first.started_at.utcoffset()) == (AT, timedelta(hours=2))
        assert (unfair.fair, unfair.catches) == (False, 9)
        assert (corrected.catches, corrected.ended, corrected.note) == (7, Ended.GOAL, "windig 風\nund kalt")
        assert book.corrections(uid_of(book, 3)) == tuple(
            Correction(attempt_id=3, corrected_at=AT + timedelta(minutes=3), field=field, before=before, after=after)
            for field, before, after in (("catches", 5, 7), ("ended", "drop", "goal"))
        )
        assert (named.name, named.juggler) == ("3 cascade", "Ζωή עמית 🤹🏽\u200d♀️")
        assert (taps.counted_by, taps.taps_unit, taps.prop) == (CountedBy.TAPS, TapsUnit.RIGHT, "Keulen")
        assert taps.started_at.isoformat() == datetime(2026, 3, 30, 1, 2, 3, tzinfo=UTC).isoformat()
        assert by_hand.started_at.isoformat() == datetime(2026, 3, 30, 20, 0, tzinfo=WEST).isoformat()
        assert (by_hand.catches, by_hand.seconds, by_hand.session_id) == (None, None, 2)
        assert set_back.started_at.isoformat() == datetime(2026, 3, 29, 20, 0, 5, 1, tzinfo=LOCAL).isoformat()
        assert (set_back.hiccups, set_back.catches) == (2, 8)
        assert len({each.uid for each in book.attempts()}) == 7
        assert book.best_catches(Figure("3", None, "balls", CountedBy.BEAT, None)) == 8


def test_version_1_s_attempt_under_way_is_given_up_when_a_day_is_over(path: Path) -> None:
    with Logbook.open(path, now=AT) as book:
        assert len(book.attempts()) == 7
    with Logbook.open(path, now=AT + timedelta(days=9)) as book:
        assert (book.attempts()[-1].id, book.attempts()[-1].ended) == (8, Ended.GIVEN_UP)


def test_two_copies_of_one_old_logbook_give_an_attempt_the_same_identity(path: Path, tmp_path: Path) -> None:
    other = Path(shutil.copy(path, tmp_path / "other.sqlite"))
    with Logbook.open(path, now=AT) as here, Logbook.open_to_read(other) as there:
        assert [each.uid for each in here.attempts()] == [each.uid for each in there.attempts()]


def test_an_old_logbook_goes_on_as_a_new_one(path: Path) -> None:
    with Logbook.open(path, now=AT) as book:
        last = book.attempts()[-1]
        assert last.uid is not None
        assert book.correct(last.uid, corrected_at=AT, catches=6).best is False
        assert book.remove(uid_of(book, 1), corrected_at=AT).removed
        assert [each.best for each in book.attempts()] == [False, True, True, True, False, False]
        assert book.begin_session(AT + timedelta(days=30)) == 3
        assert book.problems() == ()


@pytest.mark.parametrize("way", ["to write", "to read"])
def test_version_2_holds_what_it_held_and_tells_drops_from_other_ends(tmp_path: Path, way: str) -> None:
    """The expected values are those the file was made with."""
    path = old(2, tmp_path)
    with Logbook.open(path, now=AT) if way == "to write" else Logbook.open_to_read(path) as book:
        assert book.problems() == ()
        attempts = book.attempts()
        assert [(each.id, each.catches, each.ended, each.best) for each in attempts] == [
            (1, 4, Ended.DROP, True), (2, 6, Ended.GOAL, True), (3, 2, Ended.DROP, False),
            (4, 9, Ended.COLLECTED, True), (5, 30, Ended.DROP, False), (7, 6, Ended.COLLECTED, False),
            (8, None, Ended.DROP, False), (9, 7, Ended.DROP, True), (10, 12, Ended.TIME, True),
        ]  # fmt: skip
        assert [each.id for each in attempts if each.climb_uid] == [2, 3]
        runs = {run.uid: run.id for run in book.plan_runs()}
        assert [(runs[each.plan_run_uid], each.block) for each in attempts if each.plan_run_uid] == [(1, 2)]
        assert [each.id for each in book.removed()] == [6]
        assert book.attempt(uid_of(book, 3)).note == "zu schnell 風"
        assert [(each.field, each.before, each.after) for each in book.corrections(uid_of(book, 7))] == [
            ("catches", 5, 6), ("ended", "drop", "collected"),
        ]  # fmt: skip
        (climb,), (run,) = book.climbs(), book.plan_runs()
        assert (climb.threshold, climb.spread, climb.goal) == (171.5, 4.0, "qualify")
        assert (run.name, run.block, run.elapsed_s, run.ended_at) == ("first-week", 3, 310.0, None)
        nobody = Figure("531", None, "balls", CountedBy.BEAT, None)
        mirel = Figure("531", None, "clubs", CountedBy.BEAT, "Mirel")
        assert book.tallies(nobody) == (Tally(nobody, AT.date(), Total(5, 4, 3, 27, 9, 9.2, drops=2)),)
        assert book.tallies(mirel) == (
            Tally(mirel, AT.date() + timedelta(days=1), Total(2, 2, 2, 19, 12, 22.5, drops=1)),
        )


@pytest.mark.parametrize("way", ["to write", "to read"])
def test_version_3_holds_what_it_held_in_every_order(tmp_path: Path, way: str) -> None:
    """The expected values are those the file was made with."""
    path = old(3, tmp_path)
    with Logbook.open(path, now=AT) if way == "to write" else Logbook.open_to_read(path) as book:
        assert book.problems() == ()
        assert [
            (each.id, each.catches, each.seconds, each.tempo, each.ended, each.best) for each in book.attempts()
        ] == [
            (1, 5, 2.5, 172, Ended.DROP, True), (2, 12, 7.25, Fraction(515, 3), Ended.GOAL, True),
            (3, None, None, 172, Ended.GIVEN_UP, False), (4, 9, 4.0, 172, Ended.DROP, True),
            (5, 30, 14.0, 172, Ended.COLLECTED, True), (6, 40, 20.0, 172, Ended.DROP, False),
        ]  # fmt: skip
        listed = {sort: [each.id for each in book.page(sort=sort).attempts] for sort in Sort}
        assert listed == {
            Sort.NEWEST: [6, 5, 4, 3, 2, 1], Sort.OLDEST: [1, 2, 3, 4, 5, 6], Sort.CATCHES: [6, 5, 2, 4, 1, 3],
            Sort.SECONDS: [6, 5, 2, 4, 1, 3], Sort.TEMPO: [6, 5, 4, 3, 1, 2],
        }  # fmt: skip
        for text, numbers in (("windig", [5, 4]), ("風 mirel", [4]), ("keulen", [4]), ("531", [6, 4, 3, 2, 1])):
            assert [each.id for each in book.page(Filter(text)).attempts] == numbers
        assert [each.id for each in book.removed()] == [7]
        assert [(each.field, each.before, each.after) for each in book.corrections(uid_of(book, 1))] == [
            ("catches", 4, 5)
        ]
        (climb,), (run,) = book.climbs(), book.plan_runs()
        assert (climb.start, climb.step, run.name, run.block) == (160, "5", "first-week", 1)
        nobody = Figure("531", None, "balls", CountedBy.BEAT, None)
        assert book.tallies(nobody) == (Tally(nobody, AT.date(), Total(2, 2, 1, 17, 12, 9.75, drops=1)),)


BROKEN_OFF = """
import os, resource, signal, sys
from pathlib import Path
from trainer.logbook import opening
from trainer.logbook.errors import LogbookError
from trainer.logbook.migrations import MIGRATIONS

def statements(after, what):
    yield from MIGRATIONS[-1][:after]
    if what == "killed":
        os.kill(os.getpid(), signal.SIGKILL)
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))  # no file can grow any more
    yield from MIGRATIONS[-1][after:]

try:
    opening.to_write(Path(sys.argv[1]), 0, (*MIGRATIONS[:-1], statements(int(sys.argv[2]), sys.argv[3])))
except LogbookError as error:
    print(error)
"""


@pytest.mark.parametrize("what", ["killed", "the disk full"])
@pytest.mark.parametrize("after", [1, len(MIGRATIONS[-1])])
def test_a_migration_that_is_broken_off_changes_nothing_and_the_next_start_makes_it(
    tmp_path: Path, after: int, what: str
) -> None:
    path = old(len(MIGRATIONS) - 1, tmp_path)
    command = [sys.executable, "-c", BROKEN_OFF, str(path), str(after), what]
    child = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if what == "killed":
        assert child.returncode == -signal.SIGKILL
    else:
        assert child.stdout.startswith(f"{path}: The disk "), child
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (len(MIGRATIONS) - 1,)
    with Logbook.open(path, now=AT) as book:
        assert (len(book.attempts()), book.count(), book.problems()) == (6, 6, ())
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (len(MIGRATIONS),)
