"""The command log restore: puts a backup in the place of the logbook, which is kept under another name."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path

from trainer.commands.bar import stoppable
from trainer.commands.terminal import tell
from trainer.commands.words import parser_of
from trainer.files.places import places
from trainer.logbook import backups
from trainer.logbook.store import Logbook
from trainer.progress.wording import number


def words() -> argparse.ArgumentParser:
    parser = parser_of("log restore", "Put a backup in the place of the logbook, which is kept under another name.")
    parser.add_argument("file", metavar="FILE", help="a backup; “throwbeat log backup” lists them")
    return parser


def run(asked: argparse.Namespace) -> int:
    path = places().logbook
    with stoppable():
        kept = backups.restore(path, Path(asked.file), datetime.now().astimezone())
    with Logbook.open_to_read(path) as book:
        tell(f"{path}: {number(book.count(), 'attempt')}, as in {asked.file}")
    if kept is not None:
        tell(f"What was there before is kept in {kept}")
    return 0
