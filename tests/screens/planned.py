"""The plans screen and its time, and a plan for a Tuesday."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager

from textual.pilot import Pilot

from tests.audio.manual_output import ManualOutput
from tests.screens.picture import shown
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.practice.plans.run import PlanGuide
from trainer.practice.run import RunState
from trainer.screens.app import TrainerApp
from trainer.screens.plans.screen import PlansScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.session.sitting import Sitting

Press = Callable[[Pilot[None], str, float], Awaitable[None]]
TUESDAY = """\
name = "Tuesday"
for = "Somebody made up."

[[block]]
kind = "pattern"
pattern = "3"
tempo = 240
attempts = 2
say = "Tall and even."

[[block]]
kind = "rest"
minutes = 1
say = "Water."

[[block]]
kind = "judged"
pattern = "5"
attempts = 2
minutes = 5

[[block]]
kind = "free"
"""


class Hall:
    """The screens and their time."""

    def __init__(self, app: TrainerApp, pilot: Pilot[None], press: Press) -> None:
        self.app, self.pilot, self._press = app, pilot, press

    @property
    def text(self) -> str:
        return "\n".join(shown(self.app))

    @property
    def page(self) -> str:
        """What is beside the list, in one line."""
        return " ".join(line.split("│")[-1].strip() for line in self.text.splitlines())

    @property
    def output(self) -> ManualOutput:
        output = self.app.sitting.output
        assert isinstance(output, ManualOutput)
        return output

    @property
    def guide(self) -> PlanGuide:
        assert isinstance(self.app.screen, PracticeScreen)
        guide = self.app.screen.session.view(self.output.now_s).guide
        assert isinstance(guide, PlanGuide)
        return guide

    @property
    def state(self) -> RunState:
        assert isinstance(self.app.screen, PracticeScreen)
        return self.app.screen.session.view(self.output.now_s).state

    async def keys(self, *keys: str) -> None:
        for key in keys:
            await self.pilot.press(key)
            await self.pilot.pause()

    async def to(self, second: float) -> None:
        """Let the time go by with the ticks of a practice."""
        while self.output.now_s < second - 1e-6:
            self.output.advance(min(RATE_HZ // 10, round((second - self.output.now_s) * RATE_HZ)), 4410)
            if isinstance(self.app.screen, PracticeScreen):
                self.app.screen.tick()
        await self.pilot.pause()

    async def pedal(self, at_s: float) -> None:
        await self.to(at_s)
        await self._press(self.pilot, "space", at_s)

    async def choose(self, label: str) -> None:
        """Put the cursor on a plan."""
        assert isinstance(self.app.screen, PlansScreen)
        labels = [item.label for item in self.app.screen.items]
        await self.keys("home", *["down"] * next(n for n, each in enumerate(labels) if label in each))


@asynccontextmanager
async def plans(sitting: Sitting, press: Press, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Hall]:
    app = TrainerApp(sitting)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        hall = Hall(app, pilot, press)
        await hall.keys("f7")
        yield hall
    if app.failure is not None:
        raise app.failure
