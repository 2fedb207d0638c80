"""What the exercises opened from Setup share: a steady beat, the pedal, and what to do and what was measured.

Whoever presses stands where they practise, so what to do is one large word and what was measured a number as large as
its room; the lines below are for reading near by.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from textual.app import ComposeResult
from textual.binding import ActiveBinding
from textual.widgets import Static

from trainer.audio.outputs.silent_device import SilentDevice
from trainer.audio.performance import Performance
from trainer.audio.player import PerformanceChange, change_of_take
from trainer.audio.transport import SILENCE
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.keyline import KeyLine
from trainer.screens.parts.large import BigNumber, BigWord
from trainer.siteswap.grammar import parse
from trainer.timing.score import Score

TEMPO_BPM = Fraction(100)
ONCE_FOUND = "Enter"
UNHEARD = (
    "Nothing is heard: the output is silent, so there is nothing to measure. Choose another output in setup, or see "
    "“throwbeat check”."
)
TAKE = -1
"""The take of the exercise's own performance; takes of tries are positive."""


class ExerciseScreen(BaseScreen):
    """A screen with a steady beat. HEAD: its title. TICK_S: how often `tick` is called.

    VERB: a word for what to do until there is a figure.
    """

    HEAD = ""
    VERB = ""
    TICK_S = 0.1
    VERTICAL_BREAKPOINTS = [(0, "-short"), (23, "-tall")]  # noqa: RUF012 (the library's own way to declare them)

    def compose(self) -> ComposeResult:
        yield Static(self.HEAD, id="title")
        yield BigWord(id="word")
        yield BigNumber(id="count")
        yield Static(id="taps")
        yield Static(id="notice", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        if self.sitting.session is not None:
            self.sitting.session.leave(self.sitting.clock())  # written down; it can go on afterwards
        self.start_beat()
        self.set_interval(self.TICK_S, self.tick)
        self.put_lines()

    def on_unmount(self) -> None:
        self.sitting.transport.post(lambda _scene, _at_frame: SILENCE)

    def start_beat(self) -> None:
        """Begin the beat, from its first click on."""
        beat = Performance.steady(Score(parse("3")), TEMPO_BPM, self.sitting.bank(), take=TAKE)
        beat.prepare()
        self.sitting.transport.post(lambda _, at_frame: beat.later(at_frame))

    def change_beat(self, change: PerformanceChange) -> None:
        """Change the beat from the next block on."""
        self.sitting.transport.post(change_of_take(TAKE, change))

    def tick(self) -> None:
        """Do what the time asks for. A timer calls this."""
        self.show_trouble()

    def lines(self) -> list[str]:
        """What to do, and what was found so far."""
        raise NotImplementedError

    def left(self) -> int:
        """How many more presses it takes until there is a figure."""
        raise NotImplementedError

    def found_ms(self) -> float | None:
        """What Enter would set, in milliseconds; None before there is a figure."""
        raise NotImplementedError

    @property
    def active_bindings(self) -> dict[str, ActiveBinding]:
        """The library's, without the key that takes the figure as long as there is none."""
        active = super().active_bindings
        if self.found_ms() is not None:
            return active
        return {
            key: each._replace(binding=replace(each.binding, show=False)) if each.binding.action == "accept" else each
            for key, each in active.items()
        }

    def put_lines(self) -> None:
        self.refresh_bindings()
        found_ms = self.found_ms()
        kind = "plain" if found_ms is None else "qualify"
        self.query_one("#word", BigWord).show(self.VERB if found_ms is None else ONCE_FOUND, kind)
        self.query_one("#count", BigNumber).show(f"{self.left() if found_ms is None else found_ms:.0f}", kind)
        is_heard = self.sitting.output.name != SilentDevice.name
        self.query_one("#taps", Static).update("\n".join(self.lines()) if is_heard else UNHEARD)
