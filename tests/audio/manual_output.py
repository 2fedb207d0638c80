"""An output for tests: its clock stands until `advance` moves it, and what was played is kept."""

from __future__ import annotations

from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.outputs.output import Output
from trainer.audio.outputs.protocols import Fill, Pcm, Pull


class ManualDevice:
    """A device that asks for nothing by itself."""

    name = "manual"
    said = ""

    def __init__(self, latency_s: float) -> None:
        self.latency_s = latency_s

    def start(self, fill: Fill, due_s: float) -> None:
        """Nothing to start."""

    def stop(self) -> None:
        """Nothing to stop."""

    def is_alive(self) -> bool:
        return True

    def device_name(self) -> str:
        return "moved by hand"


class ManualOutput(Output):
    """The trainer's own output on a device that asks when the test says so."""

    def __init__(self, latency_s: float = 0.0) -> None:
        super().__init__(ManualDevice(latency_s), self.clock)
        self.now_s = 0.0
        self.played: list[Pcm] = []
        self._fill: Fill | None = None

    def clock(self) -> float:
        """The time in seconds, for those who need a clock."""
        return self.now_s

    def open(self, pull: Pull) -> None:
        """Pull from `pull` whenever advanced; no thread watches the device."""
        self._pull = pull
        self._fill = self._feed()

    def close(self) -> None:
        """Pull no more."""
        self._fill = None

    def advance(self, frames: int, block: int = 441) -> None:
        """Let so many frames go by, pulled in blocks of at most `block`, each at its exact time."""
        while frames > 0 and self._fill is not None:
            part = min(frames, block)
            self.played.append(self._fill(part, self.now_s))
            self.now_s += part / RATE_HZ
            frames -= part
