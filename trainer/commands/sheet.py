"""The command sheet: the last judged attempts as a sheet to print, on the terminal or in a file."""

from __future__ import annotations

import argparse
from pathlib import Path

from trainer.errors import TrainerError
from trainer.library.reading import library_folders, read_library
from trainer.logbook.store import Logbook
from trainer.places import places
from trainer.practice.judging import sheet_to_page, sheet_to_text
from trainer.shelf import find_judged, open_shelf
from trainer.wholefile import Existing, open_whole

ENDINGS = (".html", ".txt")


def run(asked: argparse.Namespace) -> int:
    kept = places()
    path = None if asked.out is None else Path(asked.out)
    if path is not None and path.suffix not in ENDINGS:
        raise TrainerError(f"{path} ended in neither of {' and '.join(ENDINGS)}. Name a file that does.")
    shelf = open_shelf(kept, read_library(library_folders(kept)).to_choice)
    with Logbook.open_to_read(kept.logbook) as logbook:
        found = find_judged(logbook.plan_runs(), lambda number: logbook.attempts(plan_run_id=number), shelf)
    if found is None:
        raise TrainerError("There were no judged attempts yet. Practise a plan with a judged block first.")
    if path is None:
        print(sheet_to_text(*found), end="")
        return 0
    text = sheet_to_page(*found) if path.suffix == ".html" else sheet_to_text(*found)
    with open_whole(path, Existing.REPLACE if asked.force else Existing.REFUSE) as file:
        file.write_text(text)
    print(f"{path}: {len(found[1])} tries.")
    return 0
