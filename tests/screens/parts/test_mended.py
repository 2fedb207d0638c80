"""Nothing of a screen stays in memory once it is left, counted in objects."""

from __future__ import annotations

import gc
from typing import NamedTuple

from textual._styles_cache import StylesCache
from textual.pilot import Pilot
from textual.strip import Strip
from textual.widget import Widget

from tests.screens.practised import practised
from tests.screens.rest import until
from trainer.screens.app import TrainerApp
from trainer.session.sitting import Sitting

SPARE = 40
"""Rows more or less that what is left on the screen may have drawn; of one screen that stays there are hundreds."""

PATIENCE = 50
"""How often it is looked whether a screen is gone: on a busy machine the last one is on its way for a while."""


class Held(NamedTuple):
    """How many widgets, caches of their rows, and rows there are."""

    widgets: int
    caches: int
    rows: int

    def is_no_more_than(self, before: Held) -> bool:
        return self.widgets <= before.widgets and self.caches <= before.caches and self.rows < before.rows + SPARE


async def look_at(pilot: Pilot[None], key: str, times: int) -> None:
    """Open a screen and leave it, so often."""
    screen = pilot.app.screen
    for _ in range(times):
        await pilot.press(key)
        await pilot.pause()
        assert pilot.app.screen is not screen
        for _ in range(3):  # what is typed in is taken out first
            if pilot.app.screen is not screen:
                await pilot.press("escape")
                await pilot.pause()
        assert pilot.app.screen is screen


def held_now() -> Held:
    """What there is that is still in use."""
    gc.collect()
    objects = gc.get_objects()
    return Held(*(sum(isinstance(each, kind) for each in objects) for kind in (Widget, StylesCache, Strip)))


async def held(pilot: Pilot[None]) -> Held:
    """What there is once the screen has come to rest."""
    await pilot.pause()
    return held_now()


async def held_at_rest(pilot: Pilot[None]) -> Held:
    """What there is once nothing goes any more."""
    found = await held(pilot)
    for _ in range(PATIENCE):
        before, found = found, await held(pilot)
        if (found.widgets, found.caches) == (before.widgets, before.caches):
            break
    return found


async def test_screens_over_a_practice_leave_nothing_behind(sitting: Sitting) -> None:
    app = TrainerApp(practised(sitting), sitting.library.to_choice("531"))
    await assert_nothing_is_left(app, "question_mark", "f2", "f3", "f6", "f8", "f9")


async def test_screens_over_the_list_leave_nothing_behind(sitting: Sitting) -> None:
    await assert_nothing_is_left(TrainerApp(practised(sitting)), "f2", "f3", "f4", "f6", "f7", "f8", "f9")


async def assert_nothing_is_left(app: TrainerApp, *keys: str) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for key in keys:
            await look_at(pilot, key, 2)
            before = await held_at_rest(pilot)
            await look_at(pilot, key, 3)
            await until(lambda before=before: held_now().is_no_more_than(before))


async def test_typing_and_taking_out_leaves_nothing_behind(sitting: Sitting) -> None:
    """Other keys are of use while there is a text, and the line at the foot tells them."""
    async with TrainerApp(practised(sitting)).run_test(size=(80, 24)) as pilot:
        await pilot.press("f8")

        async def type_and_take_out(times: int) -> None:
            for _ in range(times):
                await pilot.press("a")
                await pilot.pause()
                await pilot.press("escape")
                await pilot.pause()

        await type_and_take_out(2)
        before = await held_at_rest(pilot)
        await type_and_take_out(4)
        after = await held_at_rest(pilot)
        assert after.widgets <= before.widgets, (before, after)
