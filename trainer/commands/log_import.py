"""The command log import: takes into the logbook what is new in an exported file."""

from __future__ import annotations

import argparse
from pathlib import Path

from trainer.commands.bar import shown, stoppable
from trainer.commands.log_export import path_to_ending
from trainer.commands.terminal import tell
from trainer.commands.words import parser_of
from trainer.files.places import places
from trainer.logbook.exchange import Imported, import_file, try_import
from trainer.logbook.store import Logbook
from trainer.progress.wording import number


def words() -> argparse.ArgumentParser:
    parser = parser_of("log import", "Take in what is new in an exported file: all of it, or none if it has a mistake.")
    parser.add_argument("file", metavar="FILE", help="ends in .csv or .json; see “throwbeat log export --help”")
    parser.add_argument("--dry-run", action="store_true", help="only say what would be imported")
    return parser


def run(asked: argparse.Namespace) -> int:
    path = Path(asked.file)
    ending = path_to_ending(path)
    with stoppable(), Logbook.open(places().logbook) as book, shown("Reading") as bar:
        done = (try_import if asked.dry_run else import_file)(book, path, ending, bar)
    tell(*to_lines(path, done, "would be" if asked.dry_run else "were"))
    return 0


def to_lines(path: Path, done: Imported, word: str) -> list[str]:
    """What an import did or would do."""
    new = [number(done.attempts, "attempt")]
    new += [number(done.climbs, "climb")] if done.climbs else []
    new += [number(done.plan_runs, "run of a plan", "runs of plans")] if done.plan_runs else []
    lines = [f"{path}: {', '.join(new)} {word} imported."]
    if done.known:
        left = "was known already and left as it is" if done.known == 1 else "were known already and left as they are"
        lines.append(f"{number(done.known, 'attempt')} in it {left}.")
    if done.loose:
        lines.append(f"{number(done.loose, 'attempt')} {word} taken out of a climb or plan that is not in the logbook.")
    return lines
