"""The calibration screen: tap along with a steady beat, and see how late the sound is for you."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from textual.app import ComposeResult
from textual.widgets import Footer, Static

from trainer.audio.outputs import RATE_HZ
from trainer.audio.performance import Performance
from trainer.audio.transport import SILENCE, Scene
from trainer.keys import key_to_text
from trainer.practice.calibration import Calibration
from trainer.practice.pedal import Edge
from trainer.screens.base import DeskScreen
from trainer.screens.commands import bindings_of
from trainer.screens.presses import Press
from trainer.siteswap.grammar import parse
from trainer.timing.score import Score
from trainer.timing.tempo import TempoMap

TEMPO_BPM = Fraction(100)
LONGEST_LATENCY_MS = 2000
TAKE = -1
"""The calibration's own performance: no attempt has this number."""


@dataclass(frozen=True, slots=True)
class Words:
    """What the screen says before, while and after the taps."""

    start = "Put the laptop where you practise. Press {pedal} with every click; the first four only find the beat."
    more = "{left} more …"
    found = "Your taps come {late} (one tap: ± {spread:.0f} ms, {taps} taps)."
    accept = "Enter sets the latency to {latency:.0f} ms. Go on tapping for a surer figure; Esc leaves it as it was."


class CalibrateScreen(DeskScreen):
    """A steady beat, and the pedal."""

    BINDINGS = bindings_of("calibrate")
    NAME = "calibrate"

    def __init__(self) -> None:
        super().__init__()
        self.calibration: Calibration | None = None

    def compose(self) -> ComposeResult:
        yield Static("Sound delay", id="title")
        yield Static(id="taps")
        yield Static(id="notice", markup=False)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        if self.desk.session is not None:
            self.desk.session.leave(self.desk.clock())  # written down; it can go on afterwards
        bank = self.desk.bank()
        score = Score(parse("3"))
        performance = Performance(score, TempoMap.steady(TEMPO_BPM), bank, Fraction(0), take=TAKE)
        performance.prepare()

        def start(_: Scene, at_frame: int) -> Scene:
            return Performance(score, TempoMap.steady(TEMPO_BPM), bank, Fraction(at_frame, RATE_HZ), take=TAKE)

        self.desk.transport.post(start)
        self.set_interval(0.1, self.show_trouble)
        self._show()

    def on_unmount(self) -> None:
        self.desk.transport.post(lambda _scene, _at_frame: SILENCE)

    def take(self, press: Press) -> bool:
        if press.name != self.desk.settings.pedal:
            return False
        first_beat_s = self._first_beat_s()
        if press.edge is Edge.DOWN and first_beat_s is not None:
            if self.calibration is None:
                self.calibration = Calibration(first_beat_s, float(60 / TEMPO_BPM))
            self.calibration = self.calibration.tap(press.at_s)
            self._show()
        return True

    def _first_beat_s(self) -> float | None:
        scene = self.desk.transport.scene
        if not isinstance(scene, Performance) or scene.take != TAKE:
            return None
        return self.desk.output.heard_at_s(scene.frame_at(0))

    def latency_ms(self) -> float | None:
        """The latency that would bring taps and beats together; None before there are taps enough."""
        finding = self.calibration.finding() if self.calibration else None
        if finding is None:
            return None
        return min(max(0.0, round(1000 * (self.desk.output.latency_s + finding.offset_s))), LONGEST_LATENCY_MS)

    def action_accept(self) -> None:
        latency_ms = self.latency_ms()
        if latency_ms is None:
            self.say("Tap on until there is a figure.")
            return
        self.desk.use(latency_ms=latency_ms)
        self.app.pop_screen()

    def action_back(self) -> None:
        self.app.pop_screen()

    def _show(self) -> None:
        lines = [Words.start.format(pedal=key_to_text(self.desk.settings.pedal)), ""]
        if self.calibration is not None:
            finding = self.calibration.finding()
            if finding is None:
                lines.append(Words.more.format(left=self.calibration.taps_left()))
            else:
                ms = 1000 * finding.offset_s
                late = f"{abs(ms):.0f} ms {'after' if ms >= 0 else 'before'} the click"
                lines.append(Words.found.format(late=late, spread=1000 * finding.spread_s, taps=finding.taps))
                lines.append(Words.accept.format(latency=self.latency_ms() or 0.0))
        self.query_one("#taps", Static).update("\n".join(lines))
