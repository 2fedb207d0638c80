"""The glossary's screen: from a word to what it means, and on from there, by keyboard and by mouse."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from tests.screens.picture import all_of
from trainer.library.catalogue import Library
from trainer.library.terms import read_terms
from trainer.screens.app import TrainerApp
from trainer.screens.help import HelpScreen
from trainer.screens.parts.listing import Lines, Listing
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.patterns.terms import TermsScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.session.sitting import Sitting

SIZES = pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=["80x24", "60x20"])


@asynccontextmanager
async def running(sitting: Sitting, size: tuple[int, int] = (80, 24), first: str = "") -> AsyncIterator[Pilot[None]]:
    """The trainer on its first screen; `first`: with a pattern to practise at once."""
    app = TrainerApp(sitting, sitting.library.to_choice(first) if first else None)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield pilot
    if app.failure is not None:
        raise app.failure


@asynccontextmanager
async def opened(
    sitting: Sitting, word: str = "", size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[Pilot[None], TermsScreen]]:
    """The glossary over the list of patterns, at a word."""
    async with running(sitting, size) as pilot:
        screen = TermsScreen(word)
        await pilot.app.push_screen(screen)
        await pilot.pause()
        yield pilot, screen


def on_terms(pilot: Pilot[None]) -> TermsScreen:
    screen = pilot.app.screen
    assert isinstance(screen, TermsScreen)
    return screen


def title_of(screen: TermsScreen) -> str:
    """The title shown, in the text as under the cursor."""
    assert screen.term is not None
    listing = screen.query_one("#list", Listing)
    assert listing.highlighted is not None
    assert listing.rows[listing.highlighted] == screen.term.title
    assert screen.explained().startswith(screen.term.title)
    return screen.term.title


async def type_in(pilot: Pilot[None], text: str) -> None:
    pilot.app.screen.query_one("#query", Input).value = text
    await pilot.pause()


def drawn(pilot: Pilot[None]) -> list[str]:
    """The lines of the terminal."""
    screen = pilot.app.screen
    return [strip.text for strip in screen._compositor.render_strips()]


PAGES = {
    (80, 24): """\
 claw, clawing, snatch

 A catch from above with the palm down, like a
 cat's paw. A throw made from that position, with a
 flick of the wrist, is a claw throw.

──────────────────────────────────────────────────────
 see  penguin
 see  chop
 see  scarf
 try  Claws
 try  One claw""",
    (60, 20): """\
 claw, clawing, snatch

 A catch from above with the
 palm down, like a cat's paw. A
 throw made from that position,
 with a flick of the wrist, is
 a claw throw.

──────────────────────────────────
 see  penguin
 see  chop
 see  scarf
 try  Claws
 try  One claw""",
}
"""The right of the screen at “claw” by its size, empty lines taken together; common practice for the meaning."""


@SIZES
async def test_the_page_of_a_term(sitting: Sitting, size: tuple[int, int]) -> None:
    """You should see a line to type in, terms with “claw” among them, its meaning beside, and where it leads below."""
    async with opened(sitting, "claw", size) as (pilot, screen):
        first, *rows, last = drawn(pilot)
        assert title_of(screen) == "claw"
        assert first.strip() == "Type a word of the trade: flash, back cross, 2-count"
        assert last.split() == ["Enter", "go", "on", "q", "leave", "?", "help", "Esc", "back"]
        left, right = zip(*(row.split("│") for row in rows), strict=True)
        assert re.sub("\n{3,}", "\n\n", "\n".join(line.rstrip() for line in right)) == PAGES[size]
        assert " claw" in [line.rstrip() for line in left]


async def test_every_text_fits_the_smallest_screen(sitting: Sitting) -> None:
    async with opened(sitting, size=(60, 20)) as (_, screen):
        rows, columns = screen.query_one("#browse").size.height, screen.query_one("#explained", Lines).width
        for index, term in enumerate(screen.listed):
            screen.query_one("#list", Listing).highlighted = index
            screen.choose(index)
            lines = screen.explained().split("\n")
            assert len(lines) + 1 + len(screen.links) <= rows, term.title
            assert max(map(len, lines)) <= columns, term.title
            assert all(len(link.prompt) <= columns for link in screen.links if not link.to_pattern), term.title


async def test_typing_narrows_the_list(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        await pilot.press(*"waltz")
        await pilot.pause()
        assert [term.title for term in screen.listed] == ["three-count"]
        assert title_of(screen) == "three-count"
        await pilot.press("escape")
        await pilot.pause()
        assert len(screen.listed) == len(read_terms().terms)


async def test_a_word_that_is_none_suggests_the_nearest(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        await type_in(pilot, "cascde")
        assert (screen.term, screen.listed, screen.links) == (None, (), ())
        assert screen.explained() == "No term has that in it. Was “cascade” meant?"
        assert not screen.query_one("#links").display
        await pilot.press("enter", "down")  # nothing to go on to, and no fault
        await type_in(pilot, "xyzzy")
        assert screen.explained() == "No term has that in it."
        await type_in(pilot, "")
        assert title_of(screen) == read_terms().terms[0].title


async def test_arrows_move_in_the_list_while_the_line_has_the_cursor(sitting: Sitting) -> None:
    async with opened(sitting, "cascade") as (pilot, screen):
        await pilot.press("down", "down", "up")
        await pilot.pause()
        assert title_of(screen) == "catch"
        assert screen.focused is screen.query_one("#query")


async def test_enter_goes_on_to_a_related_term_and_typing_goes_back_to_the_line(sitting: Sitting) -> None:
    async with opened(sitting, "claw") as (pilot, screen):
        await pilot.press("enter", "down", "enter")
        await pilot.pause()
        assert title_of(screen) == "chop"
        assert screen.focused is screen.query_one("#query")
        await pilot.press("enter")
        await pilot.press(*"box")
        await pilot.pause()
        assert screen.query_one("#query", Input).value == "box"
        assert title_of(screen) == "box"


async def test_a_related_term_outside_the_list_is_shown_among_all(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        await type_in(pilot, "waltz")
        screen.open_term("cascade")
        await pilot.pause()
        assert screen.query_one("#query", Input).value == ""
        assert title_of(screen) == "cascade"


async def test_escape_takes_one_thing_back_at_a_time(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        await type_in(pilot, "claw")
        await pilot.press("enter")
        assert screen.focused is screen.query_one("#links")
        await pilot.press("escape")
        assert screen.focused is screen.query_one("#query")
        assert screen.query_one("#query", Input).value == "claw"
        await pilot.press("escape")
        assert screen.query_one("#query", Input).value == ""
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PatternsScreen)


async def test_q_is_a_letter_once_something_is_typed_and_leaves_before(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        await pilot.press("s", "q")
        assert screen.query_one("#query", Input).value == "sq"
        await pilot.press("escape", "q")
        await pilot.pause()
        assert not pilot.app.is_running


async def test_help_tells_the_keys(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        await pilot.press("question_mark")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HelpScreen)
        text = all_of(pilot.app.screen.query_one("#helptext"))
        assert "Keys: terms" in text
        assert "Go on to a related word or a pattern." in text
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert screen.query_one("#query", Input).value == ""


# -- the mouse ----------------------------------------------------------------------------------------------------


async def test_the_mouse_does_what_keys_do(sitting: Sitting) -> None:
    async with opened(sitting, "claw") as (pilot, screen):
        assert await pilot.click("#links", offset=(3, 2))  # below the line above them: the second
        await pilot.pause()
        assert title_of(screen) == "chop"
        await type_in(pilot, "count")
        assert await pilot.click("#list", offset=(3, 1))
        await pilot.pause()
        assert title_of(screen) == screen.listed[1].title


async def test_a_click_on_a_term_in_the_text_opens_it(sitting: Sitting) -> None:
    async with opened(sitting, "half-shower") as (pilot, screen):
        lines = screen.explained().split("\n")
        row = next(index for index, line in enumerate(lines) if "cascade" in line)
        assert await pilot.click("#explained", offset=(lines[row].index("cascade") + 2, row))
        await pilot.pause()
        assert title_of(screen) == "cascade"
        await pilot.click("#explained", offset=(0, 1))  # an empty line
        await pilot.pause()
        assert title_of(screen) == "cascade"


@pytest.mark.parametrize("key", ["", "f3"], ids=["patterns", "terms"])
async def test_letters_typed_in_a_list_all_reach_the_line(sitting: Sitting, key: str) -> None:
    async with running(sitting) as pilot:
        if key:
            await pilot.press(key)
            await pilot.pause()
        pilot.app.screen.query_one("#list").focus()
        await pilot.press(*"flash")
        await pilot.pause()
        assert pilot.app.screen.query_one("#query", Input).value == "flash"


# -- from and to other screens ------------------------------------------------------------------------------------


AT_HAND = (
    # typed, title of the term
    ("mills", "mess"),  # the name of the first pattern that fits
    ("531", "siteswap"),
    ("[64]2", "multiplex"),  # in no file
    ("dwell", "dwell"),  # no pattern, but a term
    ("penguins", "penguin"),
)


async def test_f3_opens_the_term_at_hand(sitting: Sitting) -> None:
    async with running(sitting) as pilot:
        for typed, title in AT_HAND:
            await type_in(pilot, typed)
            await pilot.press("f3")
            await pilot.pause()
            assert title_of(on_terms(pilot)) == title
            await pilot.press("escape")
            await pilot.pause()
            assert isinstance(pilot.app.screen, PatternsScreen)
            assert pilot.app.screen.query_one("#query", Input).value == typed


async def test_a_click_on_a_term_in_an_explanation_opens_it(sitting: Sitting) -> None:
    async with running(sitting) as pilot:
        await type_in(pilot, "3 shower")
        patterns = pilot.app.screen
        assert isinstance(patterns, PatternsScreen)
        lines = patterns.explained().split("\n")
        row = next(index for index, line in enumerate(lines) if "zip" in line)
        assert await pilot.click("#explained", offset=(lines[row].index("zip") + 1, row))
        await pilot.pause()
        assert title_of(on_terms(pilot)) == "zip"


async def follow_last_way(pilot: Pilot[None]) -> None:
    """Go on to the last pattern of the term shown."""
    await pilot.press("enter", "end", "enter")
    await pilot.pause()
    await pilot.pause()


def shown_in_patterns(pilot: Pilot[None]) -> str:
    screen = pilot.app.screen
    assert isinstance(screen, PatternsScreen)
    assert screen.choice is not None
    assert screen.choice.entry is not None
    assert screen.query_one("#query", Input).value == screen.choice.entry.title
    return screen.choice.entry.title


async def test_a_pattern_leads_to_the_list_of_patterns(sitting: Sitting) -> None:
    async with running(sitting) as pilot:
        await type_in(pilot, "mills")
        await pilot.press("f3")
        await pilot.pause()
        await follow_last_way(pilot)
        assert shown_in_patterns(pilot) == "4 Mills Mess"
        assert len(pilot.app.screen_stack) == 2


@pytest.mark.parametrize("first", ["", "mills mess"], ids=["from the list", "at once"])
async def test_a_pattern_ends_a_practice_it_was_opened_from(sitting: Sitting, first: str) -> None:
    async with running(sitting, first=first) as pilot:
        if not first:
            await type_in(pilot, "mills mess")
            await pilot.press("enter")
            await pilot.pause()
        assert isinstance(pilot.app.screen, PracticeScreen)
        await pilot.press("f3")
        await pilot.pause()
        assert title_of(on_terms(pilot)) == "mess"
        assert sitting.session is not None
        await follow_last_way(pilot)
        assert shown_in_patterns(pilot) == "4 Mills Mess"
        assert sitting.session is None
        assert len(pilot.app.screen_stack) == 2


async def test_a_pattern_that_is_not_there_is_told(sitting: Sitting) -> None:
    sitting.library = Library(())
    async with opened(sitting, "mess") as (pilot, screen):
        await follow_last_way(pilot)
        assert pilot.app.screen is screen
        assert str(screen.query_one("#notice", Static).content).startswith("No pattern was called “4 Mills Mess” here.")


async def test_the_cursor_comes_to_rest_however_fast_the_list_changes(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        moves = 0
        choose = screen.choose

        def count(index: int) -> None:
            nonlocal moves
            moves += 1
            choose(index)

        screen.choose = count  # type: ignore[method-assign]
        for word in ("claw", "box", "zip"):
            screen.open_term(word)
        for _ in range(20):
            await pilot.pause()
        assert title_of(screen) == "zip"
        assert moves < 10
