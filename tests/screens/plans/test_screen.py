"""The plans screen, and the practice by a plan."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from tests.dawn import DAWN
from tests.screens.picture import assert_as_pictured
from tests.screens.planned import TUESDAY, Press, plans
from trainer.config import Settings
from trainer.logbook.store import Logbook
from trainer.practice.run import RunState
from trainer.records.attempt import Attempt, Ended
from trainer.records.courses import PlanRun
from trainer.screens.plans.screen import PlansScreen
from trainer.session.plans import open_runs
from trainer.session.sitting import Sitting


def run_what_is_gone(book: Logbook, tried: Attempt) -> None:
    """A later run of a plan whose pattern is in no library, with a try."""
    plan = 'name = "Gone"\nfor = "x"\n[[block]]\nkind = "judged"\npattern = "Alder"\nattempts = 3\n'
    run = PlanRun(session_id=tried.session_id, started_at=tried.started_at, name="gone", plan=plan)
    book.add(replace(tried, uid=None, plan_run_uid=book.keep(run).uid, block=0))


# -- the list -------------------------------------------------------------------------------------------------


async def test_all_plans_are_there_and_a_wrong_file_is_named_and_hides_none(sitting: Sitting, press: Press) -> None:
    folder = sitting.places.patterns / "plans"
    folder.mkdir(parents=True)
    (folder / "bad.toml").write_text('name = "x"\nfor = "y"\n[[block]]\nkind = "nap"\n', encoding="utf-8")
    async with plans(sitting, press) as hall:
        for name in ("Suggested for today", "The first week of three", "Toward five", "A pair who pass", "✗ bad.toml"):
            assert name in hall.text, name
        await hall.choose("bad.toml")
        words = "".join(line.split("│")[-1].strip() for line in hall.text.splitlines())
        assert "bad.toml:4: block[1].kind" in words
        await hall.keys("enter", "e")
        assert isinstance(hall.app.screen, PlansScreen)


@pytest.mark.skipif(sys.platform == "win32", reason="no file can have such a name there")
async def test_the_name_of_a_file_reaches_no_terminal_raw(sitting: Sitting, press: Press) -> None:
    folder = sitting.places.patterns / "plans"
    folder.mkdir(parents=True)
    (folder / "a\x1b[2Jb.toml").write_text("x =\n", encoding="utf-8")
    async with plans(sitting, press) as hall:
        screen = hall.app.screen
        assert isinstance(screen, PlansScreen)
        screen.say(f"{folder}/c\x1b]0;owned could not be written.")
        await hall.choose("b.toml")
        assert "\x1b" not in hall.text
        assert "✗ a\\x1b[2Jb.toml" in hall.text
        assert "c\\x1b]0;owned could not be written." in "".join(hall.text.split("\n"))


async def test_the_suggestion_gives_its_reasons_and_can_be_kept(sitting: Sitting, press: Press) -> None:
    for number in range(6):
        tried = Attempt(
            session_id=0, started_at=DAWN - timedelta(days=2, minutes=number), pattern="531", objects=3,
            tempo=Fraction(180), dwell=Fraction(2, 3), flash_at=3, qualify_at=6, catches=9, ended=Ended.DROP,
        )  # fmt: skip
        sitting.tries.ask(
            lambda book, each=tried: book.add(replace(each, session_id=sitting.tries.session_in(book))), None
        )
    async with plans(sitting, press) as hall:
        assert "Due: qualified on one day, so it comes again after 1 day; you tried it last 2 days ago." in hall.page
        await hall.keys("s")
        assert (sitting.places.patterns / "plans" / "suggested-2026-03-01.toml").exists()
        assert len([item for item in hall.app.screen.items if "Suggested" in item.label]) == 2  # type: ignore[attr-defined]


# -- practice by a plan ---------------------------------------------------------------------------------------


async def test_from_the_first_press_on_the_pedal_is_all_one_needs(
    sitting: Sitting, press: Press, tuesday: Path
) -> None:
    async with plans(sitting, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        assert "block 1 of 4, pattern" in hall.text
        assert "from then on it is all you need" in hall.text
        assert "Tall and even." in hall.text
        await hall.to(60.0)
        assert hall.guide.since_s is None  # nothing runs before the first press
        await hall.pedal(60.0)
        assert hall.state is RunState.COUNT_IN
        await hall.pedal(65.0)
        await hall.to(70.0)
        assert "try 2 of 2" in hall.text
        await hall.pedal(70.0)
        await hall.pedal(75.0)
        await hall.to(77.0)
        assert "block 2 of 4, rest" in hall.text
        assert "REST" in hall.text
        assert "then 5 cascade" in hall.text
        await hall.to(134.0)
        assert hall.guide.block == 1
        await hall.to(136.0)
        assert "block 3 of 4, judged" in hall.text
        assert "try 1 of 2" in hall.text
        for start_s in (140.0, 150.0):
            await hall.pedal(start_s)
            await hall.pedal(start_s + 5)
        await hall.to(160.0)
        assert "FREE PLAY" in hall.text
        await hall.pedal(170.0)
        await hall.to(171.0)
        assert "THE PLAN IS DONE" in hall.text
        assert [each.block for each in sitting.tries.attempts] == [0, 0, 2, 2]
        assert open_runs(sitting) == ()
        await hall.keys("escape")
        assert isinstance(hall.app.screen, PlansScreen)
        await hall.keys("p")
        page = sitting.places.logbook.with_name("judged.html").read_text(encoding="utf-8")
        assert "Judged attempts: 5 cascade (5)" in page
        sitting.tries.ask(lambda book: run_what_is_gone(book, sitting.tries.attempts[-1]), None)
        await hall.keys("p")
        assert "A later run was left out: gone.toml:5: block[1].pattern" in " ".join(hall.text.split())


async def test_a_plan_that_was_left_is_gone_on_with_where_it_was_or_begun_anew(
    sitting: Sitting, press: Press, tuesday: Path
) -> None:
    async with plans(sitting, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        await hall.pedal(1.0)
        await hall.pedal(6.0)
        await hall.to(10.0)
        await hall.keys("escape")
        assert "▶ Tuesday" in hall.text
        tuesday.write_text(TUESDAY.replace("Tall", "Low"), encoding="utf-8")  # the run keeps the plan it began with
        await hall.choose("▶ Tuesday")
        assert "left in block 1 after 0:09" in hall.page
        await hall.keys("enter")
        assert "try 2 of 2" in hall.text
        assert "Tall and even." in hall.text
        await hall.pedal(50.0)
        await hall.pedal(55.0)
        await hall.to(57.0)
        assert hall.guide.block == 1
        (run,) = open_runs(sitting)
        none: tuple[Attempt, ...] = ()
        tries = sitting.tries.ask(lambda book: book.attempts(plan_run_uid=run.uid), none)
        assert [each.block for each in tries] == [0, 0]
        await hall.keys("escape")
        await hall.choose("▶ Tuesday")
        await hall.keys("a")  # begun anew, which ends the run that was left
        assert "try 1 of 2" in hall.text
        assert open_runs(sitting) == ()


async def test_a_block_can_be_left_out_by_a_key_at_rest_only(sitting: Sitting, press: Press, tuesday: Path) -> None:
    async with plans(sitting, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        await hall.pedal(1.0)
        await hall.keys("n")
        assert hall.guide.block == 0  # while a try is under way nothing happens to it
        await hall.pedal(6.0)
        await hall.to(9.0)
        await hall.keys("n", "n")
        assert hall.guide.block == 2
        await hall.to(9.5)
        assert "5 cascade" in hall.text.splitlines()[0]


async def test_a_rest_offers_the_keys_that_are_of_use_there(sitting: Sitting, press: Press, tuesday: Path) -> None:
    async with plans(sitting, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        before = hall.text.splitlines()[-1]
        assert "faster" in before
        await hall.keys("n")
        await hall.to(0.1)
        assert hall.guide.is_pause
        at_rest = ["q leave", "? help", "Esc back", "F2 setup", "f far", "n next block"]
        assert hall.text.splitlines()[-1].split() == " ".join(at_rest).split()
        await hall.keys("k")
        assert sitting.settings.kit != Settings().kit, "a key that is not shown works as ever"
        await hall.keys("n")
        await hall.to(0.2)
        assert not hall.guide.is_pause
        assert hall.text.splitlines()[-1] == before


async def test_in_a_climb_of_a_plan_the_rung_and_the_way_on_are_told(
    sitting: Sitting, press: Press, tuesday: Path
) -> None:
    climb = '[[block]]\nkind = "climb"\npattern = "3"\ntempo = 200\ntarget = 240\nstep = 20\nsay = "Slow is high."\n'
    tuesday.write_text(f'name = "Tuesday"\nfor = "x"\n{climb}', encoding="utf-8")
    async with plans(sitting, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        assert "200 beats/min" in hall.text
        assert "Slow is high." in hall.text
        assert "6 catches" in hall.text
        for start_s in (1.0, 12.0):  # the goal, a qualify, ends each try; two of them are a step up
            await hall.pedal(start_s)
            await hall.to(start_s + 10)
        assert "220 beats/min" in hall.text
        await hall.keys("up")
        assert "220 beats/min" in hall.text  # the climb sets the tempo


async def test_a_plan_with_nothing_to_throw_is_refused(sitting: Sitting, press: Press, tuesday: Path) -> None:
    tuesday.write_text('name = "Tuesday"\nfor = "x"\n[[block]]\nkind = "rest"\n', encoding="utf-8")
    async with plans(sitting, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        assert "no pattern in this plan" in hall.text


@pytest.mark.parametrize(("size", "name"), [((80, 24), "plans-80x24"), ((60, 20), "plans-60x20")])
async def test_picture_plans(sitting: Sitting, press: Press, size: tuple[int, int], name: str) -> None:
    """You should see: the plans at the left, the blocks of “Toward five” at the right, how to start it."""
    async with plans(sitting, press, size) as hall:
        await hall.choose("Toward five")
        assert_as_pictured(hall.app, name)
        if size == (80, 24):
            assert " 2 pattern   55500" in hall.text
            assert "6 tries, qualify" in hall.text
            assert "230 to 260, qualify" in hall.text


async def test_picture_rest_of_a_plan(sitting: Sitting, press: Press, tuesday: Path) -> None:
    """You should see: REST, the minutes left in large digits, what to do, and the blocks that follow."""
    async with plans(sitting, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        for start_s in (1.0, 10.0):
            await hall.pedal(start_s)
            await hall.pedal(start_s + 5)
        await hall.to(40.0)
        assert_as_pictured(hall.app, "plan-rest-80x24")
