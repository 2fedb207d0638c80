"""A clock, a device and a stream that do as the test says, and no threads."""

import sys
import types

import numpy as np
import pytest

from trainer.audio.outputs import silent_device, simpleaudio_device
from trainer.audio.outputs.output import Output
from trainer.audio.outputs.protocols import Fill, OutputError, Pcm

BUFFER = 4410


class Hand:
    """A clock moved by hand."""

    def __init__(self, now_s: float = 1000.0) -> None:
        self.now_s = now_s

    def __call__(self) -> float:
        return self.now_s


class Counting:
    """A pull whose every sample says which frame of the stream it is."""

    def __init__(self) -> None:
        self.frame = 0

    def __call__(self, frames: int) -> Pcm:
        line = np.arange(self.frame, self.frame + frames)
        self.frame += frames
        return np.stack([line % 30_000 + 1, line // 30_000], axis=1).astype(np.int16)


class FakeDevice:
    """A device that asks, dies and can be had again as the test says."""

    name = "fake"
    latency_s = 0.07
    said = ""

    def __init__(self) -> None:
        self.alive = True
        self.there = True
        self.fill: Fill | None = None
        self.starts = 0
        self.stops = 0

    def start(self, fill: Fill, due_s: float) -> None:
        if not self.there:
            raise OutputError("No device.", "Get one.", "no card")
        self.fill, self.alive = fill, True
        self.starts += 1

    def stop(self) -> None:
        self.stops += 1

    def is_alive(self) -> bool:
        return self.alive

    def device_name(self) -> str:
        return "a fake"


def without_threads(monkeypatch: pytest.MonkeyPatch) -> None:
    """Steps are made by the tests, not by a thread, so that no test has to wait."""
    for module in (sys.modules[Output.__module__], silent_device, simpleaudio_device):
        monkeypatch.setattr(module, "Ticking", lambda *_: types.SimpleNamespace(stop=lambda: None))
