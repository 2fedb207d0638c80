"""The silent output's device: the stream goes by at its true pace and nobody hears it."""

import time

from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.outputs.protocols import Clock, Fill
from trainer.audio.outputs.ticking import Ticking

BLOCK = 1764
TICK_S = 0.04
MOST_BEHIND_S = 10.0
"""After a longer standstill (a machine put to sleep) the stream goes on from now instead of catching up."""


class SilentDevice:
    """A device that asks for frames by the clock and plays none of them."""

    name = "silent"
    latency_s = 0.0
    said = ""

    def __init__(self, clock: Clock = time.monotonic) -> None:
        self._clock = clock
        self._fill: Fill | None = None
        self._due_s = 0.0
        self._ticking: Ticking | None = None

    def start(self, fill: Fill, due_s: float) -> None:
        """Ask for every frame when it is due, the next one at `due_s`."""
        self.stop()
        self._fill, self._due_s = fill, due_s
        self.step()
        self._ticking = Ticking(self.step, TICK_S, "silent output")

    def step(self) -> None:
        """Ask for all that is due by now."""
        now_s = self._clock()
        if now_s - self._due_s > MOST_BEHIND_S:
            self._due_s = now_s
        while self._fill is not None and self._due_s <= now_s:
            self._fill(BLOCK, self._due_s)
            self._due_s += BLOCK / RATE_HZ

    def stop(self) -> None:
        """Ask for nothing more."""
        if self._ticking is not None:
            self._ticking.stop()
        self._ticking = self._fill = None

    def is_alive(self) -> bool:
        """Always: a device that does not exist can't be lost."""
        return True

    def device_name(self) -> str:
        """That nothing plays."""
        return "no device"
