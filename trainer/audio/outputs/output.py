"""The output as the rest of the trainer sees it: a device kept going, and the second at which each frame is heard."""

from __future__ import annotations

import atexit
import threading
import time

from trainer.audio.arrays import np
from trainer.audio.outputs.frameclock import FrameClock
from trainer.audio.outputs.protocols import Clock, Device, Fill, OutputError, Pcm, Pull
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


class Output:
    """One stream heard on a device; while the device is lost, the clock pulls the stream and nobody hears it.

    lost: the device is gone at present. Seconds are those of the clock. Any thread may ask and call.
    """

    def __init__(self, device: Device, clock: Clock = time.monotonic, latency_s: float | None = None) -> None:
        self.lost = False
        self._device: Device = device
        self._clock = clock
        self._set_latency_s = latency_s
        self._frameclock = FrameClock()
        self._stand_in = SilentDevice(clock)
        self._pull: Pull | None = None
        self._turn = 0
        # Held only by the threads that pull: a device taken for dead and its stand-in must not pull at once.
        self._pulling = threading.Lock()
        self._watching: Ticking | None = None
        self._retry_s = 0.0
        self._wait_s = FIRST_RETRY_S

    @property
    def name(self) -> str:
        """The name of its device: miniaudio, simpleaudio or silent."""
        return self._device.name

    @property
    def latency_s(self) -> float:
        """Seconds from a frame being needed to its being heard: the user's own, or the device's where it is None."""
        return self._device.latency_s if self._set_latency_s is None else self._set_latency_s

    @latency_s.setter
    def latency_s(self, latency_s: float | None) -> None:
        self._set_latency_s = latency_s

    @property
    def hiccups(self) -> int:
        """How often the stream was asked for late so far; each time a click may have been misplaced."""
        return self._frameclock.hiccups

    def heard_frame(self, now_s: float) -> float | None:
        """The frame that comes out of the speaker at a second; None before the first request."""
        return self._frameclock.frame_at(now_s - self.latency_s)

    def heard_at_s(self, frame: float) -> float | None:
        """The second at which a frame comes out of the speaker; None before the first request."""
        second = self._frameclock.second_at(frame)
        return None if second is None else second + self.latency_s

    def open(self, pull: Pull) -> None:
        """Begin to pull the stream from `pull`; raises OutputError when there is no device."""
        self._pull = pull
        self._device.start(self._feed(), self._clock())
        # Leaving the interpreter with a started device hangs for ever.
        atexit.register(self.close)
        self._watching = Ticking(self.watch, WATCH_S, "output watch")

    def go_silent(self) -> None:
        """Take no device in place of one that could not be opened."""
        self._device = self._stand_in

    def close(self) -> None:
        """End the stream and free the device; allowed any number of times."""
        atexit.unregister(self.close)
        if self._watching is not None:
            self._watching.stop()
        self._watching = None
        self._feed()
        self._stand_in.stop()
        self._device.stop()

    def watch(self) -> None:
        """Look after the device once: hand over to the clock when it is lost, and try at times to regain it."""
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
            # No new fact for the user: `lost` tells already that there is no device.
            self._wait_s = min(2 * self._wait_s, LONGEST_RETRY_S)
            self._go_by_the_clock()
            return
        self.lost = False

    def _go_by_the_clock(self) -> None:
        """Let the stand-in pull from the next frame on, at the second at which that frame was due on the device."""
        feed = self._feed()
        due_s = self._frameclock.second_at(self._frameclock.frames)
        self._stand_in.start(feed, self._clock() if due_s is None else due_s)
        self._retry_s = self._clock() + self._wait_s

    def _feed(self) -> Fill:
        """Give one device the right to pull and end every right given before."""
        with self._pulling:
            self._turn += 1
            turn = self._turn
            self._frameclock.restart()

        def fill(frames: int, at_s: float) -> Pcm:
            with self._pulling:
                if turn != self._turn or self._pull is None:
                    return np.zeros((frames, 2), np.int16)
                block = self._pull(frames)
                self._frameclock.note(frames, at_s)
                return block

        return fill
