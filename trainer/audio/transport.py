"""The transport: renders the stream block by block and applies, between two blocks, what the screen asked for.

The output's thread calls `pull`; the screen's thread calls the rest. They share a deque and attributes that are
replaced whole, and no lock.

A scene that fails is silenced, and so is every scene after it. It stays in its place all the same, so that the beat it
would be at is still known and a run is counted to its end.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from trainer.audio.arrays import np

if TYPE_CHECKING:
    from numpy.typing import NDArray

RAMP_S = 0.05
"""A new gain is reached over this long, so that no jump is heard."""


class Scene(Protocol):
    """What sounds: immutable, so that it can be replaced but never changed while it is being rendered."""

    def render(self, start_frame: int, frames: int) -> NDArray[np.float32]:
        """`frames` frames from frame `start_frame` of the stream: float32 (frames, 2) within ±1. Pure."""


SceneChange = Callable[[Scene, int], Scene]
"""Gives the scene that follows a scene from a frame on. It is pure, runs in the output's thread and must be quick."""


@dataclass(frozen=True, slots=True)
class Silence:
    """The scene in which nothing sounds."""

    def render(self, start_frame: int, frames: int) -> NDArray[np.float32]:
        """Zeros: float32 (frames, 2)."""
        return np.zeros((frames, 2), np.float32)


SILENCE = Silence()


@dataclass(frozen=True, slots=True)
class GainRamp:
    """A gain that goes in a straight line from one value to another and stays there; a function of the frame."""

    at_frame: int
    before: float
    after: float
    frames: int

    def gains(self, start_frame: int, frames: int) -> NDArray[np.float32]:
        """The factors of `frames` frames: float32 (frames,)."""
        done = np.clip((np.arange(start_frame, start_frame + frames) - self.at_frame) / self.frames, 0.0, 1.0)
        # Weighed so that the end is `after` to the bit, whether it falls within a block or between two.
        return (self.before * (1.0 - done) + self.after * done).astype(np.float32)

    def is_over(self, frame: int) -> bool:
        """Whether the gain stands still from this frame on."""
        return frame >= self.at_frame + self.frames


class Transport:
    """Renders one stream; an output pulls it by `pull`.

    scene: what sounds at present. rendered_frame: the frame that is rendered next. failure: the first error of a
    scene or a change, None while all is well.
    """

    def __init__(self, rate_hz: int) -> None:
        self.scene: Scene = SILENCE
        self.rendered_frame = 0
        self.failure: Exception | None = None
        self._changes: deque[SceneChange] = deque()
        self._wanted_gain = 1.0
        ramp_frames = round(RAMP_S * rate_hz)
        self._ramp = GainRamp(-ramp_frames, 1.0, 1.0, ramp_frames)

    # -- for the screen -------------------------------------------------------------------------------------

    def post(self, change: SceneChange) -> None:
        """Have a change applied at the start of the next block; changes keep their order."""
        self._changes.append(change)

    @property
    def gain(self) -> float:
        """The factor on everything that sounds, 0 to 1, else ValueError; a new one is reached over RAMP_S."""
        return self._wanted_gain

    @gain.setter
    def gain(self, gain: float) -> None:
        if not 0.0 <= gain <= 1.0:
            raise ValueError(f"gain was {gain}; it lies from 0 to 1")
        self._wanted_gain = gain

    # -- for the output's thread ----------------------------------------------------------------------------

    def pull(self, frames: int) -> NDArray[np.int16]:
        """The next frames of the stream: int16 (frames, 2), C-contiguous; silence after a failure."""
        start_frame = self.rendered_frame
        self._turn_gain(start_frame)
        block = np.zeros((frames, 2), np.int16)
        try:
            self._apply_changes(start_frame)
            if self.failure is None:
                block = self._to_int16(self.scene.render(start_frame, frames), start_frame, frames)
        except Exception as failure:  # noqa: BLE001 - a scene may fail in any way; kept, and shown by the screen
            self.failure = self.failure or failure
        self.rendered_frame = start_frame + frames
        return block

    def _apply_changes(self, at_frame: int) -> None:
        # Only those posted by now: a screen that posts without end must not hold the block up.
        for _ in range(len(self._changes)):
            self.scene = self._changes.popleft()(self.scene, at_frame)

    def _turn_gain(self, at_frame: int) -> None:
        wanted = self._wanted_gain
        if wanted != self._ramp.after:
            self._ramp = GainRamp(at_frame, float(self._ramp.gains(at_frame, 1)[0]), wanted, self._ramp.frames)

    def _to_int16(self, block: NDArray[np.float32], start_frame: int, frames: int) -> NDArray[np.int16]:
        if block.shape != (frames, 2):
            raise ValueError(f"a scene gave a block of shape {block.shape} where ({frames}, 2) was asked for")
        if not np.isfinite(block).all():
            raise ValueError(f"a scene gave a sample that is no number, at or after frame {start_frame}")
        level: NDArray[np.float32] | np.float32 = np.float32(self._ramp.after)
        if not self._ramp.is_over(start_frame):
            level = self._ramp.gains(start_frame, frames)[:, np.newaxis]
        # Samples beyond full scale are held there: as int16 they would wrap round to the other end.
        return np.ascontiguousarray(np.rint(np.clip(block * level, -1.0, 1.0) * 32767.0).astype(np.int16))
