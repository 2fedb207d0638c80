"""Tells whether the process that began an attempt still lives, so that only orphaned attempts are closed."""

from __future__ import annotations

import os
import socket
from enum import Enum, auto
from pathlib import Path
from typing import Final

PROC: Final = Path("/proc")


class Life(Enum):
    """What is known of a process."""

    ALIVE = auto()
    GONE = auto()
    UNKNOWN = auto()  # it is another machine's, or this system does not tell


def token(pid: int | None = None) -> str:
    """A text that names one process for good: machine, number and when it began, as numbers are used again."""
    pid = os.getpid() if pid is None else pid
    return f"{socket.gethostname()} {pid} {_began(pid) or '?'}"


def life(of: str) -> Life:
    """What has become of the process a token names."""
    machine, pid, began = of.rsplit(" ", 2)
    if machine != socket.gethostname() or began == "?":
        return Life.UNKNOWN
    return Life.ALIVE if _began(int(pid)) == began else Life.GONE


def _began(pid: int) -> str | None:
    """When a process began: the start of the machine, and ticks since then; None if unknown. Source: proc(5)."""
    try:
        boot = (PROC / "sys/kernel/random/boot_id").read_text().strip()
        status = (PROC / str(pid) / "stat").read_text()
    except OSError:
        return None
    # The name of the program, in parentheses, may hold anything; the 20th field behind it is the start time.
    fields = status.rpartition(")")[2].split()
    return None if fields[0] in "ZX" else f"{boot}+{fields[19]}"  # a zombie writes nothing any more
