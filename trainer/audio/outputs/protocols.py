"""What the parts of an output say to each other: who pulls, who fills, what a device must be able to do."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol, TypeAlias

from trainer.audio.arrays import np
from trainer.errors import TrainerError

if TYPE_CHECKING:
    import numpy.typing as npt

Frames: TypeAlias = "npt.NDArray[np.int16]"
"""Frames to be heard: int16, shape (frames, 2), C-contiguous."""

Pull = Callable[[int], Frames]
"""Give the next so many frames; called from the output's thread, must not raise and must not wait."""

Fill = Callable[[int, float], Frames]
"""Give a device the next so many frames, the first of which the device needs at that second of the clock."""

Clock = Callable[[], float]
"""The time in seconds, never running backwards."""


class OutputError(TrainerError):
    """Sound could not be had: why, what to do about it, and what the system's libraries said meanwhile."""

    def __init__(self, why: str, advice: str, said: str = "") -> None:
        super().__init__(f"{why} {advice}")
        self.why = why
        self.advice = advice
        self.said = said


class Device(Protocol):
    """Something that plays: it asks for frames by itself from start to stop, and can be started again."""

    @property
    def name(self) -> str:
        """Its setting's name."""

    @property
    def latency_s(self) -> float:
        """Seconds from the moment frames are needed until they are heard."""

    @property
    def said(self) -> str:
        """What the system's libraries wrote to standard error at the last start."""

    def start(self, fill: Fill, due_s: float) -> None:
        """Begin to play; `due_s` says when the next frame is due, to those that can choose. OutputError."""

    def stop(self) -> None:
        """End playing and free the device; safe at any time, any number of times."""

    def is_alive(self) -> bool:
        """Tell whether it still plays; False once the device is gone."""

    def device_name(self) -> str:
        """Name what plays, as the system calls it."""
