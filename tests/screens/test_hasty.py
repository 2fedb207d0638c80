"""Keys that come before a screen is up, or while it is being closed: a held key, a paste, two hands."""

from __future__ import annotations

from random import Random

import pytest
from textual import events

from tests.screens.practised import practised
from tests.screens.rest import turn
from trainer.screens.app import TrainerApp
from trainer.screens.patterns.screen import PatternsScreen
from trainer.session.sitting import Sitting

KEYS = (
    "f2", "f3", "f4", "f6", "f7", "f8", "f8", "f9", "f9", "escape", "escape", "escape", "tab", "down", "pagedown",
    "enter", "space", "question_mark", "a", "o", "backspace", "ctrl+x", "ctrl+z",
)  # fmt: skip


def send(app: TrainerApp, key: str) -> None:
    app.post_message(events.Key(key, key if len(key) == 1 else None))


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
