"""The setup screen open, its rows found by name."""

from __future__ import annotations

import tomllib
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from typing import Any

from textual import events
from textual.pilot import Pilot
from textual.widgets import Static

from trainer.screens.app import TrainerApp
from trainer.screens.parts.listing import Listing
from trainer.screens.setup.rows import ROWS
from trainer.screens.setup.screen import SetupScreen
from trainer.session.sitting import Sitting

Press = Callable[[Pilot[None], str, float], Awaitable[None]]
LATER_S = 1e9
"""A stamp later than any the test driver gives."""


@asynccontextmanager
async def opened(sitting: Sitting, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[Pilot[None], SetupScreen]]:
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        await pilot.press("f2")
        await pilot.pause()
        assert isinstance(app.screen, SetupScreen)
        yield pilot, app.screen
    if app.failure is not None:
        raise app.failure


async def press_later(pilot: Pilot[None], key: str) -> None:
    """A key at a time when nothing can be repeating any more."""
    event = events.Key(key, key)
    event.time = LATER_S
    pilot.app.post_message(event)
    await pilot.pause()


def goto(screen: SetupScreen, name: str) -> None:
    screen.query_one("#settings", Listing).highlighted = index_of(name)


def index_of(name: str) -> int:
    return next(index for index, row in enumerate(ROWS) if row.name == name)


def row_text(screen: SetupScreen, name: str) -> str:
    return str(screen.query_one("#settings", Listing).rows[index_of(name)])


def text_of(screen: SetupScreen, id: str) -> str:
    return str(screen.query_one(f"#{id}", Static).content)


def written(sitting: Sitting) -> dict[str, Any]:
    return tomllib.loads(sitting.places.settings.read_text(encoding="utf-8"))
