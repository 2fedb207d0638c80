"""Nothing of a screen stays in memory once it is left, counted in objects."""

from __future__ import annotations

import asyncio
import gc
import heapq
from typing import Any

import pytest
from textual._styles_cache import StylesCache
from textual.pilot import Pilot
from textual.strip import Strip
from textual.widget import Widget

from tests.screens.practised import practised
from trainer.desk import Desk
from trainer.screens.app import TrainerApp

SPARE = 40
"""Rows more or less that what is left on the screen may have drawn; of one screen that stays there are hundreds."""


def forget_waits() -> None:
    """What the pilot waited for, each with the screen it was on, is kept by the loop until it would be over: 30 s."""
    loop: Any = asyncio.get_running_loop()
    loop._scheduled[:] = [handle for handle in loop._scheduled if not handle.cancelled()]
    loop._timer_cancelled_count = 0
    heapq.heapify(loop._scheduled)


async def looked_at(pilot: Pilot[None], key: str, times: int) -> tuple[int, int, int]:
    """How many widgets, caches of their rows, and rows there are after a screen was opened and left so often."""
    screen = pilot.app.screen
    for _ in range(times):
        await pilot.press(key)
        await pilot.pause()
        assert pilot.app.screen is not screen
        while pilot.app.screen is not screen:  # what is typed in is taken out first
            await pilot.press("escape")
            await pilot.pause()
    for _ in range(3):  # the last one may still be on its way out
        await pilot.pause(0.05)
        forget_waits()
        gc.collect()
    objects = gc.get_objects()
    widgets, caches, rows = (sum(isinstance(each, kind) for each in objects) for kind in (Widget, StylesCache, Strip))
    return widgets, caches, rows


@pytest.mark.parametrize("key", ["question_mark", "f2", "f3", "f6", "f8", "f9"])
async def test_a_screen_over_a_practice_leaves_nothing_behind(desk: Desk, key: str) -> None:
    await assert_nothing_is_left(TrainerApp(practised(desk), desk.library.to_choice("531")), key)


@pytest.mark.parametrize("key", ["f2", "f3", "f4", "f6", "f7", "f8", "f9"])
async def test_a_screen_over_the_list_leaves_nothing_behind(desk: Desk, key: str) -> None:
    await assert_nothing_is_left(TrainerApp(practised(desk)), key)


async def assert_nothing_is_left(app: TrainerApp, key: str) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        widgets, caches, rows = await looked_at(pilot, key, 3)
        more_widgets, more_caches, more_rows = await looked_at(pilot, key, 4)
        assert more_widgets <= widgets
        assert more_caches <= caches
        assert more_rows - rows < SPARE
