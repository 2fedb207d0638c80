"""All that a command of the line says: the one gate to standard output and standard error.

No text reaches a terminal raw: a sign that would move its cursor or turn its line is written as its escape, wherever
the text is from (a word typed, the name of a file, a logbook). Nothing is lost in silence: output that can't be written
is a refusal, as it is for any program of the system.
"""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from typing import Any, Final

from trainer.errors import TrainerError
from trainer.files.texts import disturbs, one_line

STREAMS: Final = (("stdin", "r", os.O_RDONLY), ("stdout", "w", os.O_RDONLY), ("stderr", "w", os.O_WRONLY))
"""The standard streams by their numbers, what each is for, and how what stands in for a closed one is opened.

So input is at its end, output is refused, and what is told on standard error goes nowhere.
"""


def tell(*lines: object, end: str = "\n") -> None:
    """Print each line to standard output, at once, whoever reads it. end: after each.

    TrainerError where the output takes no more; BrokenPipeError where nobody reads it any longer.
    """
    _write("".join(f"{one_line(str(line))}{end}" for line in lines))


def complain(*lines: object) -> None:
    """Print each line to standard error, with the program's name before it."""
    warn(*(f"throwbeat: {line}" for line in lines))


def warn(*lines: object) -> None:
    """Print each line to standard error."""
    with suppress(OSError):  # that nobody can be told can't be told either
        print("".join(f"{one_line(str(line))}\n" for line in lines), end="", file=sys.stderr, flush=True)


def tell_json(found: object, **how: Any) -> None:
    """Print what was found as JSON. how: as json.dumps has it."""
    import json  # only here: most lines ask for none

    text = json.dumps(found, indent=2, **how)
    if not text.isascii() or "\x7f" in text:
        text = "".join(_to_escape(sign) if sign != "\n" and disturbs(sign) else sign for sign in text)
    _write(f"{text}\n")


def _to_escape(sign: str) -> str:
    """A sign as a text of JSON escapes it: beyond U+FFFF as two halves. Source: RFC 8259, 7."""
    halves = sign.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{halves[at : at + 2].hex()}" for at in range(0, len(halves), 2))


def _write(text: str) -> None:
    try:
        print(text, end="", flush=True)
    except BrokenPipeError:
        raise
    except OSError as error:
        raise TrainerError(f"What there was to say could not be written: {error.strerror or error}.") from None


def open_streams() -> None:
    """Make the standard streams ready: a letter that one can't show is escaped, and a closed one gets a stand-in.

    Without the stand-in the next file to be opened would get the number of the closed one, and what a library says on
    standard error would be written into it: into the logbook, say.
    """
    for name, mode, flags in STREAMS:
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, flags), mode, encoding="utf-8"))
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")


def let_go() -> None:
    """Give up what could not be written: Python would try again as it ends, and leave with a status of its own."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except OSError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
