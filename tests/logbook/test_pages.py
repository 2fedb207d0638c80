"""The list page by page: whatever the filter, the order and the length of a page, it is the attempts sorted."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from tests.logbook.tried import uid_of
from trainer.logbook import pages
from trainer.logbook.errors import LogbookError
from trainer.logbook.filters import EVERYTHING, Filter, PageEnd, Sort
from trainer.logbook.pages import AttemptPage
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit

AT = datetime(2026, 3, 1, 18, 30, tzinfo=timezone(timedelta(hours=2)))
PLAIN = Attempt(
    session_id=1, started_at=AT, pattern="3", objects=3, tempo=Fraction(172), dwell=Fraction(2, 3), flash_at=3,
    qualify_at=6, catches=4, seconds=2.5, ended=Ended.DROP,
)  # fmt: skip
# (pattern, name, prop, juggler, way of counting): all made up
TRIED = (
    ("3", "3 cascade", "balls", None, CountedBy.BEAT),
    ("3", "3 cascade", "clubs", "Ζωή", CountedBy.BEAT),
    ("441", None, "balls", None, CountedBy.HAND),
    ("531", None, "Bälle", "Ada", CountedBy.TAPS),
)
NOTES = ("", "", "windy in the Hall", "new clubs", "ΖΩΉ watched")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Logbook]:
    """300 attempts over 40 days, some at the same moment, some removed, one under way."""
    chance = random.Random(6)
    with Logbook.open(tmp_path_factory.mktemp("pages") / "logbook.sqlite") as book:
        book.begin_session(AT)
        attempts = []
        for number in range(300):
            pattern, name, prop, juggler, counted_by = chance.choice(TRIED)
            attempts.append(replace(
                PLAIN, started_at=AT + timedelta(hours=3 * number + 1 - number % 2), pattern=pattern, name=name,
                prop=prop, juggler=juggler, counted_by=counted_by, catches=chance.choice((None, *range(6))),
                seconds=chance.choice((None, 1.5, 9.0)), tempo=chance.choice((Fraction(172), Fraction(515, 3))),
                note=chance.choice(NOTES), taps_unit=TapsUnit.CATCH if counted_by is CountedBy.TAPS else None,
                ended=chance.choice(list(Ended)),
            ))  # fmt: skip
        assert book.add_all(attempts) == 300
        for number in chance.sample(range(1, 301), 20):
            book.remove(uid_of(book, number), corrected_at=AT)
        book.begin_attempt(replace(PLAIN, ended=None, catches=None, seconds=None))
        yield book


@pytest.fixture(scope="module")
def attempts(book: Logbook) -> tuple[Attempt, ...]:
    return book.attempts()


def holds(word: str, each: Attempt) -> bool:
    texts = (each.pattern, each.name or "", each.prop, each.juggler or "", each.note)
    return any(word.casefold() in text.casefold() for text in texts)


FILTERS: list[tuple[Filter, Callable[[Attempt], bool]]] = [
    (EVERYTHING, lambda each: True),
    (Filter(text="  "), lambda each: True),
    (Filter(text="CLUBS"), lambda each: holds("clubs", each)),
    (Filter(text="hall bälle"), lambda each: holds("hall", each) and holds("bälle", each)),
    (Filter(text="ba\u0308lle"), lambda each: each.prop == "Bälle"),
    (Filter(text="ζωή"), lambda each: holds("ζωή", each)),
    (Filter(text="clubs new cascade"), lambda each: all(holds(word, each) for word in ("clubs", "new", "cascade"))),
    (Filter(text="100% _ nowhere"), lambda each: False),
    (Filter(pattern="3", prop="clubs"), lambda each: (each.pattern, each.prop) == ("3", "clubs")),
    (Filter(juggler="Ada"), lambda each: each.juggler == "Ada"),
    (Filter(counted_by=CountedBy.HAND), lambda each: each.counted_by is CountedBy.HAND),
    (Filter(since=date(2026, 3, 10), until=date(2026, 3, 12)),
     lambda each: date(2026, 3, 10) <= each.started_at.date() <= date(2026, 3, 12)),
    (Filter(text="new", counted_by=CountedBy.BEAT, since=date(2026, 3, 10)),
     lambda each: holds("new", each) and each.counted_by is CountedBy.BEAT
     and each.started_at.date() >= date(2026, 3, 10)),
]  # fmt: skip

ORDERS: dict[Sort, Callable[[Attempt], float]] = {
    Sort.NEWEST: lambda each: 0,
    Sort.OLDEST: lambda each: 0,
    Sort.CATCHES: lambda each: -1 if each.catches is None else each.catches,
    Sort.SECONDS: lambda each: -1 if each.seconds is None else each.seconds,
    Sort.TEMPO: lambda each: float(each.tempo),
}


def all_pages(book: Logbook, wanted: Filter, sort: Sort, limit: int) -> list[Attempt]:
    found: list[Attempt] = []
    after: PageEnd | None = None
    while True:
        page = book.page(wanted, sort, limit, after)
        assert len(page.attempts) <= limit
        found += page.attempts
        if page.end is None:
            return found
        assert len(page.attempts) == limit
        after = page.end


@pytest.mark.parametrize("few", [0, 100, 10_000], ids=["by the order", "either way", "by figure and note"])
@pytest.mark.parametrize("limit", [17, 300])
@pytest.mark.parametrize("sort", Sort)
def test_pages_put_together_are_the_attempts_filtered_and_sorted(
    book: Logbook,
    attempts: tuple[Attempt, ...],
    monkeypatch: pytest.MonkeyPatch,
    sort: Sort,
    limit: int,
    few: int,
) -> None:
    monkeypatch.setattr(pages, "FEW", few)
    for wanted, lets_through in FILTERS:
        listed = [(place, each) for place, each in enumerate(attempts) if lets_through(each)]
        listed.sort(key=lambda item: (ORDERS[sort](item[1]), item[0]), reverse=sort is not Sort.OLDEST)
        assert all_pages(book, wanted, sort, limit) == [each for _, each in listed], wanted
        assert book.count(wanted) == len(listed), wanted


@pytest.mark.parametrize("sort", Sort)
def test_no_page_looks_at_the_rows_it_does_not_show(book: Logbook, monkeypatch: pytest.MonkeyPatch, sort: Sort) -> None:
    """Each order has an index: SQLite sorts nothing for a page, and goes to the index's own place to read on."""
    monkeypatch.setattr(pages, "FEW", 0)
    end = book.page(EVERYTHING, sort, 100).end
    asked: list[str] = []
    book.connection.set_trace_callback(asked.append)
    for wanted in (EVERYTHING, Filter("clubs"), Filter("hall bälle"), Filter(pattern="3")):
        book.page(wanted, sort, 7)
        book.page(wanted, sort, 7, end)
    book.connection.set_trace_callback(None)
    listing = [query for query in asked if f"INDEXED BY {sort.index}" in query]
    assert len(listing) == 8
    plans = ["\n".join(row["detail"] for row in book.read(f"EXPLAIN QUERY PLAN {query}")) for query in listing]
    assert not any("TEMP B-TREE" in plan for plan in plans)
    assert all(plan.startswith("SEARCH a") for plan in plans[1::2])


@pytest.mark.parametrize("sort", Sort)
def test_pages_and_counts_follow_changes_made_here_and_elsewhere(tmp_path: Path, sort: Sort) -> None:
    chance = random.Random(f"changes, {sort}")
    texts = ("", "a", "b", "a b", "ab 441")
    with Logbook.open(tmp_path / "logbook.sqlite") as book, Logbook.open(book.path) as another:
        book.begin_session(AT)

        def made() -> Attempt:
            return replace(
                PLAIN, started_at=AT + timedelta(hours=chance.randrange(1000)), pattern=chance.choice(("3", "441")),
                prop=chance.choice(("balls", "a", "b")), tempo=Fraction(chance.choice((150, 172))),
                catches=chance.choice((None, 1, 2, 3)), note=chance.choice(("", "a", "b", "a b")),
            )  # fmt: skip

        def change(by: Logbook) -> None:
            uid = chance.choice(by.attempts()).uid
            assert uid is not None
            chance.choice((
                lambda: by.add(made()),
                lambda: by.remove(uid, corrected_at=AT),
                lambda: [by.restore(each.uid or "", corrected_at=AT) for each in by.removed(3)],
                lambda: by.correct(uid, note=chance.choice(("", "a", "new b")), corrected_at=AT),
                lambda: by.correct(uid, catches=chance.randrange(9), corrected_at=AT),
            ))()  # fmt: skip

        def taken_back() -> None:
            with suppress(InterruptedError), book.at_once():
                change(book)
                book.page(Filter("a"), sort)
                book.count(Filter("a"))
                raise InterruptedError

        def same_as_a_new_reader() -> None:
            with Logbook.open_to_read(book.path) as new:
                for wanted in map(Filter, texts):
                    assert all_pages(book, wanted, sort, 4) == all_pages(new, wanted, sort, 4)
                    assert book.count(wanted) == new.count(wanted)

        book.add_all(made() for _ in range(20))
        for _ in range(12):
            change(book)
            same_as_a_new_reader()
            if chance.random() < 0.4:
                chance.choice((taken_back, lambda: change(another)))()
                same_as_a_new_reader()


def test_a_text_that_another_program_wrote_for_a_number_is_told(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.begin_session(AT)
        book.add(PLAIN)
        book.connection.execute("UPDATE attempts SET catches = 'many'")
        with pytest.raises(LogbookError, match="Attempt 1 could not be understood"):
            book.page(sort=Sort.CATCHES)


def test_texts_of_a_change_taken_back_are_not_taken_for_those_that_get_their_numbers(tmp_path: Path) -> None:
    """SQLite gives the number of a row that was taken back to the next one."""
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.begin_session(AT)
        with suppress(InterruptedError), book.at_once():
            book.add(replace(PLAIN, prop="clubs", note="windy"))
            assert (book.count(Filter("clubs")), book.count(Filter("windy"))) == (1, 1)
            raise InterruptedError
        added = book.add(replace(PLAIN, prop="rings", note="still"))
        for text, listed in (("clubs", ()), ("windy", ()), ("rings", (added,)), ("still", (added,))):
            assert book.page(Filter(text)).attempts == listed, text
            assert book.count(Filter(text)) == len(listed), text


@pytest.mark.parametrize("sort", [Sort.NEWEST, Sort.OLDEST])
@pytest.mark.parametrize("few", [0, 10_000])
def test_many_figures_practised_on_the_same_days_and_on_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, sort: Sort, few: int
) -> None:
    monkeypatch.setattr(pages, "FEW", few)
    chance = random.Random(31)
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.begin_session(AT)
        days = sorted(chance.choices(range(40), k=200))
        book.add_all(
            replace(
                PLAIN, started_at=AT + timedelta(days=day, seconds=number),
                name=f"{chance.choice('xyz')} {day // 8} {chance.randrange(6)}",
            )
            for number, day in enumerate(days)
        )  # fmt: skip
        for text in ("x", "x 2", "3 y 1", "z 5", "4 0"):
            fitting = [each for each in book.attempts() if all(holds(word, each) for word in text.split())]
            listed = fitting[::-1] if sort is Sort.NEWEST else fitting
            for limit in (1, 3, 20):
                assert all_pages(book, Filter(text), sort, limit) == listed, (text, limit)


def test_letter_by_letter_and_back_it_is_what_a_new_reader_finds(tmp_path: Path) -> None:
    chance = random.Random(9)
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.begin_session(AT)
        text = ""
        for number in range(200):
            if number % 4 == 0:  # a try between two keys, its note perhaps of the text so far
                note = chance.choice(("", "ab", "ba", "abba", "b a", "cab", text))
                at = AT + timedelta(minutes=number)
                book.add(replace(PLAIN, started_at=at, name=chance.choice("abc"), note=note))
            text = chance.choice((text[:-1], text + chance.choice("aab c")))
            with Logbook.open_to_read(book.path) as new:
                wanted = Filter(text)
                assert book.page(wanted, limit=5) == new.page(wanted, limit=5)
                assert book.count(wanted) == new.count(wanted)


def test_as_many_words_and_figures_as_may_be(tmp_path: Path) -> None:
    """Each name lacks other words of the filter, which the note has; and more words than SQLite joins by AND."""
    words = "αβγδεζηθικ"
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.begin_session(AT)
        book.add_all(
            replace(
                PLAIN, started_at=AT + timedelta(minutes=number), note=" ".join(words),
                name="-".join(word for place, word in enumerate(words) if number >> place & 1) or None,
            )
            for number in range(1 << len(words))
        )  # fmt: skip
        wanted = Filter(text=" ".join(words))
        assert [each.id for each in book.page(wanted, limit=3).attempts] == [1024, 1023, 1022]
        assert book.count(wanted) == 1024
        many = " ".join(map(str, range(2000)))
        book.correct(uid_of(book, 7), note=many, corrected_at=AT)
        assert [each.id for each in book.page(Filter(many)).attempts] == [7]
        assert book.count(Filter(f"{many} x")) == 0


def test_an_empty_logbook_has_an_empty_page(tmp_path: Path) -> None:
    with Logbook.open_to_read(tmp_path / "none.sqlite") as book:
        assert book.page() == AttemptPage((), None)
        assert book.page(Filter(text="x")) == AttemptPage((), None)
        assert (book.count(), book.count(Filter(text="x")), book.removed()) == (0, 0, ())


def test_what_was_removed_is_listed_apart(book: Logbook) -> None:
    removed = book.removed(limit=100)
    assert len(removed) == 20
    assert all(each.removed for each in removed)
    assert [each.id for each in removed] == sorted((each.id or 0 for each in removed), reverse=True)
    assert len(book.removed(limit=3)) == 3


def test_attempts_written_while_one_reads_on_change_no_page_after(tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.begin_session(AT)
        book.add_all(replace(PLAIN, started_at=AT + timedelta(minutes=number)) for number in range(10))
        first = book.page(limit=5)
        book.add(replace(PLAIN, started_at=AT + timedelta(hours=1)))
        assert [each.id for each in book.page(limit=5, after=first.end).attempts] == [5, 4, 3, 2, 1]
