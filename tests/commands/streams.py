"""Run many command lines with the standard streams of this process as they are: `python -m … RESULTS`, words on lines.

Each runs in a fork of this process and ends as Python itself ends: so a hundred lines don't take a hundred starts.
What they say on standard error goes to a file of each, where this process has such a stream. Results: as JSON, of each
line its words, its status and what it said there.
"""

from __future__ import annotations

import json
import os
import sys
from importlib import import_module
from pathlib import Path

from trainer.commands.line import main
from trainer.commands.words import COMMANDS, LOG_COMMANDS

HEARD = "heard"
"""The second argument where standard error is to be kept."""


def run(words: str, heard: Path | None) -> None:
    """Carry out a command line in a fork, and leave it as a program is left."""
    if heard is not None:
        file = os.open(heard, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(file, 2)
        os.close(file)
    sys.exit(main(words.split()))


def run_all(lines: list[str], results: Path, is_heard: bool) -> None:
    found = []
    heard = results.with_suffix(".err") if is_heard else None
    for words in lines:
        child = os.fork()
        if not child:
            run(words, heard)
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        found.append((words, status, heard.read_text(encoding="utf-8") if heard is not None else ""))
    results.write_text(json.dumps(found), encoding="utf-8")


if __name__ == "__main__":
    for name in (*COMMANDS, *(f"log_{name}" for name in LOG_COMMANDS)):
        import_module(f"trainer.commands.{name}")
    run_all(os.environ["LINES_TO_RUN"].splitlines(), Path(sys.argv[1]), sys.argv[2:] == [HEARD])
