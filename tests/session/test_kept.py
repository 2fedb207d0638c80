"""Tries stay what and whose they are: in a logbook that is replaced under them, and when the trainer is killed."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.practice.climbs.jugglers import tempo_ladder
from tests.session.hall import MORNING, Hall, open_logbook
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.transport import RAMP_S
from trainer.config import Settings
from trainer.logbook import backups
from trainer.logbook.store import Logbook
from trainer.practice.climbs.climb import Climb, plain
from trainer.practice.run import SETTLE_S, RunState
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.records.courses import ClimbKind, ClimbRule, LoggedClimb
from trainer.session.guided import Guided
from trainer.session.keepers import ClimbKeeper
from trainer.session.tries import Tries

ATTEMPT = Attempt(
    started_at=MORNING, pattern="3", objects=3, tempo=Fraction(200), dwell=Fraction(2, 3), flash_at=3, qualify_at=6,
)  # fmt: skip

Rows = list[tuple[Any, ...]]


def rows_of(path: Path) -> Rows:
    """Every try in a file, as whoever opens it next reads it: when it began, catches, how it ended, whether fair."""
    with closing(sqlite3.connect(path)) as db:
        return db.execute("SELECT started_utc_s, catches, ended, fair, removed FROM attempts ORDER BY id").fetchall()


def somebody(path: Path, tries: int) -> Rows:
    """A logbook of somebody else, of some days before; its rows."""
    with open_logbook(path) as book:
        day = MORNING - timedelta(days=3)
        session_id = book.begin_session(day)
        book.add_all(
            Attempt(
                session_id=session_id, started_at=day + timedelta(minutes=number), pattern="441", objects=3,
                tempo=Fraction(172), dwell=Fraction(2, 3), flash_at=3, qualify_at=6, catches=40 + number, seconds=9.0,
                ended=Ended.DROP,
            )
            for number in range(tries)
        )  # fmt: skip
    return rows_of(path)


def restored(path: Path, other: Path) -> None:
    """As `throwbeat log restore` puts it back: into the file that is open."""
    backups.restore(path, other, datetime.now().astimezone())


def moved_over(path: Path, other: Path) -> None:
    shutil.copy(other, path.with_name("beside"))
    path.with_name("beside").replace(path)


def moved_away_and_in(path: Path, other: Path) -> None:
    path.rename(path.with_name("elsewhere.sqlite"))
    shutil.copy(other, path)


REPLACED = pytest.mark.parametrize("put", [restored, moved_over, moved_away_and_in])


def one_try(hall: Hall, catches_s: float = 3.0) -> None:
    """One try from the press to its rest."""
    press_s = hall.now_s + 0.1
    drop_s = hall.first_beat_s(press_s) + catches_s
    hall.press(press_s, drop_s)
    hall.to(drop_s + SETTLE_S + 3.0)


@REPLACED
@pytest.mark.parametrize("key", ["toggle_fair", "one more", "undo"])
def test_a_correction_changes_nobody_s_try_in_a_logbook_put_in_the_place_of_the_one_before(
    tmp_path: Path, put: Callable[[Path, Path], None], key: str
) -> None:
    theirs = somebody(tmp_path / "theirs.sqlite", 4)
    hall = Hall(tmp_path, "3")
    one_try(hall)
    last = hall.session.last_try
    if key == "undo":
        last.toggle_fair()
    put(hall.logbook.path, tmp_path / "theirs.sqlite")
    {"toggle_fair": last.toggle_fair, "one more": lambda: last.add(1), "undo": last.undo}[key]()
    found = rows_of(hall.logbook.path)
    assert found[:4] == theirs, "somebody else's tries are as they were"
    assert last.attempt is not None
    known = last.attempt
    assert [row[1:4] for row in found[4:]] == [(known.catches, str(known.ended), known.fair)], "the try is there anew"
    assert (hall.tries.unsaved, hall.tries.trouble) == ((), "")
    assert hall.logbook.problems() == ()


@REPLACED
def test_a_try_that_was_under_way_and_all_before_and_after_it_are_in_the_logbook_put_there(
    tmp_path: Path, put: Callable[[Path, Path], None]
) -> None:
    theirs = somebody(tmp_path / "theirs.sqlite", 2)
    hall = Hall(tmp_path, "3")
    one_try(hall)
    one_try(hall)
    press_s = hall.now_s + 0.1
    hall.press(press_s)
    hall.to(press_s + 3.0)
    put(hall.logbook.path, tmp_path / "theirs.sqlite")
    hall.press(hall.now_s + 0.1)
    hall.to(hall.now_s + 4.0)
    one_try(hall)
    hall.session.leave(hall.now_s)
    hall.tries.close()
    assert (hall.tries.unsaved, hall.tries.trouble) == ((), "")
    found = rows_of(hall.logbook.path)
    assert found[:2] == theirs
    assert [row[1:3] for row in found[2:]] == [(each.catches, str(each.ended)) for each in hall.tries.attempts]
    assert len(found) == 6
    with Logbook.open(hall.logbook.path, now=MORNING) as book:
        assert book.problems() == ()
        assert [each.session_id for each in book.attempts()] == [1, 1, 2, 2, 2, 2], "in a sitting of their own"


def test_a_logbook_that_was_deleted_is_begun_anew_with_the_tries_of_the_sitting(tmp_path: Path) -> None:
    hall = Hall(tmp_path, "3")
    one_try(hall)
    hall.logbook.path.unlink()
    one_try(hall)
    hall.session.leave(hall.now_s)
    hall.tries.close()
    assert hall.tries.unsaved == ()
    assert [row[1] for row in rows_of(hall.logbook.path)] == [each.catches for each in hall.tries.attempts]
    assert sorted(each.name for each in tmp_path.iterdir()) == ["logbook.sqlite"]


def test_a_logbook_that_was_moved_away_is_whole_where_it_is_now(tmp_path: Path) -> None:
    """What SQLite had not yet put into the file goes along; a new logbook has the tries of the sitting."""
    hall = Hall(tmp_path, "3")
    one_try(hall)
    (tmp_path / "elsewhere").mkdir()
    moved = hall.logbook.path.rename(tmp_path / "elsewhere" / "moved.sqlite")
    one_try(hall)
    hall.tries.close()
    first, second = hall.tries.attempts
    assert [row[1] for row in rows_of(moved)] == [first.catches]
    assert [row[1] for row in rows_of(hall.logbook.path)] == [first.catches, second.catches]
    moved.replace(hall.logbook.path)
    with Logbook.open(hall.logbook.path, now=MORNING) as book:
        assert (book.problems(), [each.catches for each in book.attempts()]) == ((), [first.catches])


def ended_by_press(hall: Hall) -> float:
    """Begin a run and end it by a press; the second of the press."""
    press_s = hall.now_s + 0.1
    drop_s = hall.first_beat_s(press_s) + 3.0
    hall.press(press_s, drop_s)
    assert hall.view.state is RunState.ENDED
    return drop_s


def test_the_drop_that_the_screen_tells_is_on_the_disk(tmp_path: Path) -> None:
    """Killed at any moment after, the next start finds it: nothing of this process is asked."""
    hall = Hall(tmp_path, "3")
    ended_by_press(hall)
    told = hall.view.catches
    killed = tmp_path / "killed.sqlite"
    for ending in ("", "-wal"):
        shutil.copy(f"{hall.logbook.path}{ending}", f"{killed}{ending}")
    with Logbook.open(killed, now=MORNING) as book:
        assert [(each.catches, each.ended) for each in book.attempts()] == [(told, Ended.DROP)]
        assert book.problems() == ()
    hall.tries.close()


def test_a_press_that_was_a_repeat_puts_the_try_back_under_way_as_it_was(tmp_path: Path) -> None:
    """The key is held down: its first repeat, 400 ms later, passes for a tap until the stream of repeats shows it."""
    hall = Hall(tmp_path, "3", settings=Settings(count_in_beats=1))
    one_try(hall, 1.0)
    press_s = hall.now_s + 0.1
    hall.press(press_s)
    hall.to(hall.first_beat_s(press_s) + 0.05)

    def stored() -> list[Rows]:
        asked = ("SELECT * FROM attempts ORDER BY id", "SELECT * FROM days", "SELECT * FROM figures")
        return [[tuple(row) for row in hall.logbook.read(query)] for query in asked]

    before = stored()
    hall.press(press_s + 0.4)
    assert (hall.view.state, rows_of(hall.logbook.path)[1][2]) == (RunState.ENDED, "drop")
    assert stored() != before
    hall.press(press_s + 0.43)
    assert (hall.view.state, stored()) == (RunState.RUNNING, before)
    hall.press(press_s + 4.0)
    hall.to(hall.now_s + 1.0)
    assert [each.ended for each in hall.logged] == [Ended.DROP, Ended.DROP]
    assert hall.logged[1].catches == hall.tries.attempts[1].catches
    assert (hall.logged[1].seconds or 0) > 3


def test_a_second_press_is_on_the_disk_at_once_too(tmp_path: Path) -> None:
    hall = Hall(tmp_path, "3")
    drop_s = ended_by_press(hall)
    hall.press(drop_s + 0.2)
    assert (hall.view.state, hall.view.ended) == (RunState.ENDED, Ended.COLLECTED)
    assert [row[1:3] for row in rows_of(hall.logbook.path)] == [(hall.view.catches, "collected")]


def test_a_best_is_told_when_the_try_is_settled_and_not_before(tmp_path: Path) -> None:
    hall = Hall(tmp_path, "3")
    drop_s = ended_by_press(hall)
    assert hall.view.best is None
    hall.to(drop_s + SETTLE_S + 0.1)
    assert hall.view.best == hall.tries.attempts[0].catches
    assert hall.tries.attempts[0].best


def test_a_lock_at_the_press_is_not_waited_for_and_the_try_is_written_when_it_is_settled(tmp_path: Path) -> None:
    hall = Hall(tmp_path, "3", logbook=Logbook.open(tmp_path / "logbook.sqlite", wait_s=5.0, now=MORNING))
    press_s = hall.now_s + 0.1
    drop_s = hall.first_beat_s(press_s) + 3.0
    hall.press(press_s)
    hall.to(drop_s)
    with closing(sqlite3.connect(hall.logbook.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        began_s = time.monotonic()
        hall.session.press(hall.now_s)
        assert time.monotonic() - began_s < 2.0
        assert (hall.view.state, "locked" in hall.tries.trouble) == (RunState.ENDED, True)
        other.execute("ROLLBACK")
    hall.to(drop_s + SETTLE_S + 0.1)
    assert [each.catches for each in hall.logged] == [hall.tries.attempts[0].catches]
    assert hall.tries.trouble == ""


def test_the_sound_stops_before_the_try_is_written(tmp_path: Path) -> None:
    """A disk may be slow: what is rendered while the write lasts is silent already."""
    book = open_logbook(tmp_path / "logbook.sqlite")
    loudest: list[int] = []

    class Slow:
        def __getattr__(self, name: str) -> Any:
            if name == "end":
                hall.transport.pull(round(2 * RAMP_S * RATE_HZ))
                loudest.append(int(abs(hall.transport.pull(RATE_HZ)).max()))
            return getattr(book, name)

    hall = Hall(tmp_path, "3", logbook=Slow())  # type: ignore[arg-type]
    ended_by_press(hall)
    assert loudest == [0]


def test_a_climb_goes_along_into_a_logbook_put_in_its_place(tmp_path: Path) -> None:
    theirs = somebody(tmp_path / "theirs.sqlite", 2)
    with open_logbook(tmp_path / "theirs.sqlite") as book:
        book.keep(LoggedClimb(
            session_id=1, started_at=MORNING, kind=ClimbKind.TEMPO, rule=ClimbRule.PLAIN, pattern="441",
            start=Fraction(160), step="5", goal="qualify", up_after=1, down_after=1,
        ))  # fmt: skip
        other = book.climbs()[0]
    hall = Hall(tmp_path, "3", settings=Settings(count_in_beats=1, rest_s=1.0))
    keeper = ClimbKeeper(hall.tries, lambda: MORNING, "balls", "qualify")
    hall.begin(Guided(Climb(tempo_ladder(400, 40, 440), plain(1, 1), CountedBy.BEAT), hall.tries, keeper))
    for put in (lambda *_: None, restored):
        put(hall.logbook.path, tmp_path / "theirs.sqlite")
        hall.press(hall.now_s + 0.1)
        hall.to(hall.now_s + 8.0)
    assert rows_of(hall.logbook.path)[:2] == theirs
    first, second = hall.logbook.climbs()
    assert first == other, "somebody else's climb of the same number is as it was"
    assert (second.pattern, second.ended_at) == ("3", MORNING)
    assert [each.climb_uid for each in hall.logged] == [None, None, second.uid, second.uid]
    assert [each.ended for each in hall.logged[2:]] == [Ended.GOAL, Ended.GOAL]


def test_a_disk_that_is_pulled_out_and_put_back_costs_no_try(tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir()
    hall = Hall(tmp_path / "disk", "3")
    one_try(hall)
    (tmp_path / "disk").rename(tmp_path / "pulled out")
    one_try(hall)
    assert not (tmp_path / "disk").exists(), "nothing is written where nobody would look for it"
    assert [len(hall.tries.unsaved), "was taken away" in hall.tries.trouble] == [1, True]
    (tmp_path / "pulled out").rename(tmp_path / "disk")
    one_try(hall)
    assert (hall.tries.unsaved, hall.tries.trouble) == ((), "")
    assert [each.catches for each in hall.logged] == [each.catches for each in hall.tries.attempts]


@pytest.mark.skipif(os.geteuid() != 0, reason="root alone can be no one for a while")
def test_a_folder_that_nobody_may_enter_for_a_while_costs_no_try() -> None:
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o711)
        folder = Path(name) / "kept"
        folder.mkdir()
        os.chown(folder, 65534, -1)
        try:
            os.seteuid(65534)
            hall = Hall(folder, "3")
            one_try(hall)
            folder.chmod(0)
            one_try(hall)
            assert [len(hall.tries.unsaved), hall.tries.trouble != ""] == [1, True]
            folder.chmod(0o700)
            one_try(hall)
            assert (hall.tries.unsaved, hall.tries.trouble) == ((), "")
            assert [each.catches for each in hall.logged] == [each.catches for each in hall.tries.attempts]
            assert hall.logbook.problems() == ()
            hall.tries.close()
        finally:
            os.seteuid(0)


def test_a_file_put_in_its_place_that_is_no_logbook_is_left_alone_until_a_logbook_is_there(tmp_path: Path) -> None:
    hall = Hall(tmp_path, "3")
    one_try(hall)
    hall.logbook.path.unlink()
    hall.logbook.path.write_bytes(b"a letter" * 100)
    one_try(hall)
    assert [len(hall.tries.unsaved), "no logbook" in hall.tries.trouble] == [1, True]
    assert hall.logbook.path.read_bytes() == b"a letter" * 100
    for path in tmp_path.iterdir():
        path.unlink()
    one_try(hall)
    assert (hall.tries.unsaved, hall.tries.trouble) == ((), "")
    assert [each.catches for each in hall.logged] == [each.catches for each in hall.tries.attempts]


def test_a_logbook_that_another_program_holds_at_the_start_is_opened_as_soon_as_it_lets_go(tmp_path: Path) -> None:
    path = tmp_path / "logbook.sqlite"
    open_logbook(path).close()
    tries = Tries(None, MORNING, open_later=lambda: Logbook.open(path, wait_s=0.02, now=MORNING))
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        tries.begin(ATTEMPT)
        tries.finish(Ended.DROP, 5, 3.0, 0, "")
        assert ("locked" in tries.trouble, len(tries.unsaved)) == (True, 1)
    tries.begin(ATTEMPT)
    tries.finish(Ended.DROP, 6, 3.0, 0, "")
    assert (tries.unsaved, tries.trouble) == ((), "")
    tries.close()
    assert [row[1] for row in rows_of(path)] == [5, 6]


class Jumping(Hall):
    """A hall whose time of day can jump."""

    jumped = timedelta(0)

    def time_of_day(self) -> datetime:
        return super().time_of_day() + self.jumped


@pytest.mark.parametrize("jump", [timedelta(days=-400), timedelta(hours=-3), timedelta(days=20_000)])
def test_a_clock_that_jumps_while_a_try_is_under_way_costs_and_changes_none(tmp_path: Path, jump: timedelta) -> None:
    hall = Jumping(tmp_path, "3")
    one_try(hall)
    press_s = hall.now_s + 0.1
    hall.press(press_s)
    hall.to(press_s + 3.0)
    hall.jumped = jump
    hall.press(hall.now_s + 0.1)
    hall.to(hall.now_s + 4.0)
    hall.session.last_try.toggle_fair()
    one_try(hall)
    assert (hall.tries.unsaved, hall.tries.trouble) == ((), "")
    logged = sorted(hall.logged, key=lambda each: each.id or 0)  # set back by more than a week, it counts to that day
    assert [each.catches for each in logged] == [each.catches for each in hall.tries.attempts]
    assert [each.fair for each in logged] == [True, False, True]
    assert hall.logbook.problems() == ()
    with Logbook.open(hall.logbook.path, now=MORNING + jump + timedelta(days=2)) as book:
        assert len(book.attempts()) == 3
