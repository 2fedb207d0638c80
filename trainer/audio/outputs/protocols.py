"""What the parts of an output say to each other: who pulls, who fills, and what a device must be able to do."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol, TypeAlias

from trainer.audio.arrays import np
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from numpy.typing import NDArray

Pcm: TypeAlias = "NDArray[np.int16]"
"""Samples as a device takes them: int16, shape (frames, 2), C-contiguous."""

Pull = Callable[[int], Pcm]
"""Gives the next so many frames of the stream. The output's thread calls it; it must not raise and must not wait."""

Fill = Callable[[int, float], Pcm]
"""Gives a device the next so many frames, the first of which the device needs at that second of the clock."""

BUFFER_MS = 100
"""How much sound is kept ahead unless the user sets it: see the decision in outputs/__init__.py."""

Clock = Callable[[], float]
"""The time in seconds; it never runs backwards."""


class OutputError(TrainerError):
    """Sound could not be had: why, what to do about it, and what the system's libraries wrote meanwhile."""

    def __init__(self, why: str, advice: str, said: str = "") -> None:
        super().__init__(f"{why} {advice}")
        self.why = why
        self.advice = advice
        self.said = said


class Device(Protocol):
    """Something that plays: from start to stop it asks for frames by itself, and it can be started again."""

    @property
    def name(self) -> str:
        """The value of the output setting that chooses it."""

    @property
    def latency_s(self) -> float:
        """Seconds from the moment a frame is needed until it is heard."""

    @property
    def said(self) -> str:
        """What the system's libraries wrote to standard error at the last start that succeeded."""

    def start(self, fill: Fill, due_s: float) -> None:
        """Begin to play; a device that can choose asks for the next frame at second `due_s`. Raises OutputError."""

    def stop(self) -> None:
        """End playing and free the device; allowed at any time, any number of times."""

    def is_alive(self) -> bool:
        """Whether it still plays; False once the device is gone."""

    def device_name(self) -> str:
        """The name of what plays, as the system has it."""
