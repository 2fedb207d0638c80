"""Keys and clicks that come before a screen is up, or while it is being closed: a held key, a paste, two hands."""

from __future__ import annotations

from random import Random

import pytest
from textual import events
from textual.widgets import Input

from tests.screens.practised import practised
from tests.screens.rest import turn
from trainer.library.terms import read_terms
from trainer.screens.app import TrainerApp
from trainer.screens.climbs.form import ClimbScreen
from trainer.screens.parts.keyline import KeyLine
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.patterns.terms import TermsScreen
from trainer.session.sitting import Sitting

KEYS = (
    "f2", "f3", "f4", "f6", "f7", "f8", "f8", "f9", "f9", "escape", "escape", "escape", "tab", "down", "pagedown",
    "enter", "space", "question_mark", "a", "o", "backspace", "ctrl+x", "ctrl+z",
)  # fmt: skip


def send(app: TrainerApp, key: str) -> None:
    app.post_message(events.Key(key, key if len(key) == 1 else None))


def click(app: TrainerApp, x: int, y: int) -> None:
    for kind in (events.MouseDown, events.MouseUp):
        app.post_message(kind(None, x, y, 0, 0, 1, False, False, False, screen_x=x, screen_y=y))


async def test_a_screen_left_as_it_comes_up(sitting: Sitting) -> None:
    app = TrainerApp(practised(sitting))
    async with app.run_test() as pilot:
        await pilot.pause()
        for between in (0, 1, 5, 13):
            for keys in ("f8 escape", "f8 f9 escape", "f8 tab escape", "f8 a escape escape", "f3 escape"):
                for key in keys.split():
                    send(app, key)
                    await turn(between)
                await pilot.pause()
                assert isinstance(app.screen, PatternsScreen), (keys, between)
    assert app.failure is None


@pytest.mark.parametrize("seed", range(2))
async def test_any_keys_however_close(sitting: Sitting, seed: int) -> None:
    chance, app = Random(seed), TrainerApp(practised(sitting))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for _ in range(40):
            send(app, chance.choice(KEYS))
            await turn(chance.choice((0, 0, 1, chance.randrange(40))))
        await pilot.pause()
        assert app.failure is None, app.failure_details()
        app.exit()
        await turn(50)
    assert app.failure is None, app.failure_details()


@pytest.mark.parametrize("key", ["f2", "f3", "f4", "f6", "f7", "f8", "f9", "question_mark", "enter"])
async def test_a_click_on_the_line_of_keys_while_a_screen_comes_up(sitting: Sitting, key: str) -> None:
    for between in (3, 5, 13):
        app = TrainerApp(practised(sitting))
        async with app.run_test(size=(120, 24)) as pilot:
            await pilot.pause()
            send(app, key)
            await turn(between)
            click(app, 60, 23)
            await pilot.pause()
        assert app.failure is None, (between, app.failure_details())


async def test_a_double_click_on_the_line_of_keys(sitting: Sitting) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=(120, 24)) as pilot:
        await pilot.pause()
        at = app.screen.query_one("#keys", KeyLine).text.index("climb")
        for _ in range(2):
            click(app, at, 23)
        await pilot.pause()
        assert app.failure is None, app.failure_details()
        assert isinstance(app.screen, ClimbScreen)


async def test_a_click_where_the_terminal_was_before_it_became_smaller(sitting: Sitting) -> None:
    app = TrainerApp(sitting, sitting.library.to_choice("3"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        click(app, 100, 50)
        await pilot.pause()
    assert app.failure is None, app.failure_details()


async def test_a_way_taken_while_another_term_comes_is_no_way_of_that_one(sitting: Sitting) -> None:
    terms = sorted(read_terms().terms, key=lambda term: len(term.see) + len(term.patterns))
    few, many = terms[0], terms[-1]
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        for between in range(12):  # Enter is on its way from the list to the screen
            app.open_terms(many.title)
            await pilot.press("enter", "end")
            screen = app.screen
            assert isinstance(screen, TermsScreen)
            send(app, "enter")
            await turn(between)
            if not screen.gone:  # else the way was taken before
                screen.open_term(few.title)
            await pilot.pause()
            assert app.failure is None, app.failure_details()


@pytest.mark.parametrize("size", [(80, 24), (80, 3), (1, 1)])
@pytest.mark.parametrize("key", ["f2", "f3", "f4", "f6", "f7", "f8", "f9"])
async def test_keys_that_move_in_a_list_that_has_no_room(sitting: Sitting, key: str, size: tuple[int, int]) -> None:
    app = TrainerApp(practised(sitting))
    async with app.run_test(size=size) as pilot:
        await pilot.press(key, "enter", *(["pagedown", "down", "end", "pageup", "home", "enter"] * 2), "escape")
        await pilot.pause()
    assert app.failure is None, app.failure_details()


async def test_a_key_that_comes_while_another_screen_opens_is_one_of_that_screen(sitting: Sitting) -> None:
    """T taps the tempo in the practice of a climb, which is told when the key was pressed; Space begins a run there."""
    for between in range(12):
        app = TrainerApp(sitting, sitting.library.to_choice("3"))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("f6")
            await pilot.pause()
            send(app, "enter")
            await turn(between)
            send(app, "t")
            send(app, "space")
            await pilot.pause()
        assert app.failure is None, (between, app.failure_details())


async def test_a_megabyte_is_not_pasted_into_a_line(sitting: Sitting) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        app.post_message(events.Paste("ひ" * 1_000_000))
        await pilot.pause()
        assert app.screen.query_one("#query", Input).value == ""
        app.post_message(events.Paste("531\n" * 200_000))
        await pilot.pause()
        assert app.screen.query_one("#query", Input).value == "531"
