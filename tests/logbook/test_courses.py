"""Climbs and plan runs: written when they begin, found again after a crash, closed when they end."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from trainer.logbook.errors import LogbookError
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.records.courses import ClimbKind, ClimbRule, LoggedClimb, PlanRun
from trainer.records.totals import Figure

AT = datetime(2026, 3, 29, 18, 30, 15, 250_000, tzinfo=timezone(timedelta(hours=2)))


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Logbook]:
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.begin_session(AT)
        yield book


CLIMB = LoggedClimb(
    session_id=1, started_at=AT, kind=ClimbKind.TEMPO, rule=ClimbRule.STAIRCASE, pattern="441", start=Fraction(515, 3),
    step="3%", target=Fraction(200), goal="12 catches", up_after=2, down_after=1, prop="Keulen", name="three",
)  # fmt: skip
RUN = PlanRun(session_id=1, started_at=AT, name="Montag 月", plan='[[block]]\npattern = "531"\n')
ATTEMPT = Attempt(
    session_id=1, started_at=AT, pattern="441", objects=3, tempo=Fraction(172), dwell=Fraction(2, 3), flash_at=3,
    qualify_at=6, catches=4, ended=Ended.DROP,
)  # fmt: skip


def test_a_climb_comes_out_as_it_went_in(book: Logbook) -> None:
    climb = book.keep(CLIMB)
    assert climb == replace(CLIMB, id=1, uid=climb.uid)
    assert climb.uid
    of_objects = replace(
        CLIMB, kind=ClimbKind.OBJECTS, rule=ClimbRule.PLAIN, start=Fraction(3), step="1", target=None, rung_by="height"
    )
    other = book.keep(of_objects)
    ended = replace(climb, ended_at=AT + timedelta(minutes=20), threshold=184.25, spread=3.5)
    assert book.keep(ended) == ended
    assert book.climb(climb.uid) == ended
    assert book.climbs() == (ended, replace(of_objects, id=2, uid=other.uid))
    assert book.keep(climb) == climb, "an end that is taken back"


def test_the_attempts_of_a_climb_and_of_a_run_in_their_order(book: Logbook) -> None:
    climb, run = book.keep(CLIMB).uid, book.keep(RUN).uid
    climbed = [book.add(replace(ATTEMPT, climb_uid=climb, catches=catches)) for catches in (3, 8)]
    uid = book.begin_attempt(replace(ATTEMPT, plan_run_uid=run, block=2, catches=None, ended=None))
    planned = book.finish(uid, ended="time", catches=7, seconds=60)
    assert book.attempts(climb_uid=climb) == tuple(climbed)
    assert book.attempts(plan_run_uid=run) == (planned,)
    assert (planned.plan_run_uid, planned.block, planned.climb_uid) == (run, 2, None)


def test_thresholds_belong_to_the_figure_of_their_tries(book: Logbook) -> None:
    """Two jugglers climb alike; a climb by another rule, one broken off and one whose tries were removed tell none."""
    anna, bert = (replace(ATTEMPT, name="three", prop="Keulen", juggler=name) for name in ("Anna", "Bert"))
    for tried, threshold, climb in (
        (anna, 180.5, CLIMB),
        (anna, 184.25, replace(CLIMB, started_at=AT + timedelta(days=7))),
        (bert, 140.0, CLIMB),
        (anna, None, CLIMB),
        (anna, 5.0, replace(CLIMB, kind=ClimbKind.OBJECTS, target=None, rung_by="height")),
    ):
        kept = book.keep(replace(climb, ended_at=AT, threshold=threshold))
        book.add(replace(tried, climb_uid=kept.uid))
    kept = book.keep(replace(CLIMB, ended_at=AT, threshold=99.0))
    book.remove(book.add(replace(anna, climb_uid=kept.uid)).uid or "", corrected_at=AT)
    figure = Figure("441", "three", "Keulen", CountedBy.BEAT, "Anna")
    assert book.thresholds(figure) == ((date(2026, 3, 29), 180.5), (date(2026, 4, 5), 184.25))
    assert book.thresholds(replace(figure, juggler="Bert")) == ((date(2026, 3, 29), 140.0),)
    assert book.thresholds(replace(figure, juggler=None)) == ()
    assert book.thresholds(replace(figure, counted_by=CountedBy.TAPS)) == ()


def test_a_run_stands_where_it_was_saved_until_it_ends(book: Logbook) -> None:
    first, second = book.keep(RUN), book.keep(replace(RUN, name="another"))
    first = book.keep(replace(first, block=1, elapsed_s=612.5))
    with Logbook.open(book.path) as after_a_crash:
        newest, saved = after_a_crash.open_plan_runs()
    assert (newest, newest.name) == (second, "another")
    assert saved == first == replace(RUN, id=1, uid=saved.uid, block=1, elapsed_s=612.5)
    ended = book.keep(replace(first, block=2, elapsed_s=900.0, ended_at=AT + timedelta(minutes=15)))
    assert ended.ended_at == AT + timedelta(minutes=15)
    assert book.open_plan_runs() == (second,)
    assert book.plan_runs() == (ended, newest)


def test_what_is_not_there_is_one_line(book: Logbook) -> None:
    with pytest.raises(LogbookError, match="There was no climb 0000000000007"):
        book.climb("0000000000007")
    with pytest.raises(LogbookError, match="There was no plan run 0000000000007"):
        book.plan_run("0000000000007")
    assert (book.climbs(), book.plan_runs()) == ((), ())


@pytest.mark.parametrize("wrong", [{"kind": "height"}, {"rule": "up"}, {"up_after": 0}, {"started_at": datetime.min}])
def test_what_cannot_be_a_climb(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - a mistake of ours: the sentence is for no user
        replace(CLIMB, **wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize("wrong", [{"block": -1}, {"elapsed_s": -0.5}, {"started_at": datetime.min}])
def test_what_cannot_be_a_run(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - as above
        replace(RUN, **wrong)  # type: ignore[arg-type]
