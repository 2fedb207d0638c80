"""The miniaudio output's device: the library's thread asks a generator for frames, endlessly."""

from __future__ import annotations

import time
from collections.abc import Generator
from itertools import pairwise
from typing import Any

from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.outputs.protocols import BUFFER_MS, Clock, Fill, OutputError, Pcm
from trainer.audio.outputs.stderr import listening_to_stderr

LATENCY_MS = ((50, 35), (100, 60), (150, 95), (200, 120), (300, 165))
"""Buffer, and from a request to its first frame being heard: measured through PulseAudio (tests/bench/latency.py).
Others lie on the lines through these. A sound card adds its own."""

QUIET_S = 3.0
"""A device that asked for nothing for so long is gone; waking a sleeping sink takes up to 2 s."""


class MiniaudioDevice:
    """A device through miniaudio: the one whose name is `device`, or the system's default.

    It asks for `buffer_ms` milliseconds of sound at a time.
    """

    name = "miniaudio"

    def __init__(self, clock: Clock = time.monotonic, buffer_ms: int = BUFFER_MS, device: str | None = None) -> None:
        self._clock, self._buffer_ms = clock, buffer_ms
        self.latency_s = buffer_to_latency_s(buffer_ms)
        self._wanted = device
        self._library: Any = None
        self._playback: Any = None
        self._asked_s = 0.0
        self.said = ""

    def start(self, fill: Fill, due_s: float) -> None:
        """Open the device and stream from `fill`; `due_s` is not used, because the device chooses when to ask."""
        self.stop()
        try:
            import miniaudio
        except ImportError as error:
            raise OutputError(
                f"The library miniaudio could not be loaded: {error}.",
                "Install it with `pip install miniaudio`.",
            ) from error
        self._library = miniaudio
        try:
            with listening_to_stderr() as said:
                kinds, device_id = self._chosen()
                self._playback = miniaudio.PlaybackDevice(
                    miniaudio.SampleFormat.SIGNED16,
                    2,
                    RATE_HZ,
                    self._buffer_ms,
                    device_id=device_id,
                    backends=kinds,
                    app_name="throwbeat",
                )
                self._asked_s = self._clock()
                stream = self._stream(fill)
                next(stream)
                self._playback.start(stream)
        except miniaudio.MiniaudioError as error:
            self.stop()
            reason = ", code ".join(str(part) for part in error.args)
            raise OutputError(
                "No sound device could be opened.",
                "Switch one on, then try “throwbeat check”.",
                f"miniaudio: {reason}\n{said.text}",
            ) from error
        self.said = said.text

    def _chosen(self) -> tuple[list[Any], Any]:
        """The kinds of sound system to try, and the device's id; None (the default) where the name is not there."""
        kinds = _kinds(self._library)
        if self._wanted is None:
            return kinds, None
        devices = self._library.Devices(kinds)
        found = [each["id"] for each in devices.get_playbacks() if each["name"] == self._wanted]
        if not found:
            return kinds, None
        own = devices.backend.lower().replace(" ", "")
        return [kind for kind in kinds if kind.name.lower() == own] or kinds, found[0]

    def _stream(self, fill: Fill) -> Generator[Pcm | bytes, int, None]:
        frames = yield b""
        while True:
            self._asked_s = self._clock()
            frames = yield fill(frames, self._asked_s)

    def stop(self) -> None:
        """Close the device."""
        if self._playback is not None:
            self._playback.close()
        self._playback = None

    def is_alive(self) -> bool:
        """Whether the device is started and still asks: a sound server that was killed stops it without an error."""
        if self._playback is None:
            return False
        started = bool(self._library.lib.ma_device_is_started(self._playback._device))
        return started and self._clock() - self._asked_s < QUIET_S

    def device_name(self) -> str:
        """The name of the device that plays, as the system has it; "" while none does."""
        if self._playback is None:
            return ""
        names = device_names()
        if self._wanted in names:
            return f"{self._playback.backend}: {self._wanted}"
        return f"{self._playback.backend}: {'the default of ' if len(names) > 1 else ''}{', '.join(names)}"


def buffer_to_latency_s(buffer_ms: float) -> float:
    """Seconds from a request to its first frame being heard, by the length of the request."""
    pieces = list(pairwise(LATENCY_MS))
    (low, low_ms), (high, high_ms) = next((piece for piece in pieces if buffer_ms <= piece[1][0]), pieces[-1])
    return (low_ms + (high_ms - low_ms) * (buffer_ms - low) / (high - low)) / 1000


def device_names() -> tuple[str, ...]:
    """The names of the devices that miniaudio can play on, as the system has them; none where there is no sound."""
    import miniaudio

    with listening_to_stderr():
        try:
            return tuple(each["name"] for each in miniaudio.Devices(_kinds(miniaudio)).get_playbacks())
        except miniaudio.MiniaudioError:
            return ()


def _kinds(library: Any) -> list[Any]:
    # The library's last resort is a device that plays to nobody. That is no sound, so it is not asked for.
    return [kind for kind in library.Backend if kind.name not in ("NULL", "CUSTOM")]
