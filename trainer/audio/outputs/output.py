"""The output as the rest of the trainer sees it: a device kept going, and the time of each frame of it."""

from __future__ import annotations

import atexit
import threading
import time
from typing import Protocol

from trainer.audio.arrays import np
from trainer.audio.outputs.frameclock import RATE_HZ, FrameClock
from trainer.audio.outputs.protocols import Clock, Device, Fill, Frames, OutputError, Pull
from trainer.audio.outputs.silent_device import SilentDevice
from trainer.audio.outputs.ticking import Ticking

WATCH_S = 0.1
FIRST_RETRY_S = 1.0
LONGEST_RETRY_S = 30.0
"""Waits between tries to regain a lost device double up to this: a failed try costs some 20 KB for good."""

LOST_NOTICE = (
    "The sound device was lost. The run goes on by the clock without sound; "
    "sound returns by itself when the device does."
)


class Output(Protocol):
    """A stream being heard: what may be asked of any output, from any thread."""

    @property
    def name(self) -> str:
        """Its setting's name: miniaudio, simpleaudio, silent, manual."""

    @property
    def latency_s(self) -> float:
        """Seconds from a frame being needed to its being heard: the user's setting, else (set to None) the device's."""

    @latency_s.setter
    def latency_s(self, latency_s: float | None) -> None: ...

    @property
    def hiccups(self) -> int:
        """How often so far the stream was asked for late, so that a click may have been misplaced."""

    @property
    def lost(self) -> bool:
        """True while the device is gone and the stream goes on by the clock."""

    @property
    def said(self) -> str:
        """What the system's libraries wrote to standard error while the device was opened, for diagnosis."""

    def open(self, pull: Pull) -> None:
        """Begin to pull the stream; raise OutputError when there is no device."""

    def close(self) -> None:
        """End the stream and free the device; any number of times."""

    def heard_frame(self, now_s: float) -> float | None:
        """Give the frame that comes out of the speaker at a second of the clock (None: not begun)."""

    def heard_at_s(self, frame: float) -> float | None:
        """Give the second of the clock a frame comes out of the speaker (None: not begun)."""


class _Heard:
    """The two questions about time, answered alike by every output."""

    def __init__(self, own_latency_s: float, latency_s: float | None) -> None:
        self._frameclock = FrameClock()
        self._own_latency_s = own_latency_s
        self._set_latency_s = latency_s

    @property
    def latency_s(self) -> float:
        return self._own_latency_s if self._set_latency_s is None else self._set_latency_s

    @latency_s.setter
    def latency_s(self, latency_s: float | None) -> None:
        self._set_latency_s = latency_s

    @property
    def hiccups(self) -> int:
        return self._frameclock.hiccups

    def heard_frame(self, now_s: float) -> float | None:
        return self._frameclock.frame_at(now_s - self.latency_s)

    def heard_at_s(self, frame: float) -> float | None:
        second = self._frameclock.second_at(frame)
        return None if second is None else second + self.latency_s


class DeviceOutput(_Heard):
    """An output on a device; when the device is lost the clock takes over until it can be opened again."""

    def __init__(self, device: Device, clock: Clock = time.monotonic, latency_s: float | None = None) -> None:
        super().__init__(device.latency_s, latency_s)
        self.lost = False
        self._device: Device = device
        self._clock = clock
        self._stand_in = SilentDevice(clock)
        self._pull: Pull | None = None
        self._turn = 0
        # Held only by the threads that pull: a device thought dead and its stand-in never pull at once.
        self._pulling = threading.Lock()
        self._watching: Ticking | None = None
        self._retry_s = 0.0
        self._wait_s = FIRST_RETRY_S

    @property
    def name(self) -> str:
        return self._device.name

    @property
    def said(self) -> str:
        return self._device.said

    def open(self, pull: Pull) -> None:
        """Begin to pull the stream from `pull`; raise OutputError when there is no device."""
        self._pull = pull
        self._device.start(self._feed(), self._clock())
        # Leaving the interpreter with a started device hangs for ever.
        atexit.register(self.close)
        self._watching = Ticking(self.watch, WATCH_S, "output watch")

    def go_silent(self, said: str) -> None:
        """Play on no device, after one that could not be opened. said: what the system's libraries wrote then."""
        self._device = SilentDevice(self._clock)
        self._device.said, self._own_latency_s = said, self._device.latency_s

    def close(self) -> None:
        """End the stream and free the device; any number of times."""
        atexit.unregister(self.close)
        if self._watching is not None:
            self._watching.stop()
        self._watching = None
        self._feed()
        self._stand_in.stop()
        self._device.stop()

    def watch(self) -> None:
        """Look after the device once: when it is lost let the clock take over, and try at times to regain it."""
        if not self.lost:
            if not self._device.is_alive():
                self._lose()
        elif self._clock() >= self._retry_s:
            self._regain()

    def _lose(self) -> None:
        self.lost = True
        self._wait_s = FIRST_RETRY_S
        self._go_by_the_clock()
        self._device.stop()

    def _regain(self) -> None:
        self._stand_in.stop()
        try:
            self._device.start(self._feed(), self._clock())
        except OutputError:
            # Still gone, as `lost` goes on saying.
            self._wait_s = min(2 * self._wait_s, LONGEST_RETRY_S)
            self._go_by_the_clock()
            return
        self.lost = False

    def _go_by_the_clock(self) -> None:
        """Let the stand-in pull from the next frame on, at the time that frame was due anyway."""
        feed = self._feed()
        due_s = self._frameclock.second_at(self._frameclock.frames)
        self._stand_in.start(feed, self._clock() if due_s is None else due_s)
        self._retry_s = self._clock() + self._wait_s

    def _feed(self) -> Fill:
        """Give a new right to pull and end every earlier one."""
        with self._pulling:
            self._turn += 1
            turn = self._turn
            self._frameclock.restart()

        def fill(frames: int, at_s: float) -> Frames:
            with self._pulling:
                if turn != self._turn or self._pull is None:
                    return np.zeros((frames, 2), np.int16)
                block = self._pull(frames)
                self._frameclock.note(frames, at_s)
                return block

        return fill


class ManualOutput(_Heard):
    """An output for tests: its clock stands until `advance` moves it, and what was played is kept."""

    name = "manual"
    lost = False
    said = ""

    def __init__(self, latency_s: float = 0.0) -> None:
        super().__init__(latency_s, None)
        self.now_s = 0.0
        self.played: list[Frames] = []
        self._pull: Pull | None = None

    def clock(self) -> float:
        """Give the time in seconds, for those who need a clock."""
        return self.now_s

    def open(self, pull: Pull) -> None:
        """Pull from `pull` whenever advanced."""
        self._pull = pull

    def close(self) -> None:
        """Pull no more."""
        self._pull = None

    def advance(self, frames: int, block: int = 441) -> None:
        """Let so many frames go by, pulled in blocks of at most `block`, each at its exact time."""
        while frames > 0 and self._pull is not None:
            part = min(frames, block)
            self.played.append(self._pull(part))
            self._frameclock.note(part, self.now_s)
            self.now_s += part / RATE_HZ
            frames -= part
