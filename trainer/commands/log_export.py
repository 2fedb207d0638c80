"""The command log export: all that is in the logbook, written to a file."""

from __future__ import annotations

import argparse
from pathlib import Path

from trainer.commands.bar import shown, stoppable
from trainer.commands.terminal import tell
from trainer.commands.words import add_force, parser_of
from trainer.errors import TrainerError
from trainer.files.places import places
from trainer.files.whole import open_whole
from trainer.logbook.exchange import READERS, exported
from trainer.logbook.store import Logbook
from trainer.progress.wording import number

EXPORTED = """\
What the ending of FILE asks for:
  .csv   a line for each attempt, removed ones too; empty is none; RFC 4180, UTF-8. A text that a spreadsheet could
         take for a formula has an apostrophe before it, which importing takes away again.
  .json  the same fields, and climbs, plan runs and corrections too
The fields: uid (the same in every logbook), session_started_at, started_at (ISO 8601 with the offset from UTC),
juggler, pattern, name, objects, prop, tempo_bpm (beats a minute, whole or p/q), dwell_ratio, counted_by (beat, taps,
hand), taps_unit (catch, right, round), catches, seconds, ended (drop, collected, goal, given-up, time),
flash_at_catches, qualify_at_catches, hiccups, fair, removed, climb_uid, plan_run_uid, plan_block (from 0), note."""


def words() -> argparse.ArgumentParser:
    parser = parser_of("log export", "Write all that is in the logbook to a file.", EXPORTED)
    parser.add_argument("file", metavar="FILE", help="ends in .csv or .json")
    add_force(parser)
    return parser


def run(asked: argparse.Namespace) -> int:
    path = Path(asked.file)
    ending = path_to_ending(path)
    with stoppable(), Logbook.open_to_read(places().logbook) as book, open_whole(path, asked.existing) as file:
        with shown("Writing") as bar:
            for piece in exported(book, ending, bar):
                file.write_text(piece)
        count = book.count() + len(book.removed(limit=-1))
    tell(f"{path}: {number(count, 'attempt')}")
    return 0


def path_to_ending(path: Path) -> str:
    """The ending of a file the logbook can be written to and read from; TrainerError for any other."""
    ending = path.suffix.lower()
    if ending not in READERS:
        raise TrainerError(f"“{path}” had no ending known here. Name a file that ends in {' or '.join(READERS)}.")
    return ending
