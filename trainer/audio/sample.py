"""A short sample of a kit, for choosing one: a few throws in a row, played only where nothing else sounds."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.audio.performance import Performance
from trainer.audio.render import PlacedSound, mix
from trainer.audio.synth import Bank, Samples, Voice
from trainer.audio.transport import SILENCE, Scene, SceneChange

PHRASE = (
    (0.0, Voice("right", 3, "R")),
    (0.25, Voice("left", 3, "L")),
    (0.5, Voice("right", 5, "R")),
    (0.75, Voice("qualify")),
)
"""Seconds from the start, and what is heard then: both hands, a higher throw, a goal."""


@dataclass(frozen=True, slots=True)
class Sample:
    """The scene of a few sounds, each at a frame of the stream, in the order of their frames."""

    bank: Bank
    placed: tuple[PlacedSound, ...]

    def render(self, start_frame: int, frames: int) -> Samples:
        """Those frames of the stream: float32 (frames, 2). Pure."""
        return mix(self.placed, self.bank, start_frame, frames)


def sample_change(bank: Bank) -> SceneChange:
    """What to post to a transport to have a kit's sample heard; a run under way is left as it is.

    The sample becomes part of a run that has ended, because the beats of that run may still be asked for.
    """
    bank.prepare(voice for _, voice in PHRASE)

    def play(scene: Scene, at_frame: int) -> Scene:
        placed = tuple(PlacedSound(at_frame + round(second * bank.rate_hz), voice) for second, voice in PHRASE)
        if isinstance(scene, Performance):
            return scene if scene.stop_frame is None else scene.with_cues(placed, at_frame)
        return Sample(bank, placed) if scene is SILENCE or isinstance(scene, Sample) else scene

    return play
