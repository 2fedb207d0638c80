"""The line of keys at the foot of a screen."""

from __future__ import annotations

import pytest

from trainer.screens.app import TrainerApp
from trainer.screens.parts.keyline import KeyLine
from trainer.screens.patterns.screen import PatternsScreen
from trainer.session.sitting import Sitting


@pytest.mark.parametrize("key", ["f8", "f2"])  # one line with little room between keys, and one with more
async def test_a_click_on_a_key_presses_it(sitting: Sitting, key: str) -> None:
    async with TrainerApp(sitting).run_test(size=(100, 24)) as pilot:
        await pilot.press(key)
        await pilot.pause()
        line = pilot.app.screen.query_one(KeyLine)
        assert not isinstance(pilot.app.screen, PatternsScreen)
        await pilot.click(line, offset=(len(line.text) + 2, 0))  # beside them
        assert not isinstance(pilot.app.screen, PatternsScreen)
        await pilot.click(line, offset=(line.text.index("back") + 3, 0))
        await pilot.pause()
        assert isinstance(pilot.app.screen, PatternsScreen)


async def test_keys_come_and_go_with_what_is_typed_and_the_line_stays(sitting: Sitting) -> None:
    async with TrainerApp(sitting).run_test(size=(100, 24)) as pilot:
        line = pilot.app.screen.query_one(KeyLine)
        before = line.text
        assert "leave" in before
        await pilot.press("a")
        await pilot.pause()
        assert "leave" not in line.text
        await pilot.press("escape")
        await pilot.pause()
        assert line.text == before
        assert line is pilot.app.screen.query_one(KeyLine)
        assert not line.children
