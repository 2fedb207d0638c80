"""Writes files that are either whole or not there: beside the target first, under its name only when complete."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from enum import Enum
from pathlib import Path
from typing import BinaryIO

from trainer.errors import AlreadyThere, TrainerError
from trainer.files.parts import open_part


class Existing(Enum):
    """What to do with a file that is already there."""

    REFUSE = "refuse"
    REPLACE = "replace"


class WholeFile:
    """A file in the making. TrainerError if the disk refuses what is written."""

    def __init__(self, path: Path, file: BinaryIO) -> None:
        self._path, self._file = path, file

    def write(self, content: bytes) -> int:
        """Append bytes; returns how many."""
        with _told_of(self._path):
            return self._file.write(content)

    def write_text(self, text: str) -> int:
        """Append text as UTF-8, line ends as given; returns how many bytes."""
        return self.write(text.encode())

    def tell(self) -> int:
        """Where the next byte goes."""
        return self._file.tell()

    def seek(self, at: int, whence: int = os.SEEK_SET) -> int:
        """Go to a place, as in a file of Python's; what is written next replaces what stands there."""
        with _told_of(self._path):
            return self._file.seek(at, whence)

    def flush(self) -> None:
        """Hand what was written to the system."""
        with _told_of(self._path):
            self._file.flush()

    def finish(self) -> None:
        """Hand everything to the disk, which may refuse only now."""
        self.flush()
        with _told_of(self._path):
            os.fsync(self._file.fileno())


@contextmanager
def open_whole(path: Path, existing: Existing = Existing.REFUSE) -> Iterator[WholeFile]:
    """A file that appears under its name only when the block is left without an error.

    Raises TrainerError if the file is there and not to be replaced, is no ordinary file, or can't be written.
    Whatever ends the block early (an error, Ctrl-C), what was there before is left as it was.
    """
    with _told_of(path), ExitStack() as stack:
        target = Path(os.path.realpath(path))  # a link stays a link, now to the new file
        refuse_target(path, target, existing)
        part, file = stack.enter_context(open_part(target))
        closing = stack.pop_all()
    with closing:
        writer = WholeFile(path, file)
        yield writer
        writer.finish()
        with _told_of(path):
            refuse_target(path, target, existing)
            if target.exists():
                os.chmod(part, stat.S_IMODE(target.stat().st_mode))
            if sys.platform == "win32":
                file.close()  # else it can't be moved there
            os.replace(part, target)


def refuse_target(path: Path, target: Path, existing: Existing) -> None:
    """TrainerError if `target`, which the user calls `path`, is not to be written."""
    if target.is_dir():
        raise TrainerError(f"{path} was a folder. Name a file.")
    if not target.parent.is_dir():
        raise TrainerError(f"There was no folder {target.parent}. Make it first.")
    if target.exists() and not target.is_file():  # never move a file over a device
        raise TrainerError(f"{path} was no ordinary file. Name another.")
    if target.exists() and existing is Existing.REFUSE:
        raise AlreadyThere(f"{path} was there already and was left as it was.")


@contextmanager
def _told_of(path: Path) -> Iterator[None]:
    """Turn what the system refuses into one line that names the user's file. ValueError: a name no file can have."""
    try:
        yield
    except OSError as error:
        raise TrainerError(f"{path} could not be written: {error.strerror or error}.") from error
    except ValueError as error:
        raise TrainerError(f"{str(path)!r} could not be written: {error}.") from error
