"""The reaction screen: the beat breaks off when nobody expects it; how long until the pedal is pressed?"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from random import Random

from trainer.audio.performance import CUES, Performance
from trainer.audio.render import PlacedSound
from trainer.audio.synth import Voice
from trainer.keys.names import key_to_text
from trainer.practice.measured import Reaction, wait_s
from trainer.practice.pedal import Edge, Meant, Pedal
from trainer.screens.parts.keyline import bindings_of
from trainer.screens.setup.exercise import ExerciseScreen
from trainer.screens.terminal.presses import Press

PAUSE_S = 0.8
"""From the press, or a sound that was missed, to the next beat."""


START = (
    "Stand as you practise, foot by the pedal. A beat runs. When it breaks off with a sound, press {pedal} "
    "as fast as you would at a drop. Wait for the sound: a guess does not count."
)
LAST = "Last: {ms:.0f} ms."
SLIPS = "Pressed too soon: {guesses}. Not pressed: {missed}."
FOUND = "Your reaction takes {ms:.0f} ms (one press: ± {spread:.0f} ms, {presses} presses{out})."
OUT = ", {number} far off left out"
ACCEPT = "Enter sets the reaction to {reaction:.2f} s. Go on for a surer figure; Esc leaves it as it was."


class ReactScreen(ExerciseScreen):
    """Measures how long a press takes after a sound. share: gives chance numbers from 0 to 1."""

    BINDINGS = bindings_of("react")
    NAME = "react"
    WORD = "reaction time"
    HEAD = "Reaction"
    VERB = "listen"
    TICK_S = 0.02

    def __init__(self, share: Callable[[], float] | None = None) -> None:
        super().__init__()
        self._share = share or Random().random
        self.reaction = Reaction()
        self._pedal = Pedal()
        self._sounds_at_s: float | None = None  # of the clock: the beat breaks off then
        self._begins_at_s: float | None = None  # and begins again then
        self._sound_frames: deque[int] = deque()  # filled by the thread that renders

    def on_mount(self) -> None:
        self._await_sound()

    def _await_sound(self) -> None:
        self._begins_at_s = None
        self._sounds_at_s = self.sitting.clock() + wait_s(self._share())

    def take(self, press: Press) -> bool:
        if press.name != self.sitting.settings.pedal:
            return False
        self._pedal, heard = self._pedal.press(press.at_s, press.edge)
        if heard is Meant.TAP and press.edge is Edge.DOWN and self._begins_at_s is None:
            self._hear_sounds()
            self._take_over(self.reaction.press(press.at_s))
        return True

    def tick(self) -> None:
        super().tick()
        now_s = self.sitting.clock()
        self._hear_sounds()
        self._take_over(self.reaction.step(now_s))
        if self._sounds_at_s is not None and now_s >= self._sounds_at_s:
            self._sounds_at_s = None
            self.change_beat(self._break_off)
        if self._begins_at_s is not None and now_s >= self._begins_at_s:
            self.start_beat()
            self._await_sound()

    def _break_off(self, beat: Performance, at_frame: int) -> Performance:
        """End the beat and sound what is to be heard; called by the thread that renders."""
        role = next((role for role in ("drop", *CUES) if not beat.bank.kit.is_silent(role)), "drop")
        self._sound_frames.append(at_frame)
        return beat.stopped(at_frame).with_cues((PlacedSound(at_frame, Voice(role)),), at_frame)

    def _hear_sounds(self) -> None:
        """Tell the reaction when a sound that has begun is heard, its way to the speaker included."""
        while self._sound_frames:
            heard_s = self.sitting.output.heard_at_s(self._sound_frames.popleft())
            if heard_s is not None:
                self.reaction = self.reaction.sound(heard_s)

    def _take_over(self, reaction: Reaction) -> None:
        """Take over what a press or the time has changed; after it come a pause and the next beat."""
        if reaction is not self.reaction:
            self.reaction = reaction
            self._sounds_at_s = None
            self._begins_at_s = self.sitting.clock() + PAUSE_S
            self.change_beat(lambda beat, at_frame: beat.stopped(at_frame))
            self.put_lines()

    def action_accept(self) -> None:
        finding = self.reaction.finding()
        if finding is None:
            self.say("Go on until there is a figure.")
            return
        self.sitting.use(reaction_s=round(finding.reaction_s, 2))
        self.app.pop_screen()

    def left(self) -> int:
        return self.reaction.presses_left()

    def found_ms(self) -> float | None:
        finding = self.reaction.finding()
        return None if finding is None else 1000 * finding.reaction_s

    def lines(self) -> list[str]:
        reaction, finding = self.reaction, self.reaction.finding()
        lines = [START.format(pedal=key_to_text(self.sitting.settings.pedal))] if finding is None else []
        if reaction.times_s:
            lines.append(LAST.format(ms=1000 * reaction.times_s[-1]))
        if reaction.guesses or reaction.missed:
            lines.append(SLIPS.format(guesses=reaction.guesses, missed=reaction.missed))
        if finding is not None:
            out = OUT.format(number=finding.left_out) if finding.left_out else ""
            ms, spread = 1000 * finding.reaction_s, 1000 * finding.spread_s
            lines.append(FOUND.format(ms=ms, spread=spread, presses=finding.presses, out=out))
            lines.append(ACCEPT.format(reaction=finding.reaction_s))
        return lines
