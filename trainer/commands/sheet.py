"""The command sheet: the last judged attempts as a sheet to print, on the terminal or in a file."""

from __future__ import annotations

import argparse
from pathlib import Path

from trainer.commands.bar import stoppable
from trainer.commands.terminal import complain, tell
from trainer.commands.words import add_force, parser_of
from trainer.errors import TrainerError
from trainer.files.places import places
from trainer.files.whole import open_whole
from trainer.library.reading import library_folders, read_library
from trainer.logbook.store import Logbook
from trainer.practice.plans.folder import open_plan_folder
from trainer.practice.plans.judging import find_judged, sheet_to_page, sheet_to_text

ENDINGS = (".html", ".txt")


def words() -> argparse.ArgumentParser:
    parser = parser_of("sheet", "The last judged attempts, or longest runs, of a plan as a sheet to print and sign.")
    parser.add_argument("--out", metavar="FILE", help="write it to a file: .html to print from a browser, or .txt")
    add_force(parser)
    return parser


def run(asked: argparse.Namespace) -> int:
    kept = places()
    path = None if asked.out is None else Path(asked.out)
    if path is not None and path.suffix not in ENDINGS:
        raise TrainerError(f"{path} ended in neither of {' and '.join(ENDINGS)}. Name a file that does.")
    plan_folder = open_plan_folder(kept, read_library(library_folders(kept)).to_choice)
    with Logbook.open_to_read(kept.logbook) as logbook:
        found = find_judged(logbook.plan_runs(), lambda uid: logbook.attempts(plan_run_uid=uid), plan_folder)
    complain(*found.notices)
    if path is None:
        tell(*sheet_to_text(found.block, found.tries).splitlines())
        return 0
    to_sheet = sheet_to_page if path.suffix == ".html" else sheet_to_text
    with stoppable(), open_whole(path, asked.existing) as file:
        file.write_text(to_sheet(found.block, found.tries))
    tell(f"{path}: {len(found.tries)} tries.")
    return 0
