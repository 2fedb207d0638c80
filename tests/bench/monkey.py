"""A monkey at the trainer: any key, click, wheel, paste and size of the terminal, and another program beside it.

    python tests/bench/monkey.py [EVENTS] [SEEDS]      500,000 over ten seeds unless told otherwise

In quick time: the clock is moved by hand, the sound is rendered and thrown away. Events come as the terminal's reader
sends them, dozens before the screen is at rest. Beside it the logbook is restored, imported into and set right, and
plans, settings and patterns are changed, by what the commands of the line call. After each batch: the trainer goes
on, nothing was raised, no event took over a second of processor, and the logbook has every try that was told, as it was
told (`witness.Told`). A row a seed; exits with 1 if something was not as it should be. Linux alone.
"""

from __future__ import annotations

import asyncio
import gc
import os
import random
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from statistics import mean
from types import FrameType
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from textual import events
from textual.geometry import Size

from tests.audio.manual_output import ManualOutput
from tests.bench.neighbour import Neighbour
from tests.bench.soak import Forgotten, held
from tests.bench.witness import Told, WitnessedTries, is_sound
from tests.screens.rest import come_to_rest, turn
from tests.session.simulated import NINE, sitting_at
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.keys.commands import COMMANDS
from trainer.logbook.store import Logbook
from trainer.screens.app import TrainerApp
from trainer.screens.practice.screen import PracticeScreen
from trainer.screens.terminal.presses import KeyUp, RepeatedKey
from trainer.session.sitting import Sitting

BATCH = 60
MOST_EVENT_S = 1.0
MOST_GROWTH_KIB = 10_000
LEAVING = ("q", "ctrl+q", "ctrl+c")
NAMED = """up down left right home end pageup pagedown tab shift+tab enter escape backspace delete ctrl+z ctrl+x ctrl+v
ctrl+a space question_mark"""
FUNCTION_KEYS = tuple(f"f{number}" for number in range(1, 13))
TYPED = "abcdefghijklmnoprstuvwxyz0123456789[](),*!/"
OF_COMMANDS = {key for command in COMMANDS for key in command.keys}
KEYS = tuple(sorted(OF_COMMANDS.union(TYPED, NAMED.split(), FUNCTION_KEYS) - set(LEAVING)))
OFTEN = {
    "wanders": ("space", "enter", "escape", "escape", "escape", "down", "f8", "tab"),
    "practises": ("space", "space", "space", "space", "space", "x", "z", "g", "up", "5"),
}
"""What it does for a batch, and the keys it presses more often than others meanwhile."""

HOME = ("escape", "escape", "escape", "escape", "enter")
SIZES = ((80, 24), (80, 24), (80, 24), (60, 20), (120, 40), (200, 60), (1, 1), (2, 300), (1000, 1), (1000, 300))
TEXTS = ("531", "Mills Mess", "(6x,4)*", "\x1b[200~", "ひかり", "=1+1", "a\nb\r\nc", "\u202e\u200b", "9" * 1000)
LONGEST_PASTE = 1_000_000
LARGE_CELLS, LARGE_FOR = 50_000, 8
"""A terminal of so many cells is large, and is made smaller after so many events: each costs as much as fifty."""


class WatchedApp(TrainerApp):
    """Notes that it was asked to end, and by what else it ended."""

    CSS_PATH = str(ROOT / "trainer" / "screens" / "app.tcss")
    was_left = False
    ended_by = ""

    def action_leave(self) -> None:
        self.was_left = True
        super().action_leave()

    def exit(self, *result: Any, **more: Any) -> None:
        self.ended_by = self.ended_by or "".join(traceback.format_stack()[-9:])
        super().exit(*result, **more)


@dataclass
class Record:
    """What one seed came to. worst: the most processor for one event, and which that was."""

    seed: int
    events: int = 0
    starts: int = 0
    worst: tuple[float, str] = (0.0, "")
    memory_kib: list[int] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    told: Told = field(default_factory=Told)
    last: list[str] = field(default_factory=list)


@dataclass
class Monkey:
    """One seed in a home folder of its own. events: how many are to come."""

    record: Record
    home: Path
    most: int
    neighbour_every: int = 4

    def __post_init__(self) -> None:
        self.chance = random.Random(self.record.seed)
        self.lived_s, self.slow_in = 0.0, ""
        self.mood, self.large_for = "wanders", 0

    async def live(self) -> None:
        while self.record.events < self.most and not self.record.faults:
            await self._one_life()
            gc.unfreeze()  # each start freezes what is there, also what the one before has left
            await asyncio.to_thread(gc.collect)

    async def _one_life(self) -> None:
        with sitting_at(self.home) as sitting:
            output = self._prepare(sitting)
            first = sitting.library.to_choice("3") if self.chance.random() < 0.5 else None
            app = WatchedApp(sitting, first)
            self.record.starts += 1
            neighbour = Neighbour(sitting, self.chance)
            async with app.run_test(size=(80, 24)):
                await come_to_rest(app)
                while self.record.events < self.most and not self.record.faults:
                    await self._batch(app, output)
                    if app.was_left or self.record.faults:
                        break
                    if self.chance.randrange(self.neighbour_every) == 0:
                        self.record.last.append(neighbour.act())
                        self.record.faults += self._wrong(sitting)
                app.exit()
                await turn(50)
            self.lived_s = output.now_s
            self.record.faults += [f"not saved: {each}" for each in sitting.close()]
        self.record.faults += self.record.told.faults(sitting.places.logbook, set())
        if not is_sound(sitting.places.logbook):
            self.record.faults.append("the logbook is damaged")

    def _prepare(self, sitting: Sitting) -> ManualOutput:
        output = sitting.output
        assert isinstance(output, ManualOutput)
        output.now_s, output.played = self.lived_s, Forgotten()
        begun = NINE + timedelta(seconds=self.lived_s)
        sitting.tries.close()
        sitting.tries = tries = WitnessedTries(
            Logbook.open(sitting.places.logbook, now=begun), begun, sitting.notices.append
        )
        tries.told = self.record.told
        return output

    async def _batch(self, app: WatchedApp, output: ManualOutput) -> None:
        self.mood = self.chance.choice(tuple(OFTEN))
        for number in range(BATCH):
            if self.mood == "practises" and number < len(HOME):
                self._post(app, output, [_key(HOME[number])])
            else:
                self._send(app, output)
            await turn(self.chance.choice((0, 0, 1, 5, 40)))
            if self.chance.randrange(6) == 0:
                self._pass(app, output)
            self.record.events += 1
            if app.was_left or app.failure is not None:
                break
        if not app.was_left:
            await come_to_rest(app)
            for _ in range(2):  # a second of calm, twice what the app waits for
                app.tidy()
        if app.failure is not None:
            self.record.faults.append("".join(app.failure_details().splitlines(keepends=True)[-24:]))
        elif not app.is_running and not app.was_left:
            self.record.faults.append(f"the trainer ended by\n{app.ended_by}")
        else:
            self.record.faults += self._wrong(app.sitting)
        self.record.memory_kib.append(held(os.getpid(), 0.0).memory_kib)

    def _wrong(self, sitting: Sitting) -> list[str]:
        unsaved = {each.uid for each in sitting.tries.unsaved if each.uid}
        found = self.record.told.faults(sitting.places.logbook, unsaved)
        if unsaved:
            found.append(f"{len(unsaved)} tries are not saved: {sitting.tries.trouble}")
        if self.chance.randrange(20) == 0 and not is_sound(sitting.places.logbook):
            found.append("the logbook is damaged")
        return found

    def note_place(self, frame: FrameType | None) -> None:
        self.slow_in = "".join(traceback.format_stack(frame)[-9:])

    def note_step(self, took_s: float) -> None:
        """Note how much processor one step of the event loop took: so long no key is heard."""
        if took_s > self.record.worst[0]:
            self.record.worst = took_s, self.record.last[-1] if self.record.last else "the start"
        if took_s > MOST_EVENT_S:
            self.record.faults.append(
                f"a step of the event loop took {took_s:.2f} s of processor, a part of it in\n{self.slow_in}"
            )

    def _pass(self, app: WatchedApp, output: ManualOutput) -> None:
        """Let time go by, for a practice at the top in ticks, as its timer does."""
        for _ in range(self.chance.choice((1, 1, 3, 12))):
            output.advance(RATE_HZ // 5, 4410)
            if isinstance(app.screen, PracticeScreen) and not app.screen.gone and app.screen.is_mounted:
                app.screen.tick()

    # -- what it does ---------------------------------------------------------------------------------------

    def _send(self, app: WatchedApp, output: ManualOutput) -> None:
        if self.large_for:
            self.large_for -= 1
            if not self.large_for:
                return self._post(app, output, [events.Resize(Size(80, 24), Size(80, 24))])
        kind = self.chance.choices((self._key, self._hold, self._mouse, self._paste, self._resize, self._leave),
                                   (75, 6, 14, 2, 0.8, 0.03))[0]  # fmt: skip
        return self._post(app, output, kind())

    def _post(self, app: WatchedApp, output: ManualOutput, sent: list[events.Event]) -> None:
        for event in sent:
            event.time = output.now_s + self.chance.uniform(0, 0.02)
            if isinstance(event, events.Resize) and app._driver is not None:
                app._driver._size = event.size
            app.post_message(event)
        what = f"{type(sent[0]).__name__} {str(getattr(sent[0], 'key', getattr(sent[0], 'size', '')))[:20]}"
        self.record.last = [
            *self.record.last[-300:],
            f"{type(app.screen).__name__ if app.screen_stack else ''}: {what}",
        ]

    def _key(self) -> list[events.Event]:
        return [_key(self.chance.choice(OFTEN[self.mood] if self.chance.random() < 0.5 else KEYS))]

    def _hold(self) -> list[events.Event]:
        key = self.chance.choice(("space", "space", "f5", "enter", "left", "x"))
        held_keys = [RepeatedKey(key, " " if key == "space" else None) for _ in range(self.chance.randrange(30))]
        return [_key(key), *held_keys, *([KeyUp(key)] if self.chance.random() < 0.8 else [])]

    def _leave(self) -> list[events.Event]:
        return [_key(self.chance.choice(LEAVING))]

    def _mouse(self) -> list[events.Event]:
        x, y = self.chance.randrange(-1, 90), self.chance.choice((self.chance.randrange(-1, 40), 23, 23))
        button = self.chance.choice((1, 1, 1, 2, 3))
        down, up = events.MouseDown, events.MouseUp
        wheel = (events.MouseScrollUp,), (events.MouseScrollDown,)
        kinds = self.chance.choice(
            ((down, up), (down, up), (down, up, down, up), (down,), (up,), (events.MouseMove,), *wheel)
        )
        return [kind(None, x, y, 0, 0, button, False, False, False, screen_x=x, screen_y=y) for kind in kinds]

    def _paste(self) -> list[events.Event]:
        length = LONGEST_PASTE if self.chance.random() < 0.05 else self.chance.choice((1, 5, 100, 10_000))
        text = self.chance.choice(TEXTS)
        return [events.Paste((text * (length // len(text) + 1))[: max(length, len(text))])]

    def _resize(self) -> list[events.Event]:
        size = Size(*self.chance.choice(SIZES))
        self.large_for = LARGE_FOR if size.area > LARGE_CELLS else 0
        return [events.Resize(size, size)]


@contextmanager
def timed(note: Callable[[float], None]) -> Iterator[None]:
    """Have each step of event loops measured, in seconds of processor."""
    run = asyncio.Handle._run

    def run_timed(handle: asyncio.Handle) -> None:
        began_s = time.thread_time()
        signal.setitimer(signal.ITIMER_PROF, MOST_EVENT_S / 2)
        run(handle)
        note(time.thread_time() - began_s)

    asyncio.Handle._run = run_timed  # type: ignore[assignment, method-assign]
    try:
        yield
    finally:
        asyncio.Handle._run = run  # type: ignore[method-assign]
        signal.setitimer(signal.ITIMER_PROF, 0)


def _key(key: str) -> events.Key:
    return events.Key(key, " " if key == "space" else key if len(key) == 1 else None)


async def play(seed: int, most: int, home: Path) -> Record:
    """So many events of one seed, in a home folder that THROWBEAT_HOME names too."""
    monkey = Monkey(Record(seed), home, most)
    before = signal.signal(signal.SIGPROF, lambda _, frame: monkey.note_place(frame))
    try:
        with timed(monkey.note_step):
            await monkey.live()
    finally:
        signal.signal(signal.SIGPROF, before)
        gc.unfreeze()
    return monkey.record


HEADS = ("seed", "events", "starts", "tries", "in file", "worst s", "memory KiB", "processor s")


def told(record: Record, took_s: float) -> None:
    """Print the row of a seed, and what was wrong with what came before it."""
    worst_s, what = record.worst
    row = (record.seed, record.events, record.starts, record.told.tries, len(record.told.rows), round(worst_s, 2),
           record.memory_kib[-1], round(took_s))  # fmt: skip
    print("".join(f"{each:>12,}" for each in row), f"  worst: {what}", flush=True)
    if record.faults:
        print(*record.faults[:3], "after", *record.last[-60:], sep="\n    ")


def main() -> None:
    most = int(sys.argv[1]) if len(sys.argv) > 1 else 500_000
    seeds = int(sys.argv[2]) if len(sys.argv) > 2 else 10
    print("".join(f"{each:>12}" for each in HEADS))
    good, memory_kib = True, list[int]()
    for seed in range(seeds):
        began_s = time.process_time()
        with tempfile.TemporaryDirectory() as home:
            os.environ["THROWBEAT_HOME"] = home
            record = asyncio.run(play(seed, most // seeds, Path(home)))
        told(record, time.process_time() - began_s)
        memory_kib += record.memory_kib
        good = good and not record.faults
    quarter = max(1, len(memory_kib) // 4)
    growth_kib = round(mean(memory_kib[-quarter:]) - mean(memory_kib[-2 * quarter : -quarter] or memory_kib))
    print(f"memory, the last quarter less the one before: {growth_kib:+,} KiB")
    sys.exit(0 if good and growth_kib <= MOST_GROWTH_KIB else 1)


if __name__ == "__main__":
    main()
