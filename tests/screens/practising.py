"""A practice screen and its time, moved by the test."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from fractions import Fraction

from textual import events
from textual.pilot import Pilot

from tests.audio.manual_output import ManualOutput
from tests.screens.picture import shown
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.practice.run import RunState
from trainer.screens.app import TrainerApp
from trainer.screens.practice.screen import PracticeScreen
from trainer.screens.terminal.presses import KeyUp, RepeatedKey
from trainer.session.sitting import Sitting

Press = Callable[[Pilot[None], str, float], Awaitable[None]]
TEMPO_BPM = 240
FIRST_BEAT_S = 4 * 60 / TEMPO_BPM
"""From the press to the first throw, with the count-in out of the box; the output of the tests has no latency."""


class Hall:
    """A practice screen and its time."""

    def __init__(self, pilot: Pilot[None], sitting: Sitting, press: Press) -> None:
        self.pilot, self.sitting, self._press = pilot, sitting, press

    @property
    def screen(self) -> PracticeScreen:
        screen = self.pilot.app.screen
        assert isinstance(screen, PracticeScreen)
        return screen

    @property
    def state(self) -> RunState:
        return self.screen.session.view(self.sitting.clock()).state

    @property
    def text(self) -> str:
        return "\n".join(shown(self.pilot.app))

    async def to(self, second: float) -> None:
        """Let the time go by up to a second, and the screen draw."""
        self.pass_time(second)
        await self.pilot.pause()

    def pass_time(self, second: float) -> None:
        output = self.sitting.output
        assert isinstance(output, ManualOutput)
        output.advance(round(second * RATE_HZ) - round(output.now_s * RATE_HZ))
        self.screen.tick()

    async def press(self, key: str, at_s: float) -> None:
        """Press a key at a second."""
        self.pass_time(at_s)
        await self._press(self.pilot, key, at_s)

    async def keys(self, *script: tuple[float, str]) -> None:
        """The pedal's key by a terminal that tells it all: (second, down or repeat or up)."""
        for at_s, edge in script:
            self.pass_time(at_s)
            event = {
                "down": events.Key("space", " "),
                "repeat": RepeatedKey("space", " "),
                "up": KeyUp("space"),
            }[edge]
            event.time = at_s
            self.pilot.app.post_message(event)
        await self.pilot.pause()

    async def run(self, start_s: float, end_s: float, *more_s: float) -> None:
        """A run from a press to a press, or two, until it is at rest."""
        for at_s in (start_s, end_s, *more_s):
            await self.press("space", at_s)
        await self.to(end_s + 1)


@asynccontextmanager
async def practising(
    sitting: Sitting, press: Press, pattern: str = "3", size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Hall]:
    app = TrainerApp(sitting, sitting.library.to_choice(pattern), Fraction(TEMPO_BPM))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield Hall(pilot, sitting, press)
    if app.failure is not None:
        raise app.failure
