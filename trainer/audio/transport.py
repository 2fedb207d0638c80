"""The transport: owns the stream, applies what the screen asks for, and says what is being heard now.

The output's thread calls `pull`; the screen's thread calls the rest. They share a deque and whole-value
attributes, no locks: a command is a pure function that is applied between two blocks, so it can't race with
frames already rendered.

A scene that fails is heard no more, nor is any that follows it. It stays in its place all the same: which beat it
would be is known by the clock, and a run is counted to its end.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from math import floor
from typing import TYPE_CHECKING, Protocol

from trainer.audio.arrays import np

if TYPE_CHECKING:
    import numpy.typing as npt


RAMP_S = 0.05
"""A new gain is reached over this long: no jump to be heard."""


class Scene(Protocol):
    """What sounds: immutable, so that it can be replaced but never changed under the renderer."""

    def render(self, start_frame: int, frames: int) -> npt.NDArray[np.float32]:
        """Give `frames` frames from frame `start_frame` of the stream: float32 (frames, 2) within ±1, pure."""


SceneChange = Callable[[Scene, int], Scene]
"""Give the scene that follows the scene, from a frame on; pure, run in the output's thread, must be quick."""


@dataclass(frozen=True, slots=True)
class Silence:
    """The scene in which nothing sounds."""

    def render(self, start_frame: int, frames: int) -> npt.NDArray[np.float32]:
        """Give zeros: float32 (frames, 2)."""
        return np.zeros((frames, 2), np.float32)


SILENCE = Silence()


@dataclass(frozen=True, slots=True)
class StreamMoment:
    """One instant of the stream, as the frame being heard and as the second since frame 0."""

    frame: int
    second: float


@dataclass(frozen=True, slots=True)
class GainRamp:
    """A gain that goes in a straight line from one value to another and stays there; a function of the frame."""

    at_frame: int
    before: float
    after: float
    frames: int

    def gain_at(self, frame: int) -> float:
        """Give the factor at one frame."""
        return float(self.gains(frame, 1)[0])

    def gains(self, start_frame: int, frames: int) -> npt.NDArray[np.float32]:
        """Give the factors of `frames` frames: float32 (frames,)."""
        done = np.clip((np.arange(start_frame, start_frame + frames) - self.at_frame) / self.frames, 0.0, 1.0)
        # Weighed so that the end is `after` to the bit, whether it falls within a block or between two.
        return (self.before * (1.0 - done) + self.after * done).astype(np.float32)

    def is_over(self, frame: int) -> bool:
        """Tell whether the gain stands still from this frame on."""
        return frame >= self.at_frame + self.frames


class HeardFrame(Protocol):
    """What the transport needs of an output."""

    def heard_frame(self, now_s: float) -> float | None:
        """Give the frame heard at a second of the clock, None before the stream began."""


class Transport:
    """Renders the stream block by block; give its `pull` to an output, then `follow` that output."""

    def __init__(self, rate_hz: int) -> None:
        self.rate_hz = rate_hz
        self.scene: Scene = SILENCE
        self.rendered_frame = 0
        self.failure: Exception | None = None
        self._commands: deque[SceneChange] = deque()
        self._output: HeardFrame | None = None
        self._wanted_gain = 1.0
        ramp_frames = round(RAMP_S * rate_hz)
        self._ramp = GainRamp(-ramp_frames, 1.0, 1.0, ramp_frames)

    # -- for the screen -------------------------------------------------------------------------------------

    def follow(self, output: HeardFrame) -> None:
        """Take the time from the output that pulls this stream."""
        self._output = output

    def post(self, command: SceneChange) -> None:
        """Have a command applied at the start of the next block; commands keep their order."""
        self._commands.append(command)

    def moment(self, now_s: float) -> StreamMoment:
        """Give what is heard at a second of the output's clock; frame 0 before there is anything to hear."""
        heard = self._output.heard_frame(now_s) if self._output is not None else None
        frame = max(0, floor(heard)) if heard is not None else 0
        return StreamMoment(frame, frame / self.rate_hz)

    @property
    def gain(self) -> float:
        """The factor on everything that sounds, 0 to 1; a new one is reached over RAMP_S. Raise ValueError."""
        return self._wanted_gain

    @gain.setter
    def gain(self, gain: float) -> None:
        if not 0.0 <= gain <= 1.0:
            raise ValueError(f"gain was {gain}; it lies from 0 to 1")
        self._wanted_gain = gain

    # -- for the output's thread ----------------------------------------------------------------------------

    def pull(self, frames: int) -> npt.NDArray[np.int16]:
        """Give the next frames of the stream: int16 (frames, 2), C-contiguous; silence after a failure."""
        start_frame = self.rendered_frame
        self._turn_gain(start_frame)
        block = np.zeros((frames, 2), np.int16)
        try:
            self._apply_commands(start_frame)
            if self.failure is None:
                block = self._to_int16(self.scene.render(start_frame, frames), start_frame, frames)
        except Exception as failure:  # noqa: BLE001 - a scene may fail in any way; kept, and shown by the screen
            self.failure = self.failure or failure
        self.rendered_frame = start_frame + frames
        return block

    def _apply_commands(self, at_frame: int) -> None:
        # Only those posted by now: a screen that posts without end must not hold the block up.
        for _ in range(len(self._commands)):
            self.scene = self._commands.popleft()(self.scene, at_frame)

    def _turn_gain(self, at_frame: int) -> None:
        wanted = self._wanted_gain
        if wanted != self._ramp.after:
            self._ramp = GainRamp(at_frame, self._ramp.gain_at(at_frame), wanted, self._ramp.frames)

    def _to_int16(self, block: npt.NDArray[np.float32], start_frame: int, frames: int) -> npt.NDArray[np.int16]:
        if block.shape != (frames, 2):
            raise ValueError(f"a scene gave a block of shape {block.shape} where ({frames}, 2) was asked for")
        if not np.isfinite(block).all():
            raise ValueError(f"a scene gave a sample that is no number, at or after frame {start_frame}")
        level: npt.NDArray[np.float32] | np.float32 = np.float32(self._ramp.after)
        if not self._ramp.is_over(start_frame):
            level = self._ramp.gains(start_frame, frames)[:, np.newaxis]
        # Beyond full scale stays at full scale: int16 would wrap round to the other end.
        return np.ascontiguousarray(np.rint(np.clip(block * level, -1.0, 1.0) * 32767.0).astype(np.int16))
