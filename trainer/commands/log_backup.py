"""The command log backup: today's copy of the logbook, or one under a name of its own."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path

from trainer.commands.bar import stoppable
from trainer.commands.terminal import tell
from trainer.commands.words import add_force, parser_of
from trainer.errors import TrainerError
from trainer.files.places import places
from trainer.files.whole import refuse_target
from trainer.logbook import backups, opening


def words() -> argparse.ArgumentParser:
    parser = parser_of("log backup", "Copy the logbook; without FILE make today's backup and list the last seven.")
    parser.add_argument("file", nargs="?", metavar="FILE", help="the copy to write")
    add_force(parser)
    return parser


def run(asked: argparse.Namespace) -> int:
    path = places().logbook
    if not path.exists():
        raise TrainerError(f"There was no logbook to back up yet ({path}).")
    if asked.file is None:
        with stoppable():
            made = backups.back_up_today(path, datetime.now().astimezone().date())
        for backup in opening.backups(path):
            tell(f"{backup}{'  (made now)' if backup == made else ''}")
        return 0
    target = Path(asked.file)
    refuse_target(target, target.absolute(), asked.existing)
    if target.exists() and target.samefile(path):
        raise TrainerError(f"{target} was the logbook itself. Name another file.")
    with stoppable():
        backups.copy(path, target)
    tell(f"{target}: the logbook as it is now")
    return 0
