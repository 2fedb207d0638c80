"""The miniaudio output's device: the system's sound asks a generator for frames, endlessly."""

from __future__ import annotations

import time
from collections.abc import Generator
from typing import Any

from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.outputs.protocols import Clock, Fill, Frames, OutputError
from trainer.audio.outputs.stderr import listening_to_stderr

BUFFER_MS = 200
"""What is asked for at once. Through PulseAudio 120 ms of it are ahead at any time: as long a stall of the machine or
the interpreter goes unheard (of 100 ms it was 40 to 70, of 150 ms 80 to 95). In half an hour of live play on a virtual
machine with nothing else to do stalls of 102 ms were met. The price: a change waits up to 0.2 s to be asked for, and
is heard 0.13 s after that."""

LATENCY_S = 0.13
"""From a request to its first frame being heard: measured through PulseAudio; a sound card adds its own."""

QUIET_S = 3.0
"""A device that asked for nothing this long is gone; waking a sleeping sink takes up to 2 s."""


class MiniaudioDevice:
    """A device through miniaudio: the one of a name, or the system's default."""

    name = "miniaudio"
    latency_s = LATENCY_S

    def __init__(self, clock: Clock = time.monotonic, device: str | None = None) -> None:
        self._clock = clock
        self._wanted = device
        self._library: Any = None
        self._playback: Any = None
        self._asked_s = 0.0
        self.said = ""

    def start(self, fill: Fill, due_s: float) -> None:
        """Open the device and stream from `fill`; `due_s` has no say: the device asks."""
        self.stop()
        try:
            import miniaudio
        except ImportError as error:
            raise OutputError(
                f"The library miniaudio could not be loaded: {error}.",
                "Install it with `pip install miniaudio`.",
            ) from error
        self._library = miniaudio
        problem: miniaudio.MiniaudioError | None = None
        with listening_to_stderr() as said:
            try:
                kinds, device_id = self._chosen()
                self._playback = miniaudio.PlaybackDevice(
                    miniaudio.SampleFormat.SIGNED16,
                    2,
                    RATE_HZ,
                    BUFFER_MS,
                    device_id=device_id,
                    backends=kinds,
                    app_name="throwbeat",
                )
                self._asked_s = self._clock()
                stream = self._stream(fill)
                next(stream)
                self._playback.start(stream)
            except miniaudio.MiniaudioError as error:
                problem = error
        self.said = said.text
        if problem is not None:
            self.stop()
            reason = ", code ".join(str(part) for part in problem.args)
            raise OutputError(
                "No sound device could be opened.",
                "Switch one on, then try “throwbeat check”.",
                f"miniaudio: {reason}\n{said.text}",
            )

    def _chosen(self) -> tuple[list[Any], Any]:
        """The kinds of sound system to try, and the device's id; None (the default) where the name is not there."""
        kinds = self._kinds()
        if self._wanted is None:
            return kinds, None
        devices = self._library.Devices(kinds)
        found = [each["id"] for each in devices.get_playbacks() if each["name"] == self._wanted]
        if not found:
            return kinds, None
        names = {kind.name.lower(): kind for kind in kinds}
        kind = names.get(devices.backend.lower().replace(" ", ""))
        return ([kind] if kind is not None else kinds), found[0]

    def _kinds(self) -> list[Any]:
        # The library's own last resort is a device that plays to nobody: that is no sound, so not asked for.
        return [kind for kind in self._library.Backend if kind.name not in ("NULL", "CUSTOM")]

    def _stream(self, fill: Fill) -> Generator[Frames | bytes, int, None]:
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
        """Tell whether the device is started and still asks; a killed sound server stops it without a word."""
        if self._playback is None:
            return False
        started = bool(self._library.lib.ma_device_is_started(self._playback._device))
        return started and self._clock() - self._asked_s < QUIET_S

    def device_name(self) -> str:
        """Name the device that plays, as the system calls it."""
        if self._playback is None:
            return ""
        with listening_to_stderr():
            playbacks = self._library.Devices(self._kinds()).get_playbacks()
        names = [playback["name"] for playback in playbacks]
        if self._wanted in names:
            return f"{self._playback.backend}: {self._wanted}"
        return f"{self._playback.backend}: {'the default of ' if len(names) > 1 else ''}{', '.join(names)}"


def device_names() -> tuple[str, ...]:
    """The names of the devices that miniaudio can play on, as the system calls them; none where there is no sound."""
    import miniaudio

    with listening_to_stderr():
        try:
            kinds = [kind for kind in miniaudio.Backend if kind.name not in ("NULL", "CUSTOM")]
            return tuple(playback["name"] for playback in miniaudio.Devices(kinds).get_playbacks())
        except miniaudio.MiniaudioError:
            return ()
