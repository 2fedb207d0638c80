"""A little sample of a kit, for choosing one: a few throws in a row, played only where nothing else sounds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.audio.arrays import np
from trainer.audio.performance import Performance
from trainer.audio.render import Placed, mix
from trainer.audio.synth import Bank, Voice
from trainer.audio.transport import SILENCE, Scene, SceneChange

if TYPE_CHECKING:
    from numpy.typing import NDArray

PHRASE = (
    (0.0, Voice("right", 3, "R")),
    (0.25, Voice("left", 3, "L")),
    (0.5, Voice("right", 5, "R")),
    (0.75, Voice("qualify")),
)
"""Seconds from the start, and what is heard then: both hands, a higher throw, a goal."""


@dataclass(frozen=True, slots=True)
class Sample:
    """The scene of a sample that began at a frame of the stream."""

    bank: Bank
    placed: tuple[Placed, ...]

    def render(self, start_frame: int, frames: int) -> NDArray[np.float32]:
        """Those frames of the stream: float32 (frames, 2), pure."""
        return mix(self.placed, self.bank, start_frame, frames)


def sample_command(bank: Bank) -> SceneChange:
    """What to post to a transport to have a kit's sample heard; a run under way is left as it is.

    A run that has ended keeps its scene, because its beats may still be asked for: the sample becomes part of it.
    """
    bank.prepare(voice for _, voice in PHRASE)

    def play(scene: Scene, at_frame: int) -> Scene:
        placed = tuple(Placed(at_frame + round(second * bank.rate_hz), voice) for second, voice in PHRASE)
        if isinstance(scene, Performance):
            if scene.stop_frame is None:
                return scene
            for sound in placed:
                scene = scene.with_cue(sound.voice, sound.at_frame)
            return scene
        return Sample(bank, placed) if scene is SILENCE or isinstance(scene, Sample) else scene

    return play
