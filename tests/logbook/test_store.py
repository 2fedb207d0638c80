"""The logbook as its callers see it: what goes in comes out, bests are worked out, nothing is silently lost."""

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trainer.logbook import processes
from trainer.logbook.errors import LogbookError
from trainer.logbook.store import A_DAY_S, Logbook
from trainer.records.attempt import Attempt, Correction, CountedBy, Ended
from trainer.records.totals import Figure

AT = datetime(2026, 3, 29, 18, 30, 15, 250_000, tzinfo=timezone(timedelta(hours=2)))


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Logbook]:
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        yield book


SITTINGS = count()
"""Seconds after AT at which sittings began, no two at once."""

NOBODY = "0000000000007"
"""The identity of no attempt."""


def three(name: str | None = None, *, prop: str = "balls", juggler: str | None = None) -> Figure:
    """A figure of the pattern 3, counted by the beat."""
    return Figure("3", name, prop, CountedBy.BEAT, juggler)


def tried(book: Logbook, catches: int | None = 4, **fields: object) -> Attempt:
    """An attempt not yet in the logbook, in a session of its own."""
    plain = Attempt(
        session_id=book.begin_session(AT + timedelta(seconds=next(SITTINGS))),
        started_at=AT,
        pattern="3",
        objects=3,
        tempo=Fraction(515, 3),
        dwell=Fraction(2, 3),
        flash_at=3,
        qualify_at=6,
        catches=catches,
        seconds=2.5,
        ended=Ended.DROP,
    )
    return replace(plain, **fields)  # type: ignore[arg-type]


def test_what_goes_in_comes_out(book: Logbook) -> None:
    attempt = tried(
        book,
        name="Dreierkaskade 三個",
        prop="Keulen",
        juggler="Ζωή עמית 🤹🏽\u200d♀️",
        counted_by=CountedBy.TAPS,
        taps_unit="right",
        hiccups=2,
        note="windig\nund kalt\0",
    )
    added = book.add(attempt)
    assert added == replace(attempt, id=1, uid=added.uid, best=True)
    assert book.attempts() == (added,)
    assert added.tempo == Fraction(515, 3)
    assert added.started_at.isoformat() == "2026-03-29T18:30:15.250000+02:00"


def test_it_is_there_for_a_second_reader_before_add_returns(book: Logbook) -> None:
    book.add(tried(book))
    with Logbook.open_to_read(book.path) as other:
        assert len(other.attempts()) == 1


def test_a_note_of_a_megabyte(book: Logbook) -> None:
    note = "ä" * 500_000
    assert book.add(tried(book, note=note)).note == note


def test_bytes_that_are_no_text_become_question_marks(book: Logbook) -> None:
    added = book.add(tried(book, note="a\udcffb", juggler="\udcff", prop="x\udc80"))
    assert (added.note, added.juggler, added.prop) == ("a?b", "?", "x?")


def test_one_name_typed_on_two_keyboards_is_one_name(book: Logbook) -> None:
    book.add(tried(book, 4, prop="Ba\u0308lle"))
    assert book.add(tried(book, 4, prop=" Bälle ")).best is False
    assert book.best_catches(three(prop="Ba\u0308lle")) == 4


def test_a_best_beats_every_earlier_fair_attempt_of_its_figure(book: Logbook) -> None:
    rows = [
        (tried(book, 0), False),  # the first one counted needs a catch
        (tried(book, 4), True),
        (tried(book, 4), False),  # no better
        (tried(book, 9, fair=False), False),
        (tried(book, 5), True),  # the unfair 9 does not count
        (tried(book, None), False),  # not counted yet
        (tried(book, 1, pattern="4"), True),
        (tried(book, 1, prop="clubs"), True),
        (tried(book, 1, counted_by="taps"), True),
        (tried(book, 6, ended="given-up"), True),
    ]
    assert [book.add(attempt).best for attempt, _ in rows] == [best for _, best in rows]
    assert [attempt.best for attempt in book.attempts()] == [best for _, best in rows]
    assert [attempt.best for attempt in book.attempts(limit=100)] == [best for _, best in rows]
    assert book.best_catches(three()) == 6
    assert book.best_catches(three(prop="rings")) is None


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(
            st.sampled_from("34"), st.sampled_from(["beat", "hand"]), st.none() | st.integers(0, 5), st.booleans()
        ),
        max_size=15,
    ),
    st.integers(1, 15),
)
def test_bests_as_worked_out_in_one_pass_by_index_and_by_hand_agree(
    book: Logbook, rows: list[tuple[str, str, int | None, bool]], limit: int
) -> None:
    session = book.begin_session(AT + timedelta(seconds=next(SITTINGS)))
    pattern_mark = f"/{session}"  # each example has figures of its own
    best_so_far: dict[tuple[str, str], int] = {}
    expected = []
    for pattern, counted_by, catches, fair in rows:
        figure = (pattern, counted_by)
        best = fair and catches is not None and catches > best_so_far.get(figure, 0)
        if best and catches is not None:
            best_so_far[figure] = catches
        expected.append(best)
        attempt = tried(book, catches, session_id=session, counted_by=counted_by, fair=fair)
        assert book.add(replace(attempt, pattern=pattern + pattern_mark)).best == best
    assert [attempt.best for attempt in book.attempts(session_id=session)] == expected
    assert [attempt.best for attempt in book.attempts() if attempt.session_id == session] == expected
    assert [attempt.best for attempt in book.attempts(session_id=session, limit=limit)] == expected[-limit:]
    threes = [attempt for attempt in book.attempts(session_id=session) if attempt.pattern.startswith("3")]
    assert list(book.attempts(f"3{pattern_mark}")) == threes


def test_listing_is_narrowed(book: Logbook) -> None:
    first = book.add(tried(book, 1))
    second = book.add(tried(book, 2, pattern="4", prop="clubs", started_at=AT + timedelta(hours=1)))
    third = book.add(tried(book, 3, counted_by="hand", started_at=AT + timedelta(hours=2)))
    assert book.attempts("3") == (first, third)
    assert book.attempts(prop="clubs") == (second,)
    assert book.attempts(counted_by="hand") == (third,)
    assert book.attempts(session_id=second.session_id) == (second,)
    assert book.attempts(since=AT + timedelta(hours=1)) == (second, third)
    assert book.attempts(since=AT + timedelta(hours=1), limit=1) == (third,)
    assert book.attempts(limit=2) == (second, third)
    assert book.attempts("3", prop="clubs") == ()


def test_a_clock_set_back_does_not_reorder_what_happened(book: Logbook) -> None:
    first = book.add(tried(book, 5))
    second = book.add(tried(book, 6, started_at=AT - timedelta(days=3)))
    assert [attempt.best for attempt in (first, second)] == [True, True]
    assert book.attempts() == (first, second)


def test_an_attempt_under_way_is_finished_once(book: Logbook) -> None:
    attempt = tried(book, None, ended=None, seconds=None)
    uid = book.begin_attempt(attempt)
    assert book.attempts() == ()
    done = book.finish(uid, ended="collected", catches=6, seconds=2.25, hiccups=1, note="n")
    assert done == replace(
        attempt, id=1, uid=uid, ended=Ended.COLLECTED, catches=6, seconds=2.25, hiccups=1, note="n", best=True
    )
    with pytest.raises(LogbookError, match=f"Attempt {uid} was not under way here"):
        book.finish(uid, ended="drop", catches=1, seconds=1)
    with pytest.raises(LogbookError, match=f"There was no attempt {NOBODY}"):
        book.finish(NOBODY, ended="drop", catches=1, seconds=1)
    assert book.attempts() == (done,)


def test_a_wrong_finish_changes_nothing(book: Logbook) -> None:
    uid = book.begin_attempt(tried(book, None, ended=None))
    with pytest.raises(ValueError, match="below 0"):
        book.finish(uid, ended="drop", catches=-1, seconds=1)
    assert book.finish(uid, ended="drop", catches=1, seconds=1).catches == 1


def test_add_is_for_ended_and_begin_for_others(book: Logbook) -> None:
    with pytest.raises(ValueError, match="has not ended"):
        book.add(tried(book, None, ended=None))
    with pytest.raises(ValueError, match="has ended"):
        book.begin_attempt(tried(book))
    with pytest.raises(ValueError, match="no offset"):
        book.begin_session(datetime(2026, 1, 1))
    with pytest.raises(sqlite3.IntegrityError):
        book.add(tried(book, session_id=99))


def test_a_correction_keeps_what_stood_there(book: Logbook) -> None:
    first, second = book.add(tried(book, 4)), book.add(tried(book, 5))
    assert second.id and second.uid and first.uid  # noqa: PT018
    assert book.correct(first.uid, corrected_at=AT, catches=6).best is True
    corrected = book.correct(second.uid, corrected_at=AT, catches=7, ended=Ended.GOAL, fair=False)
    assert corrected == replace(second, catches=7, ended=Ended.GOAL, fair=False, best=False)
    assert book.correct(second.uid, corrected_at=AT, fair=True, catches=7).best is True
    rows: list[tuple[str, str | int | None, str | int | None]] = [
        ("catches", 5, 7),
        ("ended", "drop", "goal"),
        ("fair", 1, 0),
        ("fair", 0, 1),
    ]
    assert book.corrections(second.uid) == tuple(
        Correction(attempt_id=second.id, corrected_at=AT, field=field, before=before, after=after)
        for field, before, after in rows
    )
    with pytest.raises(ValueError, match="below 0"):
        book.correct(second.uid, corrected_at=AT, catches=-1)
    with pytest.raises(LogbookError, match=f"There was no attempt {NOBODY}"):
        book.correct(NOBODY, corrected_at=AT, catches=1)


def test_catches_typed_in_afterwards(book: Logbook) -> None:
    added = book.add(tried(book, None, counted_by="hand"))
    assert added.uid is not None
    assert book.correct(added.uid, corrected_at=AT, catches=12).best is True
    assert book.corrections(added.uid)[0].before is None


def test_an_attempt_under_way_cannot_be_corrected(book: Logbook) -> None:
    uid = book.begin_attempt(tried(book, None, ended=None))
    with pytest.raises(LogbookError, match="was still under way"):
        book.correct(uid, corrected_at=AT, catches=3)


@pytest.mark.parametrize("statement", ["UPDATE corrections SET before = 1", "DELETE FROM corrections"])
def test_corrections_stay_even_if_the_program_asks_otherwise(book: Logbook, statement: str) -> None:
    added = book.add(tried(book, 4))
    assert added.uid is not None
    book.correct(added.uid, corrected_at=AT, catches=5)
    with sqlite3.connect(book.path) as other, pytest.raises(sqlite3.IntegrityError, match="a correction is never"):
        other.execute(statement)
    other.close()
    assert book.corrections(added.uid)[0].before == 4


def owned_by(path: Path, owner: str) -> None:
    """Make every attempt under way another process's."""
    with sqlite3.connect(path) as other:
        other.execute("UPDATE attempts SET owner = ? WHERE ended IS NULL", (owner,))
    other.close()


GONE = processes.token().rsplit(" ", 1)[0] + " not-this-start"
ELSEWHERE = "another-machine 1 x"


@pytest.mark.parametrize(
    ("owner", "after_s", "given_up"),
    [
        (GONE, 0, True),  # the same number, another start: the number came round again
        (processes.token(), 2 * A_DAY_S, False),  # a living process keeps it, however late
        (ELSEWHERE, A_DAY_S - 1, False),  # perhaps under way on another machine
        (ELSEWHERE, A_DAY_S + 1, True),
    ],
    ids=("another start", "alive", "elsewhere lately", "elsewhere long ago"),
)
def test_only_orphans_are_given_up_at_the_next_opening(book: Logbook, owner: str, after_s: int, given_up: bool) -> None:
    book.begin_attempt(tried(book, None, ended=None, seconds=None))
    owned_by(book.path, owner)
    with Logbook.open(book.path, now=AT + timedelta(seconds=after_s)) as other:
        found = [(attempt.id, attempt.ended, attempt.catches) for attempt in other.attempts()]
    assert found == ([(1, Ended.GIVEN_UP, None)] if given_up else [])


def test_one_wrongly_taken_for_orphaned_is_still_finished_by_its_owner(book: Logbook) -> None:
    uid = book.begin_attempt(tried(book, None, ended=None))
    with sqlite3.connect(book.path) as other:
        other.execute("UPDATE attempts SET ended = 'given-up'")
    other.close()
    assert book.finish(uid, ended="drop", catches=5, seconds=2).catches == 5


def test_two_on_one_logbook(book: Logbook) -> None:
    uid = book.begin_attempt(tried(book, None, ended=None))
    with Logbook.open(book.path) as other:
        theirs = other.add(tried(other, 3))
        ours = book.finish(uid, ended="drop", catches=4, seconds=2)
        assert other.attempts() == book.attempts() == (ours, replace(theirs, best=False))


def test_a_row_that_makes_no_sense_is_one_line(book: Logbook) -> None:
    book.add(tried(book))
    with sqlite3.connect(book.path) as other:
        other.execute("UPDATE attempts SET tempo = 'fast'")
    other.close()
    with pytest.raises(LogbookError) as caught:
        book.attempts()
    assert str(caught.value) == f"{book.path}: Attempt 1 could not be understood."


def test_reading_writes_nothing(book: Logbook) -> None:
    with Logbook.open_to_read(book.path) as reader, pytest.raises(LogbookError, match="could not be written"):
        reader.begin_session(AT.astimezone(UTC))


def test_the_whole_file_is_checked_on_request(book: Logbook) -> None:
    book.add(tried(book))
    assert book.problems() == ()
    with sqlite3.connect(book.path) as other:
        other.execute("UPDATE attempts SET session_id = 99")
    other.close()
    assert book.problems() == ("row 1 of attempts leads nowhere",)


def test_throws_alike_under_another_name_are_a_figure_of_their_own(book: Logbook) -> None:
    assert book.add(tried(book, 40, name="3 cascade")).best
    assert book.add(tried(book, 7, name="3 lift bounce")).best
    assert not book.add(tried(book, 30, name="3 cascade")).best
    assert [each.best for each in book.attempts()] == [True, True, False]
    assert book.best_catches(three("3 lift bounce")) == 7


def test_one_juggler_s_best_is_not_another_s(book: Logbook) -> None:
    assert book.add(tried(book, 40, juggler="Teacher")).best
    assert book.add(tried(book, 7, juggler="Pupil")).best
    assert book.best_catches(three(juggler="Pupil")) == 7
    assert book.best_catches(three()) is None, "nobody named has tried"
    assert book.add(tried(book, 5)).best
    assert book.best_catches(three(juggler="Stranger")) is None


def test_each_attempt_has_an_identity_of_its_own_that_sorts_by_time(book: Logbook) -> None:
    uids = [str(book.add(tried(book, started_at=AT + timedelta(milliseconds=number))).uid) for number in range(50)]
    assert len(set(uids)) == 50
    assert uids == sorted(uids)
    with pytest.raises(sqlite3.IntegrityError):
        book.add(tried(book, uid=uids[0]))


def test_what_is_removed_counts_nowhere_and_can_be_restored(book: Logbook) -> None:
    first, second, third = (book.add(tried(book, catches)) for catches in (4, 9, 6))
    assert second.uid is not None
    removed = book.remove(second.uid, corrected_at=AT)
    assert removed == replace(second, removed=True, best=False)
    assert book.attempts() == (first, replace(third, best=True))
    assert book.attempts(limit=1) == (replace(third, best=True),)
    assert book.best_catches(three()) == 6
    assert book.attempt(second.uid) == removed
    assert book.restore(second.uid, corrected_at=AT) == second
    assert book.attempts() == (first, second, third)
    assert [(each.field, each.before, each.after) for each in book.corrections(second.uid)] == [
        ("removed", 0, 1),
        ("removed", 1, 0),
    ]


def test_another_note_and_what_stood_there(book: Logbook) -> None:
    added = book.add(tried(book, note="windy"))
    assert added.uid is not None
    assert book.correct(added.uid, note="calm 靜\ud800", corrected_at=AT) == replace(added, note="calm 靜?")
    assert book.correct(added.uid, note="", corrected_at=AT).note == ""
    corrections = book.corrections(added.uid)
    assert [(each.before, each.after) for each in corrections] == [("windy", "calm 靜?"), ("calm 靜?", "")]


def test_a_clock_set_back_a_week_is_borne_and_one_that_was_years_ahead_is_not(book: Logbook) -> None:
    first = book.add(tried(book, 5))
    day = book.read_one("SELECT day FROM attempts WHERE id = ?", (first.id,))
    assert day == (AT.date() - date(1970, 1, 1)).days
    book.add(tried(book, 5, started_at=AT - timedelta(days=7)))
    book.add(tried(book, 5, started_at=AT - timedelta(days=8)))
    assert [row["day"] - day for row in book.read("SELECT day FROM attempts ORDER BY id")] == [0, 0, -8]


def test_the_hour_that_comes_twice_keeps_the_order(book: Logbook) -> None:
    """In central Europe on 25 October 2026 the clocks went from 3:00, UTC+2, to 2:00, UTC+1 (EU directive 2000/84)."""
    summer, winter = timezone(timedelta(hours=2)), timezone(timedelta(hours=1))
    first = book.add(tried(book, 5, started_at=datetime(2026, 10, 25, 2, 59, 59, tzinfo=summer)))
    second = book.add(tried(book, 6, started_at=datetime(2026, 10, 25, 2, 0, 0, tzinfo=winter)))
    assert book.attempts() == (first, second)
    assert second.started_at - first.started_at == timedelta(seconds=1)
    assert [each.started_at.hour for each in book.attempts()] == [2, 2]
    assert book.attempts(since=datetime(2026, 10, 25, 1, 0, tzinfo=UTC)) == (second,)
