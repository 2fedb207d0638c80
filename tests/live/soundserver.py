"""A sound server of our own: PulseAudio with a sink that plays to nobody, recorded from its monitor.

Nothing of the user's is touched: the server lives in a folder of its own, and a program is sent to it by its
environment alone.
"""

import os
import shutil
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import numpy as np

RATE_HZ = 44_100
FRAME_BYTES = 4
SINK = "hall"
NEEDED = ("pulseaudio", "parec")
START_WAIT_S = 10.0

# Only a default device, and that one our server: a program can't fall through to a card of the machine.
ALSA_CONFIG = "pcm.!default { type pulse }\nctl.!default { type pulse }\n"


def missing_programs() -> tuple[str, ...]:
    """Name the programs a sound server needs that are not installed."""
    return tuple(name for name in NEEDED if shutil.which(name) is None)


class SoundServer:
    """One PulseAudio; `environ` sends a program to it. `kill` and `start` may follow each other at will.

    started_by: a command that starts it, such as one that puts it before all others.
    """

    def __init__(self, started_by: Sequence[str] = ()) -> None:
        self._started_by = started_by
        # Not pytest's tmp_path: a socket's path has to stay under 108 characters.
        self.folder = Path(tempfile.mkdtemp(prefix="hall-"))
        self.socket = self.folder / "pulse" / "native"
        self.socket.parent.mkdir(mode=0o700)
        (self.folder / "asound.conf").write_text(ALSA_CONFIG)
        self.environ = {
            "HOME": str(self.folder),
            "XDG_RUNTIME_DIR": str(self.folder),
            "XDG_CONFIG_HOME": str(self.folder / "config"),
            "PULSE_SERVER": f"unix:{self.socket}",
            "ALSA_CONFIG_PATH": str(self.folder / "asound.conf"),
        }
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start the server and wait until it answers."""
        self.socket.unlink(missing_ok=True)
        log = self.folder / "server.log"
        with log.open("ab") as said:
            self._process = subprocess.Popen(
                [*self._started_by, "pulseaudio", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1", "-n",
                 f"--load=module-native-protocol-unix auth-anonymous=1 socket={self.socket}",
                 f"--load=module-null-sink sink_name={SINK} rate={RATE_HZ}"],
                env=os.environ | self.environ, stdout=said, stderr=said,
            )  # fmt: skip
        until_s = time.monotonic() + START_WAIT_S
        while not self.socket.exists():
            if self._process.poll() is not None or time.monotonic() > until_s:
                raise RuntimeError(f"the sound server did not start:\n{log.read_text()}")
            time.sleep(0.02)

    def kill(self) -> None:
        """End the server as a crash would."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
        self._process = None

    def close(self) -> None:
        """End the server and take its folder away."""
        self.kill()
        shutil.rmtree(self.folder, ignore_errors=True)

    @contextmanager
    def recording(self) -> Iterator["Recording"]:
        """Record what is played from here to the end of the block."""
        process = subprocess.Popen(
            ["parec", "-d", f"{SINK}.monitor", "--format=s16le", f"--rate={RATE_HZ}", "--channels=2",
             "--latency-msec=10"],
            env=os.environ | self.environ, stdout=subprocess.PIPE, bufsize=0,
        )  # fmt: skip
        recording = Recording(process)
        try:
            recording.wait_begun()
            yield recording
        finally:
            process.terminate()
            process.wait()
            recording.thread.join()


class Recording:
    """What the monitor heard, and when."""

    def __init__(self, process: "subprocess.Popen[bytes]") -> None:
        self._process = process
        self._parts: list[bytes] = []
        self._bytes = 0
        self.zero_s = float("inf")
        """The second frame 0 was heard at: the least of (arrival - frames arrived / rate), good to some ms."""
        self.thread = threading.Thread(target=self._read, daemon=True)
        self.thread.start()

    def _read(self) -> None:
        assert self._process.stdout is not None
        while part := self._process.stdout.read(1 << 16):
            self._parts.append(part)
            self._bytes += len(part)
            self.zero_s = min(self.zero_s, time.monotonic() - self._bytes / FRAME_BYTES / RATE_HZ)

    def wait_begun(self) -> None:
        """Wait until the monitor gives sound (silence is sound)."""
        until_s = time.monotonic() + START_WAIT_S
        while not self._bytes:
            if time.monotonic() > until_s or self._process.poll() is not None:
                raise RuntimeError("the recorder got nothing from the sound server")
            time.sleep(0.02)

    def heard(self) -> np.ndarray:
        """Give all that was recorded so far: int16 (frames, 2)."""
        whole = b"".join(self._parts)
        return np.frombuffer(whole[: len(whole) // FRAME_BYTES * FRAME_BYTES], np.int16).reshape(-1, 2)


def onsets(heard: np.ndarray, quiet_frames: int = 441, level: float = 0.1) -> np.ndarray:
    """Find the frames at which sound begins: the first above `level` of the peak after so much quiet."""
    loudness = np.abs(heard.astype(np.int32)).max(axis=1)
    if not loudness.any():
        return np.empty(0, np.int64)
    loud = np.flatnonzero(loudness > level * loudness.max())
    return loud[np.diff(loud, prepend=-quiet_frames - 1) > quiet_frames]
