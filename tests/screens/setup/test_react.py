"""The reaction screen: the beat breaks off at chosen moments, and presses so much later become the reaction."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from tests.audio.manual_output import ManualOutput
from tests.screens.picture import assert_as_pictured, shown
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.performance import Performance
from trainer.audio.transport import SILENCE
from trainer.practice.measured import WANTED, wait_s
from trainer.screens.app import TrainerApp
from trainer.screens.parts.large import BigNumber, BigWord
from trainer.screens.setup.react import PAUSE_S, ReactScreen
from trainer.session.sitting import Sitting

Press = Callable[[Pilot[None], str, float], Awaitable[None]]
SHARES = (0.5, 0.0, 1.0, 0.25)
LATENCY_S = 0.12


class Exercise:
    """The screen, and its time moved by hand."""

    def __init__(self, sitting: Sitting, pilot: Pilot[None], screen: ReactScreen, press: Press) -> None:
        self.sitting, self.pilot, self.screen, self._press = sitting, pilot, screen, press

    def to(self, second: float) -> None:
        output = self.sitting.output
        assert isinstance(output, ManualOutput)
        while output.now_s < second - 1 / RATE_HZ:
            output.advance(min(441, round((second - output.now_s) * RATE_HZ)))
            self.screen.tick()

    async def answer(self, after_s: float) -> None:
        """Wait for the sound and press so long after it was heard."""
        while self.screen.reaction.heard_s is None:
            self.to(self.sitting.clock() + 0.01)
        await self.press_at(self.screen.reaction.heard_s + after_s)

    async def press_at(self, second: float) -> None:
        self.to(second)
        await self._press(self.pilot, "space", second)

    @property
    def text(self) -> str:
        return str(self.screen.query_one("#taps", Static).content)

    @property
    def large(self) -> tuple[str, str]:
        """What is to be read from afar."""
        return self.screen.query_one("#word", BigWord).text, self.screen.query_one("#count", BigNumber).text


@asynccontextmanager
async def exercising(sitting: Sitting, press: Press, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Exercise]:
    sitting.output.latency_s = LATENCY_S
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        await pilot.press("f2")
        await pilot.pause()
        shares = iter(SHARES * 10)
        screen = ReactScreen(lambda: next(shares))
        app.push_screen(screen)
        await pilot.pause()
        yield Exercise(sitting, pilot, screen, press)
    if app.failure is not None:
        raise app.failure


async def test_r_opens_it_from_setup(sitting: Sitting) -> None:
    app = TrainerApp(sitting)
    async with app.run_test() as pilot:
        await pilot.press("f2", "r")
        await pilot.pause()
        assert isinstance(app.screen, ReactScreen)
        await pilot.press("escape")
        await pilot.pause()
        sitting.output.advance(RATE_HZ // 10)  # type: ignore[attr-defined]
        assert sitting.transport.scene is SILENCE


@pytest.mark.parametrize("key", ["m", "r"])
async def test_where_nothing_is_heard_there_is_nothing_to_measure(
    sitting: Sitting, key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ManualOutput, "name", "silent")
    app = TrainerApp(sitting)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f2", key)
        await pilot.pause()
        assert "Nothing is heard" in "\n".join(shown(app))


async def test_the_beat_breaks_off_at_the_moment_chosen_with_a_sound(sitting: Sitting, press: Press) -> None:
    async with exercising(sitting, press) as it:
        it.to(wait_s(SHARES[0]) - 0.05)
        scene = sitting.transport.scene
        assert isinstance(scene, Performance)
        assert (scene.cues, scene.stop_frame) == ((), None)
        it.to(wait_s(SHARES[0]) + 0.05)
        scene = sitting.transport.scene
        assert isinstance(scene, Performance)
        assert [cue.voice.role for cue in scene.cues] == ["drop"]
        assert scene.stop_frame == scene.cues[0].at_frame
        # heard when it was rendered, later by the latency
        assert it.screen.reaction.heard_s == pytest.approx(scene.cues[0].at_frame / RATE_HZ + LATENCY_S, abs=0.001)


async def test_presses_after_the_sound_become_the_reaction(sitting: Sitting, press: Press) -> None:
    async with exercising(sitting, press) as it:
        for after_s in (0.25, 0.27, 0.26, 0.9, 0.24, 0.26, 0.25, 0.27):
            await it.answer(after_s)
        assert "Your reaction takes 260 ms" in it.text
        assert "7 presses, 1 far off left out" in it.text
        assert it.large == ("Enter", "260")
        await it.pilot.press("enter")
        await it.pilot.pause()
        assert sitting.settings.reaction_s == 0.26
        assert "reaction_s = 0.26" in sitting.places.settings.read_text()
        assert it.pilot.app.screen is not it.screen


async def test_the_beat_begins_again_after_each_press(sitting: Sitting, press: Press) -> None:
    async with exercising(sitting, press) as it:
        await it.answer(0.3)
        it.to(sitting.clock() + PAUSE_S + 0.2)
        scene = sitting.transport.scene
        assert isinstance(scene, Performance)
        assert (scene.cues, scene.stop_frame) == ((), None)
        assert it.large == ("listen", "7")


async def test_guesses_and_sounds_not_answered_are_told_and_do_not_count(sitting: Sitting, press: Press) -> None:
    async with exercising(sitting, press) as it:
        await it.press_at(0.5)
        assert "Pressed too soon: 1. Not pressed: 0." in it.text
        await it.answer(0.02)
        assert "Pressed too soon: 2." in it.text
        await it.answer(0.3)
        it.to(sitting.clock() + 20)
        assert "Not pressed: 3." in it.text or "Not pressed: 4." in it.text
        assert it.large == ("listen", str(WANTED - 1))


async def test_a_held_pedal_is_one_press(sitting: Sitting, press: Press) -> None:
    async with exercising(sitting, press) as it:
        await it.answer(0.3)
        held_s = sitting.clock()
        for number in range(30):
            await it.press_at(held_s + 0.5 + number / 30)
        assert len(it.screen.reaction.times_s) == 1
        assert it.screen.reaction.guesses <= 1, "the first repeat can't be told from a press when it comes"


async def test_too_few_presses_and_esc_change_nothing(sitting: Sitting, press: Press) -> None:
    async with exercising(sitting, press, (60, 20)) as it:
        await it.answer(0.3)
        await it.pilot.press("enter")
        await it.pilot.pause()
        assert it.pilot.app.screen is it.screen
        await it.pilot.press("escape")
        await it.pilot.pause()
        assert sitting.settings.reaction_s == 0.3
    assert not sitting.places.settings.exists()


@pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=["80x24", "60x20"])
async def test_picture(sitting: Sitting, press: Press, size: tuple[int, int]) -> None:
    """You should see ENTER and the figure in tall digits; the last time, the slips, what was found, what Enter does."""
    async with exercising(sitting, press, size) as it:
        await it.press_at(0.5)
        for after_s in (0.25, 0.27, 0.26, 0.9, 0.24, 0.26, 0.25, 0.27):
            await it.answer(after_s)
        await it.pilot.pause()
        assert_as_pictured(it.pilot.app, f"react-{size[0]}x{size[1]}")
