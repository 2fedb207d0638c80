"""The plans screen, the practice by a plan, and where a plan is made and changed."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from tests.screens.conftest import DAWN
from tests.screens.picture import assert_as_pictured, shown
from trainer.audio.outputs import RATE_HZ, ManualOutput
from trainer.desk import Desk
from trainer.library.terms import read_terms
from trainer.logbook.records import Attempt, Ended
from trainer.logbook.store import Logbook
from trainer.planning import open_runs, shelf_of
from trainer.practice.planrun import PlanGuide
from trainer.practice.run import State
from trainer.screens.app import TrainerApp
from trainer.screens.planedit import WORDS, PlanEditScreen
from trainer.screens.plans import PlansScreen
from trainer.screens.practice import PracticeScreen
from trainer.screens.terms import TermsScreen

Press = Callable[[Pilot[None], str, float], Awaitable[None]]
TUESDAY = """\
name = "Tuesday"
for = "Somebody made up."

[[block]]
kind = "pattern"
pattern = "3"
tempo = 240
attempts = 2
say = "Tall and even."

[[block]]
kind = "rest"
minutes = 1
say = "Water."

[[block]]
kind = "judged"
pattern = "5"
attempts = 2
minutes = 5

[[block]]
kind = "free"
"""


class Hall:
    """The screens and their time."""

    def __init__(self, app: TrainerApp, pilot: Pilot[None], press: Press) -> None:
        self.app, self.pilot, self._press = app, pilot, press

    @property
    def text(self) -> str:
        return "\n".join(shown(self.app))

    @property
    def page(self) -> str:
        """What is beside the list, in one line."""
        return " ".join(line.split("│")[-1].strip() for line in self.text.splitlines())

    @property
    def output(self) -> ManualOutput:
        output = self.app.desk.output
        assert isinstance(output, ManualOutput)
        return output

    @property
    def guide(self) -> PlanGuide:
        assert isinstance(self.app.screen, PracticeScreen)
        guide = self.app.screen.session.view(self.output.now_s).guide
        assert isinstance(guide, PlanGuide)
        return guide

    @property
    def state(self) -> State:
        assert isinstance(self.app.screen, PracticeScreen)
        return self.app.screen.session.view(self.output.now_s).state

    async def keys(self, *keys: str) -> None:
        for key in keys:
            await self.pilot.press(key)
            await self.pilot.pause()

    async def to(self, second: float) -> None:
        """Let the time go by with the ticks of a practice."""
        while self.output.now_s < second - 1e-6:
            self.output.advance(min(RATE_HZ // 10, round((second - self.output.now_s) * RATE_HZ)), 4410)
            if isinstance(self.app.screen, PracticeScreen):
                self.app.screen.tick()
        await self.pilot.pause()

    async def pedal(self, at_s: float) -> None:
        await self.to(at_s)
        await self._press(self.pilot, "space", at_s)

    async def choose(self, label: str) -> None:
        """Put the cursor on a plan."""
        assert isinstance(self.app.screen, PlansScreen)
        labels = [item.label for item in self.app.screen.items]
        await self.keys("home", *["down"] * next(n for n, each in enumerate(labels) if label in each))


@asynccontextmanager
async def plans(desk: Desk, press: Press, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Hall]:
    app = TrainerApp(desk)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        hall = Hall(app, pilot, press)
        await hall.keys("f7")
        yield hall
    if app.failure is not None:
        raise app.failure


@pytest.fixture
def tuesday(desk: Desk) -> Path:
    path = desk.places.patterns / "plans" / "tuesday.toml"
    path.parent.mkdir(parents=True)
    path.write_text(TUESDAY, encoding="utf-8")
    return path


# -- the list -------------------------------------------------------------------------------------------------


async def test_all_plans_are_there_and_a_wrong_file_is_named_and_hides_none(desk: Desk, press: Press) -> None:
    folder = desk.places.patterns / "plans"
    folder.mkdir(parents=True)
    (folder / "bad.toml").write_text('name = "x"\nfor = "y"\n[[block]]\nkind = "nap"\n', encoding="utf-8")
    async with plans(desk, press) as hall:
        for name in ("Suggested for today", "The first week of three", "Toward five", "A pair who pass", "✗ bad.toml"):
            assert name in hall.text, name
        await hall.choose("bad.toml")
        words = "".join(line.split("│")[-1].strip() for line in hall.text.splitlines())
        assert "bad.toml:4: block[1].kind" in words
        await hall.keys("enter", "e")
        assert isinstance(hall.app.screen, PlansScreen)


async def test_the_page_shows_each_block_with_what_ends_it(desk: Desk, press: Press) -> None:
    async with plans(desk, press) as hall:
        await hall.choose("Toward five")
        assert " 2 pattern   55500" in hall.text
        assert "6 tries, qualify" in hall.text
        assert "230 to 260, qualify" in hall.text


def log(desk: Desk, attempt: Attempt, book: Logbook) -> Attempt:
    return book.add(replace(attempt, session_id=desk.journal.session_in(book)))


async def test_the_suggestion_gives_its_reasons_and_can_be_kept(desk: Desk, press: Press) -> None:
    for number in range(6):
        tried = Attempt(
            session_id=0, started_at=DAWN - timedelta(days=2, minutes=number), pattern="531", objects=3,
            tempo=Fraction(180), dwell=Fraction(2, 3), flash_at=3, qualify_at=6, catches=9, ended=Ended.DROP,
        )  # fmt: skip
        desk.journal.ask(
            lambda book, each=tried: book.add(replace(each, session_id=desk.journal.session_in(book))), None
        )
    async with plans(desk, press) as hall:
        assert "Due: qualified on one day, so it comes again after 1 day; you tried it last 2 days ago." in hall.page
        await hall.keys("s")
        assert (desk.places.patterns / "plans" / "suggested-2026-03-01.toml").exists()
        assert len([item for item in hall.app.screen.items if "Suggested" in item.label]) == 2  # type: ignore[attr-defined]


# -- practice by a plan ---------------------------------------------------------------------------------------


async def test_from_the_first_press_on_the_pedal_is_all_one_needs(desk: Desk, press: Press, tuesday: Path) -> None:
    async with plans(desk, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        assert "block 1 of 4, pattern" in hall.text
        assert "from then on it is all you need" in hall.text
        assert "Tall and even." in hall.text
        await hall.to(500.0)
        assert hall.guide.since_s is None  # nothing runs before the first press
        await hall.pedal(500.0)
        assert hall.state is State.COUNT_IN
        await hall.pedal(505.0)
        await hall.to(510.0)
        assert "try 2 of 2" in hall.text
        await hall.pedal(510.0)
        await hall.pedal(515.0)
        await hall.to(517.0)
        assert "block 2 of 4, rest" in hall.text
        assert "REST" in hall.text
        assert "then 5 cascade" in hall.text
        await hall.to(574.0)
        assert hall.guide.block == 1
        await hall.to(576.0)
        assert "block 3 of 4, judged" in hall.text
        assert "try 1 of 2" in hall.text
        for start_s in (580.0, 590.0):
            await hall.pedal(start_s)
            await hall.pedal(start_s + 5)
        await hall.to(600.0)
        assert "FREE PLAY" in hall.text
        await hall.pedal(610.0)
        await hall.to(611.0)
        assert "THE PLAN IS DONE" in hall.text
        assert [each.block for each in desk.journal.attempts] == [0, 0, 2, 2]
        assert open_runs(desk) == ()
        await hall.keys("escape")
        assert isinstance(hall.app.screen, PlansScreen)
        await hall.keys("p")
        page = desk.places.logbook.with_name("judged.html").read_text(encoding="utf-8")
        assert "Judged attempts: 5 cascade (5)" in page


async def test_a_plan_that_was_left_is_gone_on_with_where_it_was(desk: Desk, press: Press, tuesday: Path) -> None:
    async with plans(desk, press) as hall:
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
        (run,) = open_runs(desk)
        tries = desk.journal.ask(lambda book: book.attempts(plan_run_id=run.id), ())
        assert [each.block for each in tries] == [0, 0]


async def test_a_plan_begun_anew_ends_the_run_that_was_left(desk: Desk, press: Press, tuesday: Path) -> None:
    async with plans(desk, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        await hall.pedal(1.0)
        await hall.pedal(6.0)
        await hall.to(8.0)
        await hall.keys("escape")
        await hall.choose("▶ Tuesday")
        await hall.keys("a")
        assert "try 1 of 2" in hall.text
        assert open_runs(desk) == ()


async def test_a_block_can_be_left_out_by_a_key_at_rest_only(desk: Desk, press: Press, tuesday: Path) -> None:
    async with plans(desk, press) as hall:
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


async def test_in_a_climb_of_a_plan_the_rung_and_the_way_on_are_told(desk: Desk, press: Press, tuesday: Path) -> None:
    climb = '[[block]]\nkind = "climb"\npattern = "3"\ntempo = 200\ntarget = 240\nstep = 20\nsay = "Slow is high."\n'
    tuesday.write_text(f'name = "Tuesday"\nfor = "x"\n{climb}', encoding="utf-8")
    async with plans(desk, press) as hall:
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


async def test_a_plan_with_nothing_to_throw_is_refused(desk: Desk, press: Press, tuesday: Path) -> None:
    tuesday.write_text('name = "Tuesday"\nfor = "x"\n[[block]]\nkind = "rest"\n', encoding="utf-8")
    async with plans(desk, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        assert "no pattern in this plan" in hall.text


@pytest.mark.parametrize(("size", "name"), [((80, 24), "plans-80x24"), ((60, 20), "plans-60x20")])
async def test_picture_plans(desk: Desk, press: Press, size: tuple[int, int], name: str) -> None:
    """You should see: the plans at the left, the blocks of “Toward five” at the right, how to start it."""
    async with plans(desk, press, size) as hall:
        await hall.choose("Toward five")
        assert_as_pictured(hall.app, name)


async def test_picture_rest_of_a_plan(desk: Desk, press: Press, tuesday: Path) -> None:
    """You should see: REST, the minutes left in large digits, what to do, and the blocks that follow."""
    async with plans(desk, press) as hall:
        await hall.choose("Tuesday")
        await hall.keys("enter")
        for start_s in (1.0, 10.0):
            await hall.pedal(start_s)
            await hall.pedal(start_s + 5)
        await hall.to(40.0)
        assert_as_pictured(hall.app, "plan-rest-80x24")


# -- made and changed -----------------------------------------------------------------------------------------


async def edit(hall: Hall, label: str) -> PlanEditScreen:
    await hall.choose(label)
    await hall.keys("e")
    assert isinstance(hall.app.screen, PlanEditScreen)
    return hall.app.screen


async def typed(hall: Hall, text: str) -> None:
    """Open the line of the field under the cursor, and type into it."""
    await hall.keys("enter")
    hall.app.screen.query_one("#typed", Input).value = text
    await hall.keys("enter")


async def test_a_plan_is_changed_block_by_block_and_saved_with_its_comments(desk: Desk, press: Press) -> None:
    async with plans(desk, press) as hall:
        screen = await edit(hall, "first week")
        await hall.keys("a", "enter", "down")  # a block after the first, into its fields, at its pattern
        await typed(hall, "531")
        await hall.keys("escape", "pagedown")
        assert [block.splitlines()[2] for block in screen.text.blocks[:3] if "pattern =" in block] == [
            'pattern = "2 exchange"',
            'pattern = "3 cascade"',
            'pattern = "531"',
        ]
        await hall.keys("s")
        path = desk.places.patterns / "plans" / "first-week.toml"
        assert path.read_text(encoding="utf-8").startswith("# A practice sheet.")
        assert [block.title for block in shelf_of(desk).find("first-week").blocks][2] == "531"
        await hall.keys("escape")
        assert "531" in hall.text


async def test_a_change_that_makes_no_plan_is_told_and_not_taken(desk: Desk, press: Press, tuesday: Path) -> None:
    async with plans(desk, press) as hall:
        screen = await edit(hall, "Tuesday")
        before = screen.text
        await hall.keys("enter", "down")
        await typed(hall, "432")
        assert "pattern" in hall.text
        assert screen.text == before
        await hall.keys("escape", "escape", "x", "x", "x", "x", "x")
        assert len(screen.text.blocks) == 1  # a plan has one block at least
        assert tuesday.read_text(encoding="utf-8") == TUESDAY


async def test_steps_kinds_and_undo(desk: Desk, press: Press, tuesday: Path) -> None:
    async with plans(desk, press) as hall:
        screen = await edit(hall, "Tuesday")
        await hall.keys("enter", "down", "down", "right", "down", "right")
        assert screen.text.fields(0)["tempo"] == 245
        assert screen.text.fields(0)["minutes"] == 1
        await hall.keys("left")
        assert "minutes" not in screen.text.fields(0)
        await hall.keys("up", "up", "up", "right")
        assert screen.text.fields(0)["kind"] == "climb"
        assert {"tempo", "target"} <= screen.text.fields(0).keys()
        await hall.keys(*["u"] * 9)
        assert screen.text.text == TUESDAY
        assert "nothing to undo" in hall.text


async def test_a_new_plan_is_named_and_takes_no_others_place(desk: Desk, press: Press, tuesday: Path) -> None:
    async with plans(desk, press) as hall:
        await hall.keys("n")
        await hall.keys("up", "enter")
        await typed(hall, "Tuesday")
        await hall.keys("s")
        assert "tuesday-2.toml" in hall.text.replace("\n", "")
        assert tuesday.read_text(encoding="utf-8") == TUESDAY
        assert shelf_of(desk).find("tuesday-2").name == "Tuesday"


async def test_leaving_with_changes_asks_once(desk: Desk, press: Press, tuesday: Path) -> None:
    async with plans(desk, press) as hall:
        await edit(hall, "Tuesday")
        await hall.keys("x", "escape")
        assert isinstance(hall.app.screen, PlanEditScreen)
        assert "not saved" in hall.text
        await hall.keys("escape")
        assert isinstance(hall.app.screen, PlansScreen)
        assert tuesday.read_text(encoding="utf-8") == TUESDAY


async def test_picture_edit(desk: Desk, press: Press, tuesday: Path) -> None:
    """You should see: the blocks, the fields of the first, what the field under the cursor means, the keys."""
    async with plans(desk, press) as hall:
        await edit(hall, "Tuesday")
        await hall.keys("enter", "down")
        assert_as_pictured(hall.app, "plan-edit-80x24")


async def test_f3_opens_a_word_of_the_plan_and_of_the_field_under_the_cursor(
    desk: Desk, press: Press, tuesday: Path
) -> None:
    async with plans(desk, press) as hall:
        screen = hall.app.screen
        assert isinstance(screen, PlansScreen)
        assert read_terms().find(screen.word_at_hand()) is not None
        await edit(hall, "Tuesday")
        editor = hall.app.screen
        assert isinstance(editor, PlanEditScreen)
        await hall.keys("enter", "down")
        while editor.field.name != "pattern":
            await hall.keys("down")
        await hall.keys("f3")
        assert isinstance(hall.app.screen, TermsScreen)
        assert hall.app.screen.term == read_terms().find("pattern")
        await hall.keys("escape")
        assert hall.app.screen is editor


def test_the_words_of_the_fields_are_terms() -> None:
    assert [word for word in WORDS.values() if read_terms().find(word) is None] == []
