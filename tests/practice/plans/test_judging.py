"""Judged attempts: the best counts, the goals are marked, and the sheet says how and when each try went."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from html.parser import HTMLParser

import pytest

from trainer.library.catalogue import Choice
from trainer.practice.plans.judging import Best, find_best, result, rows, sheet_to_page, sheet_to_text
from trainer.practice.plans.plan import Block, BlockKind
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.siteswap.families import parse_any

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
BLOCK = Block(BlockKind.JUDGED, Choice(parse_any("5")), attempts=5, minutes=Fraction(10))


def tries(*catches: int | None) -> list[Attempt]:
    """One every minute; 5 cascade: flash 5, qualify 10 (common practice: objects, and twice as many)."""
    return [
        Attempt(
            session_id=1, started_at=NOON + timedelta(seconds=61 * number), pattern="5", objects=5,
            tempo=Fraction(244), dwell=Fraction(2, 3), flash_at=5, qualify_at=10, catches=each,
            seconds=None if each is None else each / 4, ended=Ended.DROP,
        )
        for number, each in enumerate(catches)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("catches", "best"),
    [
        ((3, 12, 5), Best(2, 12, "qualify", 3.0)),
        ((7, 9, 9), Best(2, 9, "flash", 2.25)),  # of equal ones the first
        ((4, None, 2), Best(1, 4, "", 1.0)),  # one that nobody counted
        ((None,), None),
        ((), None),
    ],
)
def test_the_most_catches_count(catches: tuple[int | None, ...], best: Best | None) -> None:
    assert find_best(tries(*catches)) == best


def test_an_unfair_try_is_shown_and_does_not_count() -> None:
    one, other = tries(20, 6)
    unfair = [replace(one, fair=False), other]
    best = find_best(unfair)
    assert best is not None
    assert best.number == 2
    assert rows(unfair)[0][-1] == "qualify not fair"


def test_each_try_has_its_row() -> None:
    assert rows(tries(4, 5, 10)) == (
        ("1", "0:00", "4", "1.0", "drop", ""),
        ("2", "1:01", "5", "1.2", "drop", "flash"),
        ("3", "2:02", "10", "2.5", "drop", "qualify"),
    )


def test_the_result_is_a_sentence() -> None:
    assert result(tries(4, 10)) == "Best: try 2, 10 catches (qualify). Longest: 2.5 s."
    assert result([]) == "No try has counted yet."


class Page(HTMLParser):
    """What a reader of HTML finds: the texts, the cells, and anything fetched from elsewhere."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.cells: list[tuple[str, bool]] = []
        self.outside: list[str | None] = []
        self.open: list[tuple[str, str | None]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open.append((tag, dict(attrs).get("class")))
        self.outside += [value for name, value in attrs if name in ("src", "href")]

    def handle_endtag(self, tag: str) -> None:
        while self.open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1][0] == "td":
            self.cells.append((data, ("tr", "best") in self.open))


def test_the_page_holds_every_try_marks_the_best_and_needs_nothing_from_outside() -> None:
    given = tries(4, 12, 5)
    page = Page(sheet_to_page(BLOCK, given))
    assert [cell for cell, _ in page.cells] == [cell for row in rows(given) for cell in row if cell]
    assert [cell for cell, best in page.cells if best] == list(rows(given)[1])
    assert page.outside == []
    assert "@media print" in sheet_to_page(BLOCK, given)


def test_what_a_user_wrote_is_no_markup() -> None:
    given = [replace(each, prop="<b>balls") for each in tries(4)]
    assert "<b>" not in sheet_to_page(BLOCK, given)


def test_the_text_sheet_says_how_it_was_counted_and_leaves_lines_to_fill_in() -> None:
    given = [replace(each, counted_by=CountedBy.TAPS) for each in tries(4, 12)]
    text = sheet_to_text(BLOCK, given)
    assert "5 attempts within 10 min. Flash 5 catches, qualify 10." in text
    assert "by taps of the pedal" in text
    assert next(line for line in text.splitlines() if line.endswith("← best")).split()[0] == "2"
    assert "Judge     ____" in text
    assert max(map(len, text.splitlines())) <= 100
    assert sheet_to_text(BLOCK, [])
