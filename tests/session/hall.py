"""A session with everything it works with, on an output and a time of day moved by hand, and a logbook of its own."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from tests.audio.manual_output import ManualOutput
from trainer.audio.kit import DEFAULT_KIT
from trainer.audio.kitfiles import find_kit
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.performance import Performance
from trainer.audio.player import Player
from trainer.audio.synth import Bank
from trainer.audio.transport import Transport
from trainer.config import Settings
from trainer.files.places import bundled
from trainer.library.catalogue import Choice
from trainer.library.chosen import choose
from trainer.logbook.store import Logbook
from trainer.practice.guide import Guide
from trainer.records.attempt import Attempt
from trainer.session.guided import Guided, Keeper
from trainer.session.session import Session
from trainer.session.tries import Tries
from trainer.session.view import View
from trainer.siteswap.families import parse_any

MORNING = datetime(2026, 5, 4, 6, 30, tzinfo=timezone(timedelta(hours=2)))
LATENCY_S = 0.05
BANK = Bank(find_kit(DEFAULT_KIT, [bundled("sounds")]), RATE_HZ)  # its sounds are made once for all tests
TICK_S = 1 / 30


@cache
def new_logbook() -> bytes:
    """The file of a new logbook; made once, as a dozen steps of its history go into it."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "logbook.sqlite"
        Logbook.open(path, now=MORNING).close()
        return path.read_bytes()


def open_logbook(path: Path) -> Logbook:
    """The logbook at a path, a new one if there is none."""
    if not path.exists():
        path.write_bytes(new_logbook())
    return Logbook.open(path, now=MORNING)


class Hall:
    """Presses at chosen seconds, time going by in between, and what the logbook then holds."""

    def __init__(
        self,
        folder: Path,
        pattern: str,
        tempo_bpm: int = 240,
        settings: Settings | None = None,
        logbook: Logbook | None = None,
        guide: Guide | None = None,
        keeper: Keeper[Any] | None = None,
    ) -> None:
        self.transport, self.output = Transport(RATE_HZ), ManualOutput(LATENCY_S)
        self.output.open(self.transport.pull)
        self.logbook = logbook or open_logbook(folder / "logbook.sqlite")
        self.tries = Tries(self.logbook, MORNING)
        self.frame = 0
        self.settings = settings or Settings()
        self.chosen = choose(Choice(parse_any(pattern)), self.settings, Fraction(tempo_bpm))
        self.begin(Guided(guide, self.tries, keeper) if guide is not None else None)

    def begin(self, guided: Guided[Any] | None) -> None:
        """A session, led by a guide if there is one."""
        player = Player(self.transport, self.output)
        self.session = Session(self.chosen, self.settings, BANK, player, self.tries, self.time_of_day, guided)

    def time_of_day(self) -> datetime:
        return MORNING + timedelta(seconds=self.now_s)

    @property
    def now_s(self) -> float:
        return self.frame / RATE_HZ

    def to(self, second: float) -> None:
        """Let the time go by up to a second, with the screen's ticks."""
        while self.now_s < second - 1 / RATE_HZ:
            stop = min(round(second * RATE_HZ), self.frame + round(TICK_S * RATE_HZ))
            self.output.advance(stop - self.frame, block=stop - self.frame)
            self.frame = stop
            self.session.tick(self.now_s)

    def press(self, *seconds: float) -> None:
        """The pedal's key at those seconds."""
        for second in seconds:
            self.to(second)
            self.session.press(self.now_s)

    def first_beat_s(self, press_s: float) -> float:
        """When the first throw of a run is heard that was started by a press: by the settings, not by the session."""
        count_in_s = self.session.settings.count_in_beats * 60 / float(self.session.chosen.tempo_bpm)
        return press_s + count_in_s + LATENCY_S

    @property
    def view(self) -> View:
        return self.session.view(self.now_s)

    @property
    def logged(self) -> tuple[Attempt, ...]:
        return self.logbook.attempts()

    @property
    def performance(self) -> Performance:
        scene = self.transport.scene
        assert isinstance(scene, Performance)
        return scene
