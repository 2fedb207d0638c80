"""The suggested plan: what is due, nearly there or stale by a stated rule, with its reason, on made-up logbooks."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from tests.bundled import LIBRARY
from trainer.files.toml import parse
from trainer.practice.plans.plan import read_plan
from trainer.practice.plans.suggestion import LONGEST_GAP_DAYS, recall, sort_of, suggest, suggestions_to_text
from trainer.records.attempt import Attempt, Ended

TODAY = date(2026, 5, 31)


def tries(pattern: str, days_ago: int, *catches: int | None, objects: int = 3, **more: object) -> list[Attempt]:
    """Tries of a pattern one after another on one day; flash at 3, qualify at 6."""
    at = datetime(2026, 5, 31, 18, 0, tzinfo=UTC) - timedelta(days=days_ago)
    return [
        Attempt(
            session_id=1, started_at=at + timedelta(seconds=30 * number), pattern=pattern, objects=objects,
            tempo=Fraction(172), dwell=Fraction(2, 3), flash_at=3, qualify_at=6, catches=each, seconds=3.0,
            ended=Ended.DROP, **more,  # type: ignore[arg-type]
        )
        for number, each in enumerate(catches)
    ]  # fmt: skip


def sort(*days: list[Attempt]) -> str:
    (past,) = recall([each for day in days for each in day], bool)
    return sort_of(past, TODAY)


SURE = (9, 9, 9, 9)
NEARLY = (3, 4, 5, 3, 2)


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        ([(0, SURE)], ""),  # qualified today: nothing to do
        ([(1, SURE)], "due"),  # one day it was qualified on: again after one
        ([(3, SURE), (1, SURE)], ""),  # two days: again after two
        ([(4, SURE), (2, SURE)], "due"),
        ([(9, SURE), (7, SURE), (4, SURE)], "due"),  # three days: again after four
        ([(27, SURE)], "due"),
        ([(28, SURE)], "stale"),  # four weeks
        ([(28, (9,))], "stale"),  # once is enough to have had it
        ([(1, (9,))], ""),  # one try says too little
        ([(0, NEARLY)], "nearly"),
        ([(28, NEARLY)], "nearly"),
        ([(29, NEARLY)], ""),  # never qualified, long ago: nothing to go stale
        ([(0, (1, 2, 0, 1, 2))], ""),  # out of reach
        ([(0, (9, 2, 9, 1, 3))], "nearly"),  # qualifies, not surely
        ([(400 - 30 * n, SURE) for n in range(12)], "stale"),
    ],
)
def test_where_a_pattern_stands(days: list[tuple[int, tuple[int, ...]]], expected: str) -> None:
    assert sort(*(tries("3", ago, *catches) for ago, catches in days)) == expected


def test_the_gap_doubles_with_each_day_qualified_up_to_a_month() -> None:
    gaps = []
    for count in range(1, 9):
        (past,) = recall([each for day in range(count) for each in tries("3", 60 - day, *SURE)], bool)
        gaps.append(past.gap_days)
    assert gaps == [1, 2, 4, 8, 16, 32, 32, LONGEST_GAP_DAYS]


@pytest.mark.parametrize("bad", [{"fair": False}, {"catches": None}, {"ended": Ended.GIVEN_UP}])
def test_what_says_nothing_is_not_asked(bad: dict[str, object]) -> None:
    assert recall([replace(each, **bad) for each in tries("3", 0, *SURE)], bool) == ()  # type: ignore[arg-type]


def test_a_full_suggestion_has_an_order_and_a_reason_for_each_block() -> None:
    log = [
        *tries("3", 40, *SURE, name="3 cascade"),
        *tries("531", 2, *SURE),
        *tries("441", 1, *SURE),
        *tries("423", 9, *SURE),
        *tries("5", 3, 3, 4, 5, 3, objects=5, name="5 cascade"),
        *tries("552", 3, 3, 7, 8, 3, objects=4),
    ]
    found = suggest(log, TODAY, ["4 fountain"])
    assert [(each.sort, each.fields.get("pattern")) for each in found] == [
        ("warm-up", "3 cascade"),
        ("stale", "3 cascade"),
        ("rest", None),
        ("due", "423"),
        ("due", "531"),
        ("rest", None),
        ("nearly", "552"),
        ("nearly", "5 cascade"),
        ("rest", None),
        ("new", "4 fountain"),
        ("free", None),
    ]
    reasons = {(each.sort, each.fields.get("pattern")): each.reason for each in found}
    assert reasons["stale", "3 cascade"] == "Gone stale: you qualified it, and tried it last 40 days ago."
    assert (
        reasons["due", "531"]
        == "Due: qualified on one day, so it comes again after 1 day; you tried it last 2 days ago."
    )
    assert reasons["nearly", "552"] == "Nearly there: 4 of the last 4 tries flashed, 2 qualified."


def test_an_empty_logbook_gets_a_first_step_and_nothing_to_suggest_gets_nothing() -> None:
    assert [each.sort for each in suggest([], TODAY, ["2 exchange"])] == ["new", "free"]
    assert suggest([], TODAY) == ()


def test_the_suggestion_is_a_plan_like_any_other() -> None:
    log = [*tries("(4,4)", 2, *SURE, objects=4), *tries("[43]23", 0, *NEARLY, name="a name that is gone")]
    text = suggestions_to_text(suggest(log, TODAY, ["3 cascade"], lambda name: LIBRARY.find(name) is not None), TODAY)
    plan = read_plan(parse(text, "suggested.toml"), Path("suggested.toml"), LIBRARY.to_choice)
    assert plan.name == "Suggested for today"
    assert all(block.say for block in plan.blocks)
    assert [block.choice.pattern.text for block in plan.blocks if block.choice] == ["(4,4)", "(4,4)", "[43]23", "3"]
    assert plan.blocks[0].tempo_bpm == 172
