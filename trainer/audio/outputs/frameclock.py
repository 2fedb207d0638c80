"""The frame clock: which frame of the stream is needed at which second, learned from when a device asked."""

from collections import deque

RATE_HZ = 44_100

WINDOW = 32
"""Requests the estimate looks back on: some 6 s of them at the usual buffer, so a drifting device is followed."""

HICCUP_RATIO = 1.6
"""A request that came later than this many times its usual distance left the device short."""

SETTLED = 4
"""Requests before gaps count: a sink that slept asks a second time only after a second or two."""


class FrameClock:
    """Maps frames to seconds by the least (time of request - frames before it / rate) of recent requests.

    Requests can come late but never early, so the least is the one nobody delayed. Written by the output's
    thread alone; read by any thread (each field is replaced whole).
    """

    def __init__(self, rate_hz: int = RATE_HZ) -> None:
        self.rate_hz = rate_hz
        self.frames = 0
        self.hiccups = 0
        self.zero_s: float | None = None
        self._recent: deque[float] = deque(maxlen=WINDOW)
        self._noted = 0
        self._expected_s = 0.0
        self._last_s = 0.0

    def note(self, frames: int, at_s: float) -> None:
        """Take down that the device needed the next `frames` frames at second `at_s`."""
        if self._noted and at_s - self._last_s > HICCUP_RATIO * self._expected_s:
            # The device may have stood still meanwhile: what was learned before is worth nothing now.
            self.hiccups += self._noted >= SETTLED
            self._recent.clear()
        self._recent.append(at_s - self.frames / self.rate_hz)
        self.frames += frames
        self._noted += 1
        self._last_s, self._expected_s = at_s, frames / self.rate_hz
        self.zero_s = min(self._recent)

    def restart(self) -> None:
        """Forget the device, keep the count of frames: another one takes over here."""
        self._recent.clear()
        self._noted = 0

    def frame_at(self, second: float) -> float | None:
        """Give the frame needed at a second, or None before the first request."""
        return None if self.zero_s is None else (second - self.zero_s) * self.rate_hz

    def second_at(self, frame: float) -> float | None:
        """Give the second a frame is needed at, or None before the first request."""
        return None if self.zero_s is None else self.zero_s + frame / self.rate_hz
