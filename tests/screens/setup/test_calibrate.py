"""The calibration screen: taps along with the beat become the latency, or nothing changes."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from tests.screens.picture import assert_as_pictured, shown
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.transport import SILENCE
from trainer.screens.app import TrainerApp
from trainer.screens.parts.large import BigNumber, BigWord
from trainer.screens.setup.calibrate import CalibrateScreen
from trainer.session.sitting import Sitting

Press = Callable[[Pilot[None], str, float], Awaitable[None]]
LATE_S = 0.085


async def open_it(sitting: Sitting, pilot: Pilot[None]) -> CalibrateScreen:
    await pilot.press("f2")
    await pilot.pause()
    await pilot.press("m")
    await pilot.pause()
    sitting.output.advance(RATE_HZ // 10)  # type: ignore[attr-defined]
    assert isinstance(pilot.app.screen, CalibrateScreen)
    return pilot.app.screen


async def tap_along(sitting: Sitting, pilot: Pilot[None], press: Press, taps: int) -> None:
    beat_frames = RATE_HZ * 60 // 100
    for number in range(taps):
        scene = sitting.transport.scene
        heard_s = sitting.output.heard_at_s(scene.frame_at(number))  # type: ignore[attr-defined]
        assert heard_s is not None
        await press(pilot, "space", heard_s + LATE_S)
        sitting.output.advance(beat_frames)  # type: ignore[attr-defined]


def large(screen: CalibrateScreen) -> tuple[str, str]:
    """What is to be read from afar."""
    return screen.query_one("#word", BigWord).text, screen.query_one("#count", BigNumber).text


async def test_taps_become_the_latency(sitting: Sitting, press: Press) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        before_ms = 1000 * sitting.output.latency_s
        screen = await open_it(sitting, pilot)
        await tap_along(sitting, pilot, press, 14)
        text = str(screen.query_one("#taps", Static).render())
        assert "85 ms after the click" in text
        assert "10 taps" in text
        found_ms = round(before_ms + 1000 * LATE_S)
        assert large(screen) == ("Enter", str(found_ms))
        await pilot.pause()
        assert "Enter accept" in shown(app)[-1]
        await pilot.press("enter")
        await pilot.pause()
        assert sitting.settings.latency_ms == found_ms
        assert sitting.output.latency_s == sitting.settings.latency_ms / 1000
        sitting.output.advance(RATE_HZ // 10)  # type: ignore[attr-defined]
        assert sitting.transport.scene is SILENCE


async def test_esc_and_too_few_taps_change_nothing(sitting: Sitting, press: Press) -> None:
    app = TrainerApp(sitting)
    async with app.run_test(size=(60, 20)) as pilot:
        screen = await open_it(sitting, pilot)
        await tap_along(sitting, pilot, press, 5)
        assert large(screen) == ("tap", "7")
        assert "accept" not in shown(app)[-1], "there is nothing yet"
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen is screen
        await pilot.press("escape")
        await pilot.pause()
        assert sitting.settings.latency_ms is None


@pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=["80x24", "60x20"])
async def test_picture(sitting: Sitting, press: Press, size: tuple[int, int]) -> None:
    """You should see ENTER and what it would set in tall digits, and below how late the taps come."""
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        screen = await open_it(sitting, pilot)
        await tap_along(sitting, pilot, press, 14)
        assert screen.query_one("#count").size.height >= 7, "tall enough from two metres: as in a practice at 80x24"
        assert_as_pictured(app, f"calibrate-{size[0]}x{size[1]}")
