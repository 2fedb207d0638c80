"""Every screen from 60×20 to 250×70, and the main ones in every look: nothing that matters is cut."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import replace

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from tests.audio.manual_output import ManualOutput
from tests.screens.picture import assert_as_painted, assert_as_pictured, shown
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.config import Theme
from trainer.screens.app import TrainerApp
from trainer.screens.practice.screen import PracticeScreen
from trainer.session.sitting import Sitting

Press = Callable[[Pilot[None], str, float], Awaitable[None]]
SIZES = [(60, 20), (120, 40), (200, 60)]
WAY_THERE: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "patterns": ((), ("Enter practise", "2 exchange")),
    "find": (("f4",), ("objects", "period", "contains")),
    "terms": (("escape", "f3"), ("Enter go on",)),
    "climb form": (("escape", "f6"), ("Esc back",)),
    "plans": (("escape", "f7"), ("Esc back",)),
    "logbook": (("escape", "f8"), ("Esc back",)),
    "progress": (("escape", "f9"), ("Esc back",)),
    "setup": (("escape", "f2"), ("Enter change", "Esc back", "output")),
    "calibrate": (("m",), ("Esc back", "SPACE")),
    "reaction": (("escape", "r"), ("Esc back", "SPACE")),
}
"""A screen → the keys from the one before, and what must be seen there beside the ways to help and out."""


@pytest.mark.parametrize("size", [(60, 20), (250, 70)])
async def test_nothing_that_matters_is_cut_on_any_screen(sitting: Sitting, size: tuple[int, int]) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        for name, (keys, texts) in WAY_THERE.items():
            await pilot.press(*keys)
            await pilot.pause()
            rows = shown(app)
            assert len(rows) == size[1]
            assert max(map(len, rows)) <= size[0]
            for text in (*texts, "? help"):
                assert text in "\n".join(rows), (name, text, rows)
            assert "q leave" in rows[-1] or "Esc back" in rows[-1], (name, rows[-1])
    assert app.failure is None


async def practise(app: TrainerApp, pilot: Pilot[None], sitting: Sitting, press: Press) -> None:
    """531, eight catches into a run."""
    output = sitting.output
    assert isinstance(output, ManualOutput)
    app.practise(sitting.library.to_choice("531"), None)
    await pilot.pause()
    screen = app.screen
    assert isinstance(screen, PracticeScreen)
    for key, seconds in (("space", 3.4), ("", 0)):
        if key:
            await press(pilot, key, output.now_s)
        output.advance(round(seconds * RATE_HZ))
        screen.tick()
        await pilot.pause()


@pytest.mark.parametrize("size", SIZES)
async def test_pictures_of_the_main_screens(sitting: Sitting, press: Press, size: tuple[int, int]) -> None:
    """You should see: 531 typed, found and told; then a run of it with GO, the count as large as its room, both bars
    with their figures, the tempo, and the throws that come.
    """
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        app.screen.query_one("#query", Input).cursor_blink = False
        await pilot.press(*"531")
        await pilot.pause()
        assert_as_pictured(app, f"patterns-531-{size[0]}x{size[1]}")
        await practise(app, pilot, sitting, press)
        for text in ("GO   SPACE when you drop", "3/3 ✓", "6/6 ✓", "beats/min", "RIGHT", "LEFT", "q leave", "? help"):
            assert text in "\n".join(shown(app)), text
        assert_as_pictured(app, f"practice-531-{size[0]}x{size[1]}")
    assert app.failure is None


@pytest.mark.parametrize("theme", ["dark", "light", "none"])
async def test_paintings_of_the_main_screens(
    sitting: Sitting, press: Press, monkeypatch: pytest.MonkeyPatch, theme: Theme
) -> None:
    """You should see: each run of text with its colours and weight; in none, only weight, line and reverse."""
    if theme == "none":
        monkeypatch.setenv("NO_COLOR", "1")
    else:
        sitting.settings = replace(sitting.settings, theme=theme)
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        app.screen.query_one("#query", Input).cursor_blink = False
        await pilot.press(*"531")
        await pilot.pause()
        assert_as_painted(app, f"patterns-531-80x24-{theme}")
        await practise(app, pilot, sitting, press)
        assert_as_painted(app, f"practice-531-80x24-{theme}")
    assert app.failure is None
