"""The patterns screen: typing narrows the list or reads a siteswap, with its error shown as it is typed."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from tests.screens.picture import assert_as_pictured, shown
from trainer.screens.app import TrainerApp
from trainer.screens.help import HelpScreen
from trainer.screens.parts.listing import Lines, Listing
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.session.sitting import Sitting

KEYS = {"question_mark": "?", "enter": "\r", "escape": "\x1b", "backspace": "\x7f"}
"""Key → the character it brings along, where that is not its name."""


class Hall:
    """A patterns screen, typed at."""

    def __init__(self, pilot: Pilot[None]) -> None:
        self.pilot, self.app = pilot, pilot.app

    @property
    def screen(self) -> PatternsScreen:
        assert isinstance(self.app.screen, PatternsScreen)
        return self.app.screen

    @property
    def text(self) -> str:
        return "\n".join(shown(self.app))

    @property
    def query(self) -> str:
        return self.screen.query_one("#query", Input).value

    @property
    def titles(self) -> list[str]:
        return [entry.title for entry in self.screen.listed]

    async def type(self, text: str) -> None:
        """Type a text, key by key."""
        for char in text:
            self.app.post_message(events.Key(char, char))
        await self.pilot.pause()

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.app.post_message(events.Key(key, KEYS.get(key, key if len(key) == 1 else None)))
        await self.pilot.pause()
        await self.pilot.pause()


@asynccontextmanager
async def listing(sitting: Sitting, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Hall]:
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield Hall(pilot)
    if app.failure is not None:
        raise app.failure


async def test_it_opens_with_all_patterns_the_first_explained(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        assert len(hall.titles) == len(sitting.library.entries)
        assert hall.screen.choice is not None
        assert "It works" in hall.text


async def test_typing_a_name_narrows_the_list(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        before = len(hall.titles)
        for name in ("mills", "MILLS mess", "box", "shower"):
            await hall.press("escape")
            await hall.type(name)
            assert 0 < len(hall.titles) < before
            first = hall.screen.listed[0]
            assert any(name.split()[0].lower() in each.lower() for each in (first.title, *first.names))
            assert hall.screen.choice is not None


async def test_a_text_that_is_no_name_is_read_as_siteswap(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        for text in ("531", "(4,4)", "(4x,2x)", "[43]23", "<3p 3|3p 3>", "97531"):
            await hall.press("escape")
            await hall.type(text)
            assert hall.query == text
            assert hall.screen.choice is not None
            assert hall.screen.choice.pattern.text == text
            assert "It works" in hall.text


async def test_an_error_is_shown_as_it_is_typed_with_its_place(sitting: Sitting) -> None:
    """In 543 the 5 comes down on beat 0 + 5 and the 4 on beat 1 + 4: the mark is under the 4."""
    async with listing(sitting) as hall:
        for text, told, marked in (
            ("543", "come down", "4"),
            ("5z1", "", ""),
            ("(4,5", "", ""),
            ("54x", "", ""),
            ("(4x,2x)*", "come down", ""),
        ):
            await hall.press("escape")
            await hall.type(text)
            assert hall.screen.choice is None
            assert told in " ".join(hall.screen.explained().split())
            rows = hall.text.splitlines()
            caret = next(row for row in rows if row.rstrip("▁ ").endswith("^"))
            above, place = rows[rows.index(caret) - 1], caret.index("^")
            start = above.index(text)
            assert start <= place <= start + len(text)
            assert above[place : place + 1] == marked or not marked


async def test_a_mend_is_offered_and_enter_puts_it_in_the_line(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        await hall.type("543")
        suggestion = hall.screen.suggestion
        assert suggestion
        assert suggestion in hall.text
        await hall.press("enter")
        assert hall.query == suggestion
        assert hall.screen.choice is not None
        await hall.press("enter")
        assert isinstance(hall.app.screen, PracticeScreen)


async def test_the_error_goes_when_the_text_works_again(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        await hall.type("54")
        await hall.type("3")
        assert hall.screen.choice is None
        await hall.press("backspace", "backspace")
        await hall.type("31")
        assert hall.screen.choice is not None
        assert "^" not in hall.text


async def test_enter_starts_practice_of_what_is_shown(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        await hall.type("531")
        await hall.press("enter")
        screen = hall.app.screen
        assert isinstance(screen, PracticeScreen)
        assert screen.session.chosen.score.pattern.text == "531"
        assert "READY" in hall.text
        await hall.press("escape")
        assert hall.query == "531", "back where one came from"


async def test_in_the_list_too_the_footer_tells_what_enter_does(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        await hall.pilot.press("tab")
        assert hall.screen.focused is hall.screen.query_one(Listing)
        assert shown(hall.pilot.app)[-1].startswith("Enter practise")
        await hall.pilot.press("enter")
        await hall.pilot.pause()
        assert isinstance(hall.pilot.app.screen, PracticeScreen)


async def test_arrows_move_in_the_list_while_the_line_keeps_the_letters(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        await hall.press("down", "down", "up", "down")
        assert hall.screen.query_one("#list", Listing).highlighted == 2
        assert hall.screen.choice is not None
        assert hall.screen.choice.entry is hall.screen.listed[2]
        await hall.type("mills")
        assert hall.query == "mills"
        await hall.press("down", "enter")
        assert isinstance(hall.app.screen, PracticeScreen)


async def test_the_mouse_picks_from_the_list(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        third = hall.screen.listed[3]
        await hall.pilot.click("#list", offset=(4, 3))
        await hall.pilot.pause()
        screen = hall.app.screen
        assert isinstance(screen, PracticeScreen)
        assert screen.choice.entry is third


async def test_q_leaves_with_an_empty_line(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        await hall.press("q")
        assert hall.app._exit


async def test_q_is_a_letter_where_there_is_text(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        await hall.type("s")
        await hall.press("q")
        assert hall.query == "sq"
        assert not hall.app._exit
        await hall.press("escape")
        assert hall.query == ""
        await hall.press("q")
        assert hall.app._exit


@pytest.mark.parametrize("typed", ["", "53"])
async def test_the_question_mark_opens_help_with_and_without_text(sitting: Sitting, typed: str) -> None:
    async with listing(sitting) as hall:
        await hall.type(typed)
        await hall.press("question_mark")
        assert isinstance(hall.app.screen, HelpScreen)
        assert "Practise the pattern shown." in hall.text
        await hall.press("escape")
        assert hall.query == typed


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_nothing_that_matters_is_cut(sitting: Sitting, size: tuple[int, int]) -> None:
    async with listing(sitting, size) as hall:
        await hall.type("531")
        assert max(map(len, hall.text.splitlines())) <= size[0]
        for text in ("531", "It works", "3 objects", "Enter practise", "? help", "right", "left"):
            assert text in hall.text, text
        page = hall.screen.query_one("#explained", Lines)
        assert max(map(len, page.text.split("\n"))) <= page.width, "no line runs out of the page"


async def test_a_tiny_terminal_does_no_harm(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        for size in [(1, 1), (2, 2), (10, 3), (30, 8), (80, 1), (80, 24)]:
            await hall.pilot.resize_terminal(*size)
            await hall.type("531")
            await hall.press("down", "escape")
            assert hall.query == ""
        assert "It works" in hall.text


async def test_odd_texts_do_no_harm(sitting: Sitting) -> None:
    async with listing(sitting) as hall:
        for text in ("[b]bold[/b]", "\x00", "é" * 300, "531" * 300, "🤹", "<|>", "((((", "[" * 50, "zzzzzzzz"):
            hall.screen.query_one("#query", Input).value = text
            await hall.pilot.pause()
            assert hall.text


async def test_picture_of_a_pattern_typed(sitting: Sitting) -> None:
    """You should see: 531 in the line, the patterns that fit on the left, the whole explanation's top on the right."""
    async with listing(sitting) as hall:
        hall.screen.query_one("#query", Input).cursor_blink = False
        await hall.type("97531")
        await hall.pilot.pause()
        assert_as_pictured(hall.app, "patterns-siteswap-80x24")


async def test_picture_of_an_error(sitting: Sitting) -> None:
    """You should see: what collides where, the text with a mark under the place, and what would work."""
    async with listing(sitting) as hall:
        hall.screen.query_one("#query", Input).cursor_blink = False
        await hall.type("543")
        await hall.pilot.pause()
        assert_as_pictured(hall.app, "patterns-error-80x24")


async def test_the_footer_says_that_q_leaves_only_while_it_does(sitting: Sitting) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for key, leaves in (("5", False), ("3", False), ("escape", True)):
            await pilot.press(key)
            await pilot.pause()
            assert ("q leave" in shown(app)[-1]) is leaves, key
