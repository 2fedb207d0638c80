"""Opens a file that a user named, for reading: an ordinary file of a size that such a file can have, or none.

A pipe would be waited for without end, a device has no end, and what is larger than any file of its kind is none.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Final

from trainer.files.checks import Wrong

# fmt: off
TEXT_BYTES: Final = 1_000_000           # settings, patterns, plans, kits
RECORDING_BYTES: Final = 16_000_000     # 5 s at 192,000 frames a second are 8 MB; what else a file holds has room
EXPORTED_BYTES: Final = 4_000_000_000   # a million attempts are 700 MB
LOGBOOK_BYTES: Final = 4_000_000_000    # a million attempts are 220 MB
# fmt: on


class Missing(Wrong):
    """There was no such file."""


def open_ordinary(path: Path | str, most_bytes: int) -> BinaryIO:
    """The file at `path`, to be read; Wrong if it is none, is larger, or can't be read, Missing if it is not there.

    A link is followed to what it leads to.
    """
    with _in_words():
        _refuse(os.stat(path))  # before it is opened, which some devices take for a request
        file = open(path, "rb", opener=_without_waiting)  # noqa: SIM115 (the caller closes it)
    try:
        found = os.fstat(file.fileno())  # again: another may have taken its place
        _refuse(found)
        if found.st_size > most_bytes:
            raise Wrong(_too_large(most_bytes))
    except BaseException:
        file.close()
        raise
    return file


def read_ordinary(path: Path | str, most_bytes: int) -> bytes:
    """All that is in the file at `path`; errors as for `open_ordinary`."""
    with open_ordinary(path, most_bytes) as file, _in_words():
        content = file.read(most_bytes + 1)
    if len(content) > most_bytes:  # it has grown since
        raise Wrong(_too_large(most_bytes))
    return content


@contextmanager
def _in_words() -> Iterator[None]:
    """Turn what the system refuses into a sentence. ValueError: a name no file can have."""
    try:
        yield
    except Wrong:
        raise
    except FileNotFoundError as error:
        raise Missing(f"The file could not be read: {error.strerror}.") from None
    except (OSError, ValueError) as error:
        raise Wrong(f"The file could not be read: {getattr(error, 'strerror', None) or error}.") from None


def _without_waiting(name: str, flags: int) -> int:
    return os.open(name, flags | getattr(os, "O_NONBLOCK", 0))


def _refuse(found: os.stat_result) -> None:
    if stat.S_ISDIR(found.st_mode):
        raise Wrong("This was a folder, not a file.")
    if not stat.S_ISREG(found.st_mode):
        raise Wrong("This was not an ordinary file.")


def _too_large(most_bytes: int) -> str:
    return f"The file was larger than {most_bytes // 1000:,} kB."
