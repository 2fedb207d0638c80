"""A simulated juggler who practises by a plan before a screen that is on, with nothing but the pedal, in quick time.

The clock is moved by hand, the stream is rendered and thrown away. What the run goes through is noted as it happens.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from textual import events
from textual.pilot import Pilot

from tests.audio.manual_output import ManualOutput
from trainer.audio.kitfiles import list_kits
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.transport import Transport
from trainer.config import Settings
from trainer.files.places import bundled, places
from trainer.logbook.store import Logbook
from trainer.practice.plans.run import PlanGuide
from trainer.practice.run import MOVES, RunState
from trainer.screens.app import TrainerApp
from trainer.screens.practice.screen import PracticeScreen
from trainer.session.session import Session
from trainer.session.sitting import Sitting
from trainer.session.tries import Tries
from trainer.timing.counting import beat_of_catch

NINE = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
TICK_S = 0.1
DRAWN_EVERY = 20
"""Ticks after which the screen is let draw what has changed."""

LAPSE = 0.012
"""Chance of a drop at each catch, for each object more than two (made up)."""

STEPS = {(before, after) for (before, _), after in MOVES.items()}
"""The moves of the table, and beside them only what a tap that is taken back undoes."""


@contextmanager
def sitting_at(folder: Path) -> Iterator[Sitting]:
    """A sitting without a device, with a logbook of its own, whose clock stands until its output is moved on."""
    kept = places({"THROWBEAT_HOME": str(folder)})
    transport, output = Transport(RATE_HZ), ManualOutput()
    output.open(transport.pull)
    logbook = Logbook.open(kept.logbook, now=NINE)
    sitting = Sitting(
        kept, Settings(animate=False, tour=False), list_kits((bundled("sounds"),))[0], transport, output,
        Tries(logbook, NINE), [], output.clock, lambda: NINE + timedelta(seconds=output.now_s),
    )  # fmt: skip
    sitting.apply()
    yield sitting
    sitting.close()
    logbook.close()


@dataclass
class Simulated:
    """The juggler. chance: a seeded one. moves: (state before, state after) of all that happened. presses: how many."""

    app: TrainerApp
    pilot: Pilot[None]
    chance: random.Random
    moves: list[tuple[RunState, RunState]] = field(default_factory=list)
    blocks: list[int] = field(default_factory=list)
    presses: int = 0
    _press_at_s: float | None = None
    _state: RunState = RunState.ARMED

    @property
    def output(self) -> ManualOutput:
        output = self.app.sitting.output
        assert isinstance(output, ManualOutput)
        return output

    @property
    def session(self) -> Session:
        assert isinstance(self.app.screen, PracticeScreen)
        return self.app.screen.session

    @property
    def guide(self) -> PlanGuide:
        guide = self.session.view(self.output.now_s).guide
        assert isinstance(guide, PlanGuide)
        return guide

    async def play(self, longest_s: float) -> None:
        """Until the plan is done, or so many seconds have gone by; the pedal is the only key."""
        until_s, tick = self.output.now_s + longest_s, 0
        while self.guide.task is not None and self.output.now_s < until_s:
            self._look()
            if self._press_at_s is not None and self._press_at_s <= self.output.now_s + TICK_S:
                await self._press(self._press_at_s)
            else:
                self._pass(TICK_S)
            tick += 1
            if tick % DRAWN_EVERY == 0:
                await self.pilot.pause()

    def _pass(self, seconds: float) -> None:
        self.output.advance(max(1, round(seconds * RATE_HZ)), 4410)
        self.app.screen.tick()  # type: ignore[attr-defined]
        self._note()
        if not self.blocks or self.blocks[-1] != self.guide.block:
            self.blocks.append(self.guide.block)

    async def _press(self, at_s: float) -> None:
        self._pass(at_s - self.output.now_s)
        self._press_at_s = None
        event = events.Key("space", " ")
        event.time = self.output.now_s
        self.app.post_message(event)
        await self.pilot.pause()
        self.presses += 1
        self._note()

    def _note(self) -> None:
        """Note the state if it is another than before. A state lasts for some ticks: none is missed."""
        state = self.session.view(self.output.now_s).state
        if state is not self._state:
            self.moves.append((self._state, state))
            self._state = state

    def _look(self) -> None:
        """Decide at most one press ahead: to begin, at the drop, or to leave a pause that has no end of its own."""
        view, now_s = self.session.view(self.output.now_s), self.output.now_s
        if view.state is RunState.RUNNING and self._press_at_s is None:
            catches, odds = 1, LAPSE * max(1, view.chosen.score.pattern.objects - 2)
            while self.chance.random() > odds and catches < 400:
                catches += 1
            beat = beat_of_catch(view.chosen.score, catches)
            assert beat is not None
            self._press_at_s = now_s + float(beat * 60 / view.chosen.tempo_bpm) + self.chance.gauss(0.3, 0.04)
        elif view.state in (RunState.ENDED, RunState.REST, RunState.COUNT_IN):
            self._press_at_s = None
        elif view.state is RunState.ARMED and self._press_at_s is None:
            waits = self.guide.is_pause and self.guide.since_s is not None
            if not waits:
                self._press_at_s = now_s + self.chance.uniform(0.5, 3.0)
            elif self.guide.ends_s is None:
                self._press_at_s = now_s + 20.0
        elif view.state is RunState.ARMED and self.guide.is_pause and self.guide.ends_s is not None:
            self._press_at_s = None  # the block ended while a press was meant for a try


def faults(juggler: Simulated, logbook: Logbook, run_uid: str) -> list[str]:
    """What is not as it should be after a plan was played; empty if all is."""
    found = [f"{before} became {after}" for before, after in juggler.moves if (before, after) not in STEPS]
    written, run = logbook.attempts(), logbook.plan_run(run_uid)
    begun = juggler.moves.count((RunState.COUNT_IN, RunState.RUNNING))
    ended = juggler.moves.count((RunState.ENDED, RunState.REST))
    if not begun == ended == len(written):
        found.append(f"{begun} tries were begun, {ended} ended, and {len(written)} are in the logbook")
    if min(len({each.uid for each in written}), len({each.started_at for each in written})) != len(written):
        found.append("a try is in the logbook twice")
    found += [f"try {each.id} is of run {each.plan_run_uid}" for each in written if each.plan_run_uid != run_uid]
    steps = juggler.guide.steps
    for each in written:
        choice = steps[each.block].block.choice if each.block is not None else None
        if choice is None or choice.pattern.text != each.pattern:
            found.append(f"try {each.id} of {each.pattern} is in block {each.block}")
    if [each.block for each in written] != sorted(each.block or 0 for each in written):
        found.append("the blocks of the tries are not in their order")
    if juggler.blocks != list(range(min(juggler.guide.block + 1, len(steps)))):
        found.append(f"the blocks came as {juggler.blocks}")
    for number, step in enumerate(steps):
        own = sum(each.block == number for each in written)
        if step.block.attempts is not None and own > step.block.attempts:
            found.append(f"block {number} has {own} tries of {step.block.attempts}")
    if (run.ended_at is None) is (juggler.guide.task is None):
        found.append("the run of the plan is not kept as ended")
    if juggler.app.sitting.tries.trouble or juggler.app.sitting.tries.unsaved:
        found.append("something was not saved")
    return found
