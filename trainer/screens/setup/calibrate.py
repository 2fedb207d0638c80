"""The calibration screen: tap along with a steady beat, and see how late the sound is for you."""

from __future__ import annotations

from trainer.audio.player import performance_of_take
from trainer.keys.names import key_to_text
from trainer.practice.measured import FEWEST_TAPS, TAPS_IGNORED, Calibration
from trainer.practice.pedal import Edge
from trainer.screens.parts.keyline import bindings_of
from trainer.screens.setup.exercise import TAKE, TEMPO_BPM, ExerciseScreen
from trainer.screens.terminal.presses import Press

LONGEST_LATENCY_MS = 2000
START = "Put the laptop where you practise. Press {pedal} with every click; the first four only find the beat."
FOUND = "Your taps come {late} (one tap: ± {spread:.0f} ms, {taps} taps)."
ACCEPT = "Enter sets the latency to {latency:.0f} ms. Go on tapping for a surer figure; Esc leaves it as it was."


class CalibrateScreen(ExerciseScreen):
    """Taps along with the beat."""

    BINDINGS = bindings_of("calibrate")
    NAME = "calibrate"
    WORD = "latency"
    HEAD = "Sound delay"
    VERB = "tap"

    def __init__(self) -> None:
        super().__init__()
        self.calibration: Calibration | None = None

    def take(self, press: Press) -> bool:
        if press.name != self.sitting.settings.pedal:
            return False
        first_beat_s = self._first_beat_s()
        if press.edge is Edge.DOWN and first_beat_s is not None:
            if self.calibration is None:
                self.calibration = Calibration(first_beat_s, float(60 / TEMPO_BPM))
            self.calibration = self.calibration.tap(press.at_s)
            self.put_lines()
        return True

    def _first_beat_s(self) -> float | None:
        beat = performance_of_take(TAKE, self.sitting.transport.scene)
        return None if beat is None else self.sitting.output.heard_at_s(beat.frame_at(0))

    def found_ms(self) -> float | None:
        """The latency that would bring taps and beats together; None before there are taps enough."""
        finding = self.calibration.finding() if self.calibration else None
        if finding is None:
            return None
        return min(max(0.0, round(1000 * (self.sitting.output.latency_s + finding.offset_s))), LONGEST_LATENCY_MS)

    def action_accept(self) -> None:
        latency_ms = self.found_ms()
        if latency_ms is None:
            self.say("Tap on until there is a figure.")
            return
        self.sitting.use(latency_ms=latency_ms)
        self.app.pop_screen()

    def left(self) -> int:
        return TAPS_IGNORED + FEWEST_TAPS if self.calibration is None else self.calibration.taps_left()

    def lines(self) -> list[str]:
        finding = self.calibration.finding() if self.calibration else None
        if finding is None:
            return [START.format(pedal=key_to_text(self.sitting.settings.pedal))]
        ms = 1000 * finding.offset_s
        late = f"{abs(ms):.0f} ms {'after' if ms >= 0 else 'before'} the click"
        return [
            FOUND.format(late=late, spread=1000 * finding.spread_s, taps=finding.taps),
            ACCEPT.format(latency=self.found_ms() or 0.0),
        ]
