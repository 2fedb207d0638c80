"""The frame clock: which frame of the stream is needed at which second, learned from when a device asked."""

from collections import deque

RATE_HZ = 44_100
"""The rate of every live stream."""

WINDOW = 32
"""How many requests the estimate looks back on: some 6 s at the usual buffer, so that a drifting device is followed."""

HICCUP_RATIO = 1.6
"""A request that came later than this many times its usual distance left the device without sound."""

SETTLED = 4
"""Requests before gaps count: a sink that slept asks a second time only after a second or two."""


class FrameClock:
    """Maps frames to seconds by the least (second of a request − frames before it / rate) of recent requests.

    A request can come late but never early, so the least is the one that nothing delayed. Only the output's thread
    writes; any thread may read, because each attribute is replaced whole.
    """

    def __init__(self) -> None:
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
            # The device may have stood still meanwhile, so requests from before the gap don't tell where it is now.
            self.hiccups += self._noted >= SETTLED
            self._recent.clear()
        self._recent.append(at_s - self.frames / RATE_HZ)
        self.frames += frames
        self._noted += 1
        self._last_s, self._expected_s = at_s, frames / RATE_HZ
        self.zero_s = min(self._recent)

    def restart(self) -> None:
        """Forget the device and keep the count of frames: another device asks for the next frame."""
        self._recent.clear()
        self._noted = 0

    def frame_at(self, second: float) -> float | None:
        """The frame needed at a second; None before the first request."""
        return None if self.zero_s is None else (second - self.zero_s) * RATE_HZ

    def second_at(self, frame: float) -> float | None:
        """The second at which a frame is needed; None before the first request."""
        return None if self.zero_s is None else self.zero_s + frame / RATE_HZ
