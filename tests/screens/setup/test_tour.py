"""The tour at the first start: four steps, by keys or by the mouse, once."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from dataclasses import replace

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from tests.screens.picture import assert_as_pictured, shown
from trainer import config
from trainer.screens.app import TrainerApp
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.screens.setup.tour import PICKS, STEPS, TourScreen
from trainer.session.sitting import Sitting

Press = Callable[[Pilot[None], str, float], Awaitable[None]]


@asynccontextmanager
async def first_start(sitting: Sitting, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Pilot[None]]:
    sitting.settings = replace(sitting.settings, tour=True)
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, TourScreen)
        yield pilot
    if app.failure is not None:
        raise app.failure


def text(pilot: Pilot[None]) -> str:
    return "\n".join(shown(pilot.app))


def practised(pilot: Pilot[None]) -> str:
    assert isinstance(pilot.app.screen, PracticeScreen)
    return pilot.app.screen.session.chosen.score.pattern.text


async def test_four_steps_by_keys_to_a_practice_with_a_pedal_of_ones_own(sitting: Sitting, press: Press) -> None:
    async with first_start(sitting) as pilot:
        assert len(STEPS) <= 4
        assert "look up and around" in text(pilot)
        await pilot.press("enter", "down", "enter")
        await press(pilot, "f10", 1.0)
        await press(pilot, "f10", 2.0)
        assert "F10 is your pedal now, heard 2 times" in text(pilot)
        await pilot.press("enter")
        assert "F10 begins" in text(pilot)
        assert "4 fountain" in text(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert practised(pilot) == "4"
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PatternsScreen)
    kept, _ = config.load(sitting.places.settings)
    assert (kept.tour, kept.pedal) == (False, "f10")


async def test_four_steps_by_the_mouse(sitting: Sitting) -> None:
    async with first_start(sitting) as pilot:
        await pilot.click("#onward", offset=(2, 0))
        await pilot.click("#picks", offset=(3, 3))
        await pilot.click("#onward", offset=(2, 0))
        assert "531" in text(pilot)
        await pilot.click("#onward", offset=(2, 0))
        await pilot.pause()
        assert practised(pilot) == "531"
    assert sitting.settings.pedal == "space"


@pytest.mark.parametrize("steps", range(4))
async def test_esc_leaves_it_at_any_step_and_it_does_not_come_back(sitting: Sitting, steps: int) -> None:
    async with first_start(sitting) as pilot:
        await pilot.press(*["enter"] * steps, "escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PatternsScreen)
    assert not config.load(sitting.places.settings)[0].tour
    app = TrainerApp(sitting)
    async with app.run_test() as pilot:
        await pilot.pause()
        assert isinstance(app.screen, PatternsScreen)


async def test_a_pattern_named_at_the_start_is_practised_at_once(sitting: Sitting) -> None:
    sitting.settings = replace(sitting.settings, tour=True)
    app = TrainerApp(sitting, sitting.library.to_choice("3"))
    async with app.run_test() as pilot:
        await pilot.pause()
        assert isinstance(app.screen, PracticeScreen)
    assert sitting.settings.tour


async def test_a_key_that_can_be_no_pedal_is_refused_and_the_way_back_is_open(sitting: Sitting, press: Press) -> None:
    async with first_start(sitting) as pilot:
        await pilot.press("enter", "enter")
        await press(pilot, "k", 1.0)
        assert "“kit” in practice" in text(pilot)
        assert sitting.settings.pedal == "space"
        await pilot.press("left", "left", "left")
        assert "1 of 4" in text(pilot)
        assert "kit" not in text(pilot)


async def test_what_was_refused_is_no_longer_told_once_a_key_is_taken(sitting: Sitting, press: Press) -> None:
    async with first_start(sitting) as pilot:
        await pilot.press("enter", "enter")
        await press(pilot, "k", 1.0)
        await press(pilot, "b", 2.0)
        assert "b is your pedal now" in text(pilot)
        assert "“kit”" not in text(pilot)


async def test_that_no_sound_comes_is_told_before_the_first_practice(sitting: Sitting) -> None:
    """The screen behind the tour would tell, but from the last step a practice opens over it."""
    async with first_start(sitting) as pilot:
        sitting.notices.append("No sound device could be opened.")
        behind = pilot.app.screen_stack[-2]
        assert isinstance(behind, PatternsScreen)
        behind.show_trouble()  # as its timer does
        await pilot.press("enter", "enter", "enter")
        assert "4 of 4" in text(pilot)
        assert "No sound device could be opened." in text(pilot)


async def test_help_is_that_of_the_tour(sitting: Sitting) -> None:
    async with first_start(sitting) as pilot:
        await pilot.press("question_mark")
        await pilot.pause()
        assert "Keys: tour" in text(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, TourScreen)


def test_what_can_be_picked_is_in_the_library(sitting: Sitting) -> None:
    assert all(sitting.library.find(name) is not None for name, _ in PICKS)


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_pictures(sitting: Sitting, size: tuple[int, int]) -> None:
    """You should see: four steps, each whole, with what to press, and the ways on for the mouse."""
    async with first_start(sitting, size) as pilot:
        for number in range(1, 5):
            assert "go on" in text(pilot)
            whole = pilot.app.screen.query_one("#onward", Static)
            assert whole.region.bottom <= size[1] - 1
            assert_as_pictured(pilot.app, f"tour-{number}-{size[0]}x{size[1]}")
            await pilot.press("enter")
            await pilot.pause()
