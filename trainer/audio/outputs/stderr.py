"""Keeps what C libraries write to descriptor 2 while a device is being opened, so that it tears no screen."""

import os
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager

_ONE_AT_A_TIME = threading.Lock()


class StderrText:
    """What was written to standard error; empty until the listening is over."""

    text = ""


@contextmanager
def listening_to_stderr() -> Iterator[StderrText]:
    """Point descriptor 2 at a file of its own for a moment and keep what was written.

    ALSA writes past `sys.stderr`, which tears a full-screen program. Such a program must draw on a duplicate
    of its terminal, not on descriptor 2, or what it draws in this moment goes into the file.
    """
    said = StderrText()
    with _ONE_AT_A_TIME:
        try:
            kept = os.dup(2)
        except OSError:  # a program without standard error: nothing can be torn
            yield said
            return
        with tempfile.TemporaryFile() as file:
            os.dup2(file.fileno(), 2)
            try:
                yield said
            finally:
                os.dup2(kept, 2)
                os.close(kept)
                file.seek(0)
                said.text = file.read().decode(errors="replace").strip()
