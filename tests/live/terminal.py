"""A pseudo-terminal with a program in it: press keys, see the screen's bytes, hang up.

The screen is searched as plain text with the control sequences taken out; a program that repaints only what
changed may never send a whole line again, so wait for short texts, or `forget` first and look at what is new.
"""

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import termios
import threading
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

CONTROL = re.compile(
    rb"\x1b\[[0-?]*[ -/]*[@-~]"  # colours, cursor
    rb"|\x1b[\]P_^X].*?(?:\x1b\\|\x07)"  # titles and other strings
    rb"|\x1b[ -/]*[0-~]|[\x00-\x08\x0b-\x1f]",
    re.DOTALL,
)


def _as_on_a_terminal() -> None:
    """Its terminal is the program's own, and no signal is ignored, as it is in what a shell runs in the background."""
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    for each in (signal.SIGINT, signal.SIGQUIT, signal.SIGHUP):
        signal.signal(each, signal.SIG_DFL)


class Terminal:
    """One program on its own terminal, `columns` by `rows`; use it in a `with`, which ends the program."""

    def __init__(
        self,
        command: Sequence[str],
        environ: Mapping[str, str],
        columns: int = 80,
        rows: int = 24,
        cwd: Path | None = None,
    ) -> None:
        self.fd, far_end = pty.openpty()
        fcntl.ioctl(far_end, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        self.settings_before = termios.tcgetattr(far_end)
        self.far_end = far_end  # kept open: the terminal's settings can be looked at when the program is gone
        self.process = subprocess.Popen(
            command,
            stdin=far_end,
            stdout=far_end,
            stderr=far_end,
            env={"TERM": "xterm-256color", **environ},
            cwd=cwd,
            start_new_session=True,
            preexec_fn=_as_on_a_terminal,
        )
        self._seen = bytearray()
        self._from = 0
        self._turns_without = 0  # in which the reader found nothing to read
        self._over = threading.Event()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        # Never left waiting in a read: that would keep the terminal open after it was closed.
        while not self._over.is_set():
            if select.select([self.fd], [], [], 0.05)[0]:
                sent = os.read(self.fd, 1 << 16)
                self._seen += sent
                self._heed(sent)
            else:
                self._turns_without += 1

    def _heed(self, sent: bytes) -> None:
        """Do what the program's bytes ask a terminal for; this one knows nothing."""

    def write(self, keys: bytes) -> float:
        """Press keys and give the second of the monotonic clock just before they were sent."""
        at_s = time.monotonic()
        os.write(self.fd, keys)
        return at_s

    @property
    def everything(self) -> bytes:
        """Every byte the program sent."""
        return bytes(self._seen)

    @property
    def raw(self) -> bytes:
        """Every byte the program sent since the start, or since `forget`."""
        return bytes(self._seen[self._from :])

    @property
    def text(self) -> str:
        """The same without control sequences."""
        return CONTROL.sub(b"", self.raw).decode(errors="replace")

    def forget(self) -> None:
        """Look only at what is sent from now on."""
        self._from = len(self._seen)

    def wait_for(self, text: str, within_s: float = 10.0) -> float:
        """Wait until the text was sent and give the second it was seen; AssertionError with the screen if not."""
        until_s, looked_at = time.monotonic() + within_s, -1
        while True:
            if looked_at != len(self._seen):  # else the looking would keep a core from the program
                looked_at = len(self._seen)
                if text in self.text:
                    return time.monotonic()
            assert time.monotonic() < until_s, f"{text!r} was not shown within {within_s} s:\n{self.text[-4000:]}"
            time.sleep(0.002)

    def wait_ended(self, within_s: float = 10.0) -> int:
        """Wait until the program has ended by itself and all it sent was read; its exit status (negative: a signal)."""
        status = self.process.wait(within_s)
        turns = self._turns_without
        while self._turns_without == turns and self._reader.is_alive():
            time.sleep(0.002)
        return status

    def is_restored(self) -> bool:
        """Tell whether the terminal's settings are what they were before the program."""
        return termios.tcgetattr(self.far_end) == self.settings_before

    def terminate(self) -> None:
        """Send SIGTERM."""
        self.process.send_signal(signal.SIGTERM)

    def hang_up(self) -> None:
        """Close the terminal under the program, as closing its window does."""
        self._over.set()
        self._reader.join()
        for fd in (self.far_end, self.fd):
            if fd >= 0:
                os.close(fd)
        self.far_end = self.fd = -1

    def __enter__(self) -> "Terminal":
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        self.hang_up()
