"""A plan's run: which block comes when, by tries, goals and minutes; taken up where it was from what was kept of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.library.catalogue import Choice
from trainer.practice.climbs.climb import plain
from trainer.practice.guide import Aim, Task
from trainer.practice.plans.plan import Block, BlockKind, Plan
from trainer.practice.plans.run import ENDLESS_S, PlanGuide, PlanStep, begin, take_up, to_steps
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.siteswap.families import parse_any
from trainer.timing.counting import Goals
from trainer.timing.score import Score

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
THREE = Choice(parse_any("3"))


def block(kind: BlockKind = BlockKind.PATTERN, minutes: float | None = None, **fields: object) -> Block:
    choice = None if kind in (BlockKind.REST, BlockKind.FREE) else THREE
    return Block(kind, choice, minutes=None if minutes is None else Fraction(str(minutes)), **fields)  # type: ignore[arg-type]


def attempt(catches: int | None = 4, ended: Ended = Ended.DROP, fair: bool = True) -> Attempt:
    return Attempt(
        session_id=1, started_at=NOON, pattern="3", objects=3, tempo=Fraction(172), dwell=Fraction(2, 3),
        flash_at=3, qualify_at=6, catches=catches, seconds=2.0, ended=ended, fair=fair,
    )  # fmt: skip


def at_task(run: PlanGuide, catches: int) -> Attempt:
    tempo_bpm = run.task.tempo_bpm if run.task else None
    return replace(attempt(catches), tempo=tempo_bpm or Fraction(172))


def to_goals(each: Block) -> Goals:
    assert each.choice is not None
    return Goals.of(Score(each.choice.pattern))


def running(*blocks: Block) -> PlanGuide:
    """A run of blocks, begun at 0 s; in a climb one try is enough for a step."""
    plan = Plan("Tuesday", "Whoever comes.", blocks, Path("tuesday.toml"))
    steps = to_steps(plan, CountedBy.BEAT, to_goals)
    quick = (replace(step, climb=replace(step.climb, rule=plain(1, 1)) if step.climb else None) for step in steps)
    return begin(tuple(quick)).begun(0.0)


def test_so_many_attempts_end_a_block() -> None:
    run = running(block(attempts=3), block(BlockKind.REST))
    for second in (10.0, 20.0):
        run = run.after(attempt(), second)
        assert run.block == 0
    assert run.after(attempt(), 30.0).block == 1


def test_so_many_tries_that_reach_the_goal_end_a_block() -> None:
    run = running(block(goal="qualify", times=2), block(BlockKind.REST))
    assert run.task is not None
    assert run.task.aim == Aim(catches=6)  # 3 cascade: flash 3, qualify 6 (common practice)
    for catches, blocks, reached in ((6, 0, 1), (5, 0, 1), (3, 0, 1), (60, 1, 0)):
        run = run.after(attempt(catches), 1.0)
        assert (run.block, run.reached) == (blocks, reached)


@pytest.mark.parametrize(("goal", "catches"), [("flash", 3), ("qualify", 6), ("12", 12)])
def test_with_a_goal_alone_one_try_that_reaches_it_is_enough(goal: str, catches: int) -> None:
    run = running(block(goal=goal), block(BlockKind.REST))
    run = run.after(attempt(catches - 1), 1.0)
    assert run.block == 0
    assert run.after(attempt(catches), 2.0).block == 1


def test_a_goal_beside_attempts_is_what_each_try_aims_at() -> None:
    run = running(block(goal="flash", attempts=3), block(BlockKind.REST))
    for _ in range(2):
        run = run.after(attempt(30), 1.0)
    assert (run.block, run.reached) == (0, 2)
    assert run.after(attempt(0), 2.0).block == 1


def test_minutes_end_a_block_between_tries_and_never_cut_one_short() -> None:
    run = running(block(minutes=1), block(BlockKind.REST, 1))
    assert run.at(59.9).block == 0
    assert run.at(60.0).block == 1
    ran_over = run.after(attempt(), 50.0).after(attempt(), 75.0)
    assert ran_over.block == 1
    assert ran_over.left_s(75.0) == 60.0  # the rest begins when the try is over, and is as long as it should be


def test_without_anything_to_end_it_a_pattern_lasts_two_minutes_and_a_pause_until_the_pedal() -> None:
    assert running(block()).left_s(0.0) == 120.0
    for kind in (BlockKind.FREE, BlockKind.REST):
        pause = running(block(kind), block())
        assert pause.left_s(0.0) == ENDLESS_S
        assert pause.at(1e6).block == 0
        assert pause.skipped(1e6).block == 1


def test_the_clock_stands_until_the_pedal_is_pressed() -> None:
    steps = running(block(BlockKind.REST, 1), block()).steps
    run = begin(steps)
    assert run.at(1000.0) == run
    run = run.begun(1000.0)
    assert run.left_s(1010.0) == 50.0
    left = run.standing(1020.0)
    assert left.at(5000.0) == left
    assert left.begun(6000.0).left_s(6030.0) == 10.0


def test_a_pause_has_nothing_to_throw_and_its_sentence() -> None:
    run = running(block(BlockKind.REST, 1, say="Water."))
    assert run.is_pause
    assert run.task == Task(None, say="Water.", ends_s=60.0, number=1)


def test_the_end_has_no_task_and_stays_the_end() -> None:
    run = running(block(attempts=1)).after(attempt(), 5.0)
    assert (run.block, run.task, run.step) == (1, None, None)
    assert run.at(1e9) == run.skipped(1e9) == run
    assert not run.is_done


def test_given_up_and_unfair_tries_count_for_nothing_but_among_judged_ones() -> None:
    for bad in (attempt(60, Ended.GIVEN_UP), attempt(60, fair=False)):
        assert running(block(attempts=1)).after(bad, 1.0).block == 0
        assert running(block(goal="flash")).after(bad, 1.0).block == 0
        assert running(block(BlockKind.JUDGED, attempts=1)).after(bad, 1.0).block == 1


def test_a_climb_says_the_tempo_and_ends_by_itself_or_by_its_minutes() -> None:
    climb = block(BlockKind.CLIMB, tempo_bpm=Fraction(172), step_bpm=Fraction(8), target_bpm=Fraction(180))
    run = running(climb, block())
    assert run.task is not None
    assert (run.task.tempo_bpm, run.task.say) == (172, "goal 6 catches, up: 1 more   down: 1 missed")
    run = run.after(attempt(6), 1.0)
    assert run.task is not None
    assert run.task.tempo_bpm == 180
    assert run.after(replace(attempt(6), tempo=Fraction(180)), 2.0).block == 1
    limited = running(replace(climb, minutes=Fraction(1)), block())
    assert limited.at(60.0).block == 1


BLOCKS = (
    block(BlockKind.WARM_UP, 0.5),
    block(attempts=3, goal="flash"),
    block(BlockKind.REST, 0.25),
    block(goal="qualify", times=2, minutes=2),
    block(BlockKind.CLIMB, tempo_bpm=Fraction(140), target_bpm=Fraction(180), goal="qualify", step_bpm=Fraction(20)),
    block(BlockKind.JUDGED, attempts=2, minutes=1),
    block(BlockKind.FREE, 0.1),
)
HAPPENINGS = st.lists(st.tuples(st.floats(0.1, 40), st.none() | st.integers(0, 9)), max_size=40)


@given(HAPPENINGS)
@settings(max_examples=100, database=None)
def test_a_run_taken_up_from_what_was_kept_stands_where_it_stood(happenings: list[tuple[float, int | None]]) -> None:
    """After each thing that happens, block, elapsed_s and the block's tries give the run back, as after a kill -9."""
    run, now_s = running(*BLOCKS), 0.0
    for passed_s, catches in happenings:
        now_s += passed_s
        before = run.block
        pause = run.is_pause or run.step is None
        run = run.at(now_s) if catches is None or pause else run.after(at_task(run, catches), now_s)
        assert before <= run.block <= before + 1
        kept = run.standing(now_s)
        again = take_up(run.steps, kept.block, kept.elapsed_s, run.tries)
        assert (again.block, again.elapsed_s, again.tries) == (kept.block, kept.elapsed_s, kept.tries)
        assert again.task == kept.task
        assert again.begun(now_s).task == kept.begun(now_s).task
        assert again.since_s is None


def test_a_run_killed_between_the_last_try_and_the_next_block_goes_on_with_the_next_block() -> None:
    """The try was written, the position was not yet: three tries of three are there, so the block is over."""
    steps = running(block(attempts=3), block(BlockKind.REST, 1)).steps
    again = take_up(steps, 0, 25.0, [attempt()] * 3)
    assert (again.block, again.elapsed_s, again.tries) == (1, 0.0, ())


def test_a_position_beyond_the_end_is_the_end() -> None:
    steps = (PlanStep(block(attempts=1)),)
    assert take_up(steps, 7, 3.0, []).task is None
