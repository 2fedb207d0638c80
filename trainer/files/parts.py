"""Files in the making: each lies beside the place it is for, under a name of ours, until it is whole and moved there.

Who is killed leaves one behind. The next who writes into that folder clears it: a part is held by a lock of the system,
which ends with its process, however that ends, so a part that can be locked is nobody's.
"""

from __future__ import annotations

import os
import stat
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO, Final

ENDING: Final = ".throwbeat.part"
LONGEST_STEM: Final = 40
"""Characters of its target's name that a part shares: names have a limit, of 255 bytes mostly."""

A_DAY_S: Final = 86_400
"""No file is in the making for so long. It counts only where the system has no locks."""


@contextmanager
def open_part(target: Path) -> Iterator[tuple[Path, BinaryIO]]:
    """A new part beside `target`, and its path; OSError if it can't be made.

    What is left of it when the block ends is removed, and with it every file whose name goes on from its name.
    """
    clear(target.parent)
    path, file = _held(target)
    try:
        yield path, file
    finally:
        with suppress(OSError):  # a full disk refuses the last of it again; the file is thrown away
            file.close()
        _remove(path)


def clear(folder: Path) -> None:
    """Remove the parts in a folder that are nobody's, as far as that can be done."""
    with suppress(OSError):
        for name in os.listdir(folder):
            if name.startswith(".") and name.endswith(ENDING):
                with suppress(OSError):
                    _remove_if_nobodys(folder / name)


def _held(target: Path) -> tuple[Path, BinaryIO]:
    while True:
        path = target.with_name(f".{target.name[:LONGEST_STEM]}.{os.urandom(4).hex()}{ENDING}")
        file = open(path, "xb")  # noqa: SIM115 (open_part closes it)
        # Between the two somebody who clears the folder may have taken it for nobody's.
        if lock(file.fileno()) is not False and path.exists():
            return path, file
        file.close()


def _remove(path: Path) -> None:
    """The part itself last: as long as it is there, the others are found with it."""
    with suppress(OSError):
        for name in os.listdir(path.parent):
            if name.startswith(f"{path.name}-"):
                path.with_name(name).unlink(missing_ok=True)
        path.unlink(missing_ok=True)


if sys.platform == "win32":

    def lock(_descriptor: int) -> bool | None:
        return None  # a file that is open can't be removed, which is as good

    def _remove_if_nobodys(path: Path) -> None:
        os.rename(path, path)  # refused while somebody has it open
        _remove(path)

else:
    import fcntl

    def lock(descriptor: int) -> bool | None:
        """Whether it could be locked; None where this system or disk has no locks."""
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:
            return None
        return True

    def _remove_if_nobodys(path: Path) -> None:
        # To be written, as some disks lock only such; no link is followed, nothing is waited for.
        descriptor = os.open(path, os.O_RDWR | os.O_NOFOLLOW | os.O_NONBLOCK)
        try:
            found, locked = os.fstat(descriptor), lock(descriptor)
            old = locked is None and time.time() - found.st_mtime > A_DAY_S
            if stat.S_ISREG(found.st_mode) and (locked or old):
                _remove(path)
        finally:
            os.close(descriptor)
