"""The tries of a sitting: whatever the logbook refuses is kept, and written as soon as it can be; nothing twice."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.logbook.tried import uid_of
from tests.session.hall import MORNING, Hall
from trainer.logbook.errors import LogbookError
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.records.totals import figure_of
from trainer.session.tries import Tries

WRITES = ("begin_session", "add", "begin_attempt", "finish", "correct")


class Moody:
    """A logbook that refuses some of its work while it is told to: as one on a full disk, or locked, does."""

    def __init__(self, path: Path) -> None:
        self.inside = Logbook.open(path, now=MORNING)
        self.refused: tuple[str, ...] = ()

    def __getattr__(self, name: str) -> Any:
        if name in self.refused:
            raise LogbookError(self.inside.path, None, "", "The disk was full.")
        return getattr(self.inside, name)


@pytest.fixture
def moody(tmp_path: Path) -> Iterator[Moody]:
    moody = Moody(tmp_path / "logbook.sqlite")
    yield moody
    moody.inside.close()


def attempt(number: int) -> Attempt:
    return Attempt(
        session_id=0, started_at=MORNING + timedelta(minutes=number), pattern="3", objects=3,
        tempo=Fraction(200), dwell=Fraction(2, 3), flash_at=3, qualify_at=6,
    )  # fmt: skip


def play(tries: Tries, number: int, catches: int) -> Attempt:
    tries.begin(attempt(number))
    return tries.finish(Ended.DROP, catches, 10.0, 0, "")


def logged(moody: Moody) -> list[int | None]:
    return [each.catches for each in moody.inside.attempts()]


def under_way(moody: Moody) -> int:
    return len(moody.inside.read("SELECT id FROM attempts WHERE ended IS NULL"))


@pytest.mark.parametrize("refused", [WRITES, ("begin_attempt",), ("finish",), ("finish", "add"), ("begin_session",)])
def test_what_is_refused_is_kept_and_written_when_it_can_be(moody: Moody, refused: tuple[str, ...]) -> None:
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    play(tries, 1, 10)
    moody.refused = refused
    play(tries, 2, 20)
    play(tries, 3, 30)
    assert [each.catches for each in tries.attempts] == [10, 20, 30]
    assert [each.catches for each in tries.unsaved] == ([20, 30] if refused[0] in ("begin_session", "finish") else [])
    moody.refused = ()
    play(tries, 4, 40)
    assert logged(moody) == [10, 20, 30, 40], "all of them, in the order they were made"
    assert under_way(moody) == 0, "and none of them a second time"
    assert (tries.unsaved, tries.trouble) == ((), "")
    assert len({each.id for each in tries.attempts}) == 4


def test_one_try_that_is_refused_holds_up_none_behind_it(moody: Moody) -> None:
    """Two tries are rows that the logbook can't make sense of: theirs wait, and all others are written."""
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    for number in (1, 2):
        play(tries, number, 10 * number)
    moody.inside.connection.execute("UPDATE attempts SET tempo = 'fast' WHERE id IN (1, 2)")
    tries.correct(tries.attempts[0], MORNING, fair=False)
    tries.correct(tries.attempts[1], MORNING, catches=21)
    assert "Attempt 1 could not be understood" in tries.trouble
    play(tries, 3, 30)
    moody.inside.connection.execute("UPDATE attempts SET tempo = '200' WHERE id = 2")
    play(tries, 4, 40)
    assert [each.id for each in tries.unsaved] == [1]
    moody.inside.connection.execute("UPDATE attempts SET tempo = '200'")
    tries.save()
    assert (tries.unsaved, tries.trouble) == ((), "")
    assert [(each.catches, each.fair) for each in moody.inside.attempts()] == [
        (10, False), (21, True), (30, True), (40, True),
    ]  # fmt: skip


def test_with_all_refused_from_the_start_nothing_is_lost(moody: Moody) -> None:
    moody.refused = (*WRITES, "best_catches")
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    kept = [play(tries, number, catches) for number, catches in enumerate((5, 3, 8))]
    assert tries.unsaved == tuple(kept)
    assert [each.best for each in kept] == [True, False, True]
    assert "full" in tries.trouble
    assert "\n" not in tries.trouble
    assert tries.best(figure_of(attempt(0))) == 8
    moody.refused = ()
    tries.save()
    assert logged(moody) == [5, 3, 8]
    assert {each.session_id for each in moody.inside.attempts()} == {1}
    assert tries.trouble == ""


def test_a_count_set_right_before_it_could_be_written_is_written_right(moody: Moody) -> None:
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    moody.refused = WRITES
    tries.correct(play(tries, 1, 10), MORNING, catches=12)
    assert tries.unsaved[0].catches == 12
    moody.refused = ()
    tries.save()
    assert logged(moody) == [12]
    tries.correct(tries.attempts[0], MORNING, catches=14)
    assert logged(moody) == [14]


def test_a_correction_that_is_refused_is_kept_and_written_when_it_can_be(moody: Moody) -> None:
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    kept = play(tries, 1, 10)
    moody.refused = ("correct",)
    corrected = tries.correct(kept, MORNING, catches=12)
    tries.correct(corrected, MORNING, fair=False)
    assert (logged(moody), tries.attempts[0].catches, tries.attempts[0].fair) == ([10], 12, False)
    assert tries.trouble
    assert tries.unsaved == tries.attempts
    moody.refused = ()
    play(tries, 2, 4)
    assert (logged(moody), tries.unsaved, tries.trouble) == ([12, 4], (), "")
    assert [(each.field, each.before, each.after) for each in moody.inside.corrections(uid_of(moody.inside, 1))] == [
        ("catches", 10, 12),
        ("fair", 1, 0),
    ]


def test_what_was_set_right_before_it_could_be_written_leaves_its_corrections_too(moody: Moody) -> None:
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    moody.refused = WRITES
    play(tries, 1, 10)
    tries.correct(tries.attempts[0], MORNING, catches=12)
    tries.correct(tries.attempts[0], MORNING, fair=False)
    tries.undo(MORNING)
    assert (tries.attempts[0].catches, tries.attempts[0].fair) == (12, True)
    moody.refused = ()
    tries.save()
    assert [(each.catches, each.fair) for each in moody.inside.attempts()] == [(12, True)]
    assert [(each.field, each.before, each.after) for each in moody.inside.corrections(uid_of(moody.inside, 1))] == [
        ("catches", 10, 12),
        ("fair", 1, 0),
        ("fair", 0, 1),
    ]


def test_changes_are_undone_one_after_another_to_the_first_and_no_further(moody: Moody) -> None:
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    play(tries, 1, 10)
    play(tries, 2, 20)
    assert tries.undo(MORNING) is None
    tries.correct(tries.attempts[0], MORNING, catches=11)
    tries.correct(tries.attempts[1], MORNING, fair=False)
    tries.correct(tries.attempts[1], MORNING, catches=22)
    seen = []
    while (undone := tries.undo(MORNING)) is not None:
        seen.append((undone.id, undone.catches, undone.fair))
    assert seen == [(2, 20, False), (2, 20, True), (1, 10, True)]
    assert logged(moody) == [10, 20]
    assert [len(moody.inside.corrections(uid_of(moody.inside, number))) for number in (1, 2)] == [2, 4]


def test_a_try_that_was_not_fair_is_no_best_and_gives_the_best_back(moody: Moody) -> None:
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    for number, catches in enumerate((10, 30, 20), start=1):
        play(tries, number, catches)
    assert [each.best for each in tries.attempts] == [True, True, False]
    tries.correct(tries.attempts[1], MORNING, fair=False)
    assert [each.best for each in tries.attempts] == [True, False, True], "20 is the best now"
    assert tries.best(figure_of(tries.attempts[0])) == 20
    tries.undo(MORNING)
    assert [each.best for each in tries.attempts] == [True, True, False]
    assert tries.best(figure_of(tries.attempts[0])) == 30


def test_without_a_logbook_a_try_that_was_not_fair_is_no_best_either() -> None:
    tries = Tries(None, MORNING)
    play(tries, 1, 10)
    tries.correct(play(tries, 2, 30), MORNING, fair=False)
    assert tries.best(figure_of(tries.attempts[0])) == 10
    assert not tries.attempts[1].best


def test_without_a_logbook_attempts_and_bests_are_kept_for_the_sitting() -> None:
    tries = Tries(None, MORNING)
    play(tries, 1, 10)
    kept = play(tries, 2, 4)
    tries.correct(kept, MORNING, catches=6)
    assert [each.catches for each in tries.unsaved] == [10, 6]
    assert tries.best(figure_of(kept)) == 10
    assert tries.best(replace(figure_of(kept), pattern="531")) is None


def test_bests_are_kept_apart_by_prop_and_way_of_counting(moody: Moody) -> None:
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    kept = play(tries, 1, 10)
    other = Attempt(**{name: getattr(kept, name) for name in ("session_id", "started_at", "pattern", "objects", "tempo",
                    "dwell", "flash_at", "qualify_at")}, counted_by=CountedBy.TAPS)  # fmt: skip
    assert tries.best(figure_of(kept)) == 10
    assert tries.best(figure_of(other)) is None


def test_a_session_goes_on_while_the_logbook_refuses_and_loses_nothing(tmp_path: Path, moody: Moody) -> None:
    hall = Hall(tmp_path, "3", logbook=moody)  # type: ignore[arg-type]
    moody.refused = WRITES
    for start_s in (1.0, 11.0):
        hall.press(start_s, start_s + 5)
        hall.to(start_s + 9)
    assert len(hall.tries.unsaved) == 2
    hall.session.last_try.add(3)
    corrected = hall.session.last_try.attempt
    assert corrected is not None
    moody.refused = ()
    hall.press(21.0)
    hall.to(24)
    hall.session.leave(hall.now_s)
    assert [each.ended for each in moody.inside.attempts()] == [Ended.DROP, Ended.DROP, Ended.GIVEN_UP]
    assert logged(moody)[1] == corrected.catches
    assert hall.session.last_try.attempt is hall.tries.attempts[-1]


def test_a_logbook_another_program_holds_loses_nothing(tmp_path: Path) -> None:
    """The real thing: a second connection holds the write lock while an attempt begins and ends."""
    import sqlite3

    path = tmp_path / "logbook.sqlite"
    logbook = Logbook.open(path, wait_s=0.01, now=MORNING)
    tries = Tries(logbook, MORNING)
    play(tries, 1, 10)
    tries.begin(attempt(2))
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    tries.finish(Ended.DROP, 20, 10.0, 0, "")
    assert [each.catches for each in tries.unsaved] == [20]
    other.execute("ROLLBACK")
    other.close()
    play(tries, 3, 30)
    assert [each.catches for each in logbook.attempts()] == [10, 20, 30]
    logbook.close()


def test_closed_the_file_alone_has_all_of_it(tmp_path: Path) -> None:
    """A user copies logbook.sqlite, and nothing that lies beside it."""
    tries = Tries(Logbook.open(tmp_path / "logbook.sqlite", now=MORNING), MORNING)
    play(tries, 0, 7)
    tries.close()
    assert [each.name for each in tmp_path.iterdir() if each.is_file()] == ["logbook.sqlite"]
    shutil.copy(tmp_path / "logbook.sqlite", tmp_path / "copy.sqlite")
    with Logbook.open_to_read(tmp_path / "copy.sqlite") as book:
        assert [each.catches for each in book.attempts()] == [7]


def test_closed_with_a_try_it_would_not_take_still_tells_of_it(moody: Moody) -> None:
    tries = Tries(moody, MORNING)  # type: ignore[arg-type]
    moody.refused = WRITES
    play(tries, 0, 7)
    tries.close()
    assert [each.catches for each in tries.unsaved] == [7]
