"""Where a plan is made and changed, block by block."""

from __future__ import annotations

from pathlib import Path

from textual.widgets import Input

from tests.screens.picture import assert_as_pictured
from tests.screens.planned import TUESDAY, Hall, Press, plans
from trainer.library.terms import read_terms
from trainer.screens.patterns.terms import TermsScreen
from trainer.screens.plans.edit import WORDS, PlanEditScreen
from trainer.screens.plans.screen import PlansScreen
from trainer.session.plans import plan_folder_of
from trainer.session.sitting import Sitting


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


async def test_a_plan_is_changed_block_by_block_and_saved_with_its_comments(sitting: Sitting, press: Press) -> None:
    async with plans(sitting, press) as hall:
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
        path = sitting.places.patterns / "plans" / "first-week.toml"
        assert path.read_text(encoding="utf-8").startswith("# A practice sheet.")
        assert [block.title for block in plan_folder_of(sitting).find("first-week").blocks][2] == "531"
        await hall.keys("escape")
        assert "531" in hall.text


async def test_a_change_that_makes_no_plan_is_told_and_not_taken(sitting: Sitting, press: Press, tuesday: Path) -> None:
    async with plans(sitting, press) as hall:
        screen = await edit(hall, "Tuesday")
        before = screen.text
        await hall.keys("enter", "down")
        await typed(hall, "432")
        assert "pattern" in hall.text
        assert screen.text == before
        await hall.keys("escape", "escape", "x", "x", "x", "x", "x")
        assert len(screen.text.blocks) == 1  # a plan has one block at least
        assert tuesday.read_text(encoding="utf-8") == TUESDAY


async def test_steps_kinds_and_undo(sitting: Sitting, press: Press, tuesday: Path) -> None:
    async with plans(sitting, press) as hall:
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


async def test_a_new_plan_is_named_and_takes_no_others_place(sitting: Sitting, press: Press, tuesday: Path) -> None:
    async with plans(sitting, press) as hall:
        await hall.keys("n")
        await hall.keys("up", "enter")
        await typed(hall, "Tuesday")
        await hall.keys("s")
        assert "tuesday-2.toml" in hall.text.replace("\n", "")
        assert tuesday.read_text(encoding="utf-8") == TUESDAY
        assert plan_folder_of(sitting).find("tuesday-2").name == "Tuesday"


async def test_leaving_with_changes_asks_once(sitting: Sitting, press: Press, tuesday: Path) -> None:
    async with plans(sitting, press) as hall:
        await edit(hall, "Tuesday")
        await hall.keys("x", "escape")
        assert isinstance(hall.app.screen, PlanEditScreen)
        assert "not saved" in hall.text
        await hall.keys("escape")
        assert isinstance(hall.app.screen, PlansScreen)
        assert tuesday.read_text(encoding="utf-8") == TUESDAY


async def test_picture_edit(sitting: Sitting, press: Press, tuesday: Path) -> None:
    """You should see: the blocks, the fields of the first, what the field under the cursor means, the keys."""
    async with plans(sitting, press) as hall:
        await edit(hall, "Tuesday")
        await hall.keys("enter", "down")
        assert_as_pictured(hall.app, "plan-edit-80x24")


async def test_it_tells_how_to_get_from_the_blocks_to_their_fields(
    sitting: Sitting, press: Press, tuesday: Path
) -> None:
    async with plans(sitting, press) as hall:
        await edit(hall, "Tuesday")
        screen = hall.app.screen
        assert "Enter or Tab goes to the fields." in hall.text
        for key in ("enter", "tab"):
            await hall.keys(key)
            assert screen.focused is screen.query_one("#fields")
            assert "goes to the fields" not in hall.text
            await hall.keys("escape")
            assert "Enter or Tab goes to the fields." in hall.text


async def test_f3_opens_a_word_of_the_plan_and_of_the_field_under_the_cursor(
    sitting: Sitting, press: Press, tuesday: Path
) -> None:
    async with plans(sitting, press) as hall:
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


async def test_what_another_program_wrote_meanwhile_stays_and_so_does_what_was_made_here(
    sitting: Sitting, press: Press, tuesday: Path
) -> None:
    tuesday.write_text(TUESDAY.replace("\n", "\r\n"), encoding="utf-8", newline="")
    theirs = TUESDAY + "# theirs\n"
    async with plans(sitting, press) as hall:
        screen = await edit(hall, "Tuesday")
        await hall.keys("x", "s")
        assert screen.path == tuesday
        tuesday.write_text(theirs, encoding="utf-8")
        await hall.keys("down", "down", "x", "s")
        assert tuesday.read_text(encoding="utf-8") == theirs
        beside = tuesday.with_name("tuesday-2.toml")
        assert beside.read_text(encoding="utf-8") == screen.text.text
        assert "written by another program" in hall.text
        await hall.keys("z", "s")
        assert beside.read_text(encoding="utf-8") == screen.text.text


async def test_a_plan_brought_along_replaces_no_file_of_the_users(sitting: Sitting, press: Press) -> None:
    own = sitting.places.patterns / "plans" / "first-week.toml"
    async with plans(sitting, press) as hall:
        await edit(hall, "first week")
        own.parent.mkdir(parents=True)
        own.write_text("half = [", encoding="utf-8")
        await hall.keys("down", "x", "s")
        assert own.read_text(encoding="utf-8") == "half = ["
        assert own.with_name("first-week-2.toml").exists()


async def test_a_plan_that_was_removed_meanwhile_is_saved_in_its_place(
    sitting: Sitting, press: Press, tuesday: Path
) -> None:
    async with plans(sitting, press) as hall:
        screen = await edit(hall, "Tuesday")
        tuesday.unlink()
        await hall.keys("down", "x", "s")
        assert tuesday.read_text(encoding="utf-8") == screen.text.text
