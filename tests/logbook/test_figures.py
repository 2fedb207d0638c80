"""Totals and bests: whatever was written, set right, removed and restored, they are those worked out by hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.logbook.migrations import TOTALS
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.records.totals import DayTotal, Figure, FigureTotal, Tally, Total

AT = datetime(2026, 3, 29, 23, 30, tzinfo=timezone(timedelta(hours=2)))
PLAIN = Attempt(
    session_id=1, started_at=AT, pattern="3", objects=3, tempo=Fraction(172), dwell=Fraction(2, 3), flash_at=3,
    qualify_at=6, catches=4, seconds=2.5, ended=Ended.DROP,
)  # fmt: skip


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Logbook]:
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.begin_session(AT)
        yield book


def test_how_figures_stand(book: Logbook) -> None:
    """Worked out by hand: 3 and 6 catches are the flash and qualify of three objects (common practice)."""
    next_day = AT + timedelta(hours=1)
    book.add_all([
        PLAIN,
        replace(PLAIN, catches=7, seconds=4.0, ended=Ended.GOAL),
        replace(PLAIN, catches=20, fair=False),
        replace(PLAIN, catches=None, ended=Ended.GIVEN_UP),
        replace(PLAIN, catches=7, started_at=next_day, tempo=Fraction(180)),
        replace(PLAIN, pattern="441", juggler="Ada", counted_by=CountedBy.HAND, catches=None, started_at=next_day),
    ])  # fmt: skip
    three = Figure("3", None, "balls", CountedBy.BEAT, None)
    ada = Figure("441", None, "balls", CountedBy.HAND, "Ada")
    first, second = date(2026, 3, 29), date(2026, 3, 30)
    assert book.standings() == (
        FigureTotal(three, 5, 14.0, Total(3, 3, 2, 18, 7, 9.0, drops=2), first, second),
        FigureTotal(ada, 1, 2.5, Total(), None, second),
    )
    assert book.tallies(three) == (
        Tally(three, first, Total(2, 2, 1, 11, 7, 6.5, drops=1)),
        Tally(three, second, Total(1, 1, 1, 7, 7, 2.5, drops=1)),
    )
    assert book.tempos(three) == {
        Fraction(172): Total(2, 2, 1, 11, 7, 6.5, drops=1),
        Fraction(180): Total(1, 1, 1, 7, 7, 2.5, drops=1),
    }
    assert (book.tallies(ada), book.tempos(ada)) == ((), {})  # an attempt, but no count
    assert book.practised() == (
        DayTotal(first, 4, 11.5, Total(2, 2, 1, 11, 7, 6.5, drops=1)),
        DayTotal(second, 2, 5.0, Total(1, 1, 1, 7, 7, 2.5, drops=1)),
    )
    assert book.practised("Ada") == (DayTotal(second, 1, 2.5, Total()),)
    assert book.practised("nobody") == ()
    assert book.qualified() == (("3", None),)
    assert book.qualified("Ada") == ()
    book.add_all([replace(PLAIN, pattern="441", juggler="Ada", catches=12)])
    assert (book.qualified(), book.qualified("Ada")) == ((("3", None),), (("441", None),))


def test_what_was_tried_last_comes_first(book: Logbook) -> None:
    """Of a day's figures the one practised more that day; none without a try; one, however many objects it tells."""
    earlier, later = AT - timedelta(days=1), AT + timedelta(days=1)
    book.add_all([
        *[replace(PLAIN, started_at=earlier, pattern="531")] * 5,
        replace(PLAIN, pattern="531"),
        *[replace(PLAIN, pattern="441")] * 2,
        replace(PLAIN, pattern="51", started_at=later, catches=None, ended=Ended.GIVEN_UP),
        replace(PLAIN, pattern="423", started_at=later, objects=4),
        replace(PLAIN, pattern="423", started_at=earlier),
    ])  # fmt: skip
    assert [figure.pattern for figure in book.tried()] == ["423", "441", "531"]


def test_a_logbook_without_attempts(book: Logbook) -> None:
    assert (book.tried(), book.standings(), book.practised(), book.qualified()) == ((), (), (), ())


DOINGS = st.tuples(
    st.sampled_from(["add", "add", "begin", "end", "resume", "finish", "correct", "remove", "restore", "fair"]),
    st.integers(0, 3),  # the figure and the day
    st.none() | st.integers(0, 9),  # catches
    st.integers(0, 30),  # which attempt
)


def by_hand(attempts: list[Attempt]) -> list[bool]:
    """Which are bests, each by looking at all those before it."""
    return [
        each.fair and each.catches is not None and each.catches > max(
            (other.catches or 0 for other in attempts[:place] if other.pattern == each.pattern and other.fair),
            default=0,
        )
        for place, each in enumerate(attempts)
    ]  # fmt: skip


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(DOINGS, max_size=20))
def test_whatever_is_done_totals_and_bests_are_those_of_the_attempts(
    tmp_path_factory: pytest.TempPathFactory, doings: list[tuple[str, int, int | None, int]]
) -> None:
    with Logbook.open(tmp_path_factory.mktemp("doings") / "logbook.sqlite") as book:
        book.begin_session(AT)
        ended: list[str] = []
        under_way: list[str] = []

        def add_uid(attempt: Attempt) -> None:
            assert attempt.uid is not None
            ended.append(attempt.uid)

        for word, where, catches, which in doings:
            fresh = replace(PLAIN, pattern="34"[where % 2], started_at=AT + timedelta(days=20 * (where // 2)))
            uid = ended[which % len(ended)] if ended else None
            if word == "add":
                add_uid(book.add(replace(fresh, catches=catches)))
            elif word == "begin":
                under_way.append(book.begin_attempt(replace(fresh, catches=None, ended=None, seconds=None)))
            elif word == "end" and under_way:
                book.end(under_way[-1], ended=Ended.DROP, catches=catches, seconds=1)
            elif word == "resume" and under_way:
                book.resume(under_way[-1])
            elif word == "finish" and under_way:
                add_uid(book.finish(under_way.pop(), ended=Ended.DROP, catches=catches, seconds=1))
            elif uid is None:
                continue
            elif word == "correct":
                book.correct(uid, corrected_at=AT, catches=catches)
            elif word == "fair":
                book.correct(uid, corrected_at=AT, fair=which % 2 == 0)
            elif word == "remove":
                book.remove(uid, corrected_at=AT)
            elif word == "restore":
                book.restore(uid, corrected_at=AT)
        attempts = list(book.attempts())
        assert [each.best for each in attempts] == by_hand(attempts)
        assert not any(each.best for each in book.removed())
        anew = f"{TOTALS} WHERE ended IS NOT NULL AND removed = 0 GROUP BY figure_id, day, tempo"
        assert [tuple(row) for row in book.read("SELECT * FROM days")] == [tuple(row) for row in book.read(anew)]
