"""The commands log export, import, backup and restore: the logbook out to files, and files into it."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path

from trainer.commands.bar import shown, stoppable
from trainer.errors import TrainerError
from trainer.files.places import places
from trainer.files.whole import Existing, open_whole, refuse_target
from trainer.logbook import backups, opening
from trainer.logbook.exchange import READERS, Imported
from trainer.logbook.store import Logbook


def run_export(asked: argparse.Namespace) -> int:
    path, existing = Path(asked.file), _existing(asked)
    ending = _ending(path)
    with stoppable(), Logbook.open_to_read(places().logbook) as book, open_whole(path, existing) as file:
        with shown("Writing") as tell:
            for piece in book.exported(ending, tell):
                file.write_text(piece)
        count = book.count() + len(book.removed(limit=-1))
    print(f"{path}: {_told(count, 'attempt')}")
    return 0


def run_import(asked: argparse.Namespace) -> int:
    path = Path(asked.file)
    ending = _ending(path)
    with stoppable(), Logbook.open(places().logbook) as book, shown("Reading") as tell:
        done = (book.try_import if asked.dry_run else book.import_file)(path, ending, tell)
    print("\n".join(to_lines(path, done, "would be" if asked.dry_run else "were")))
    return 0


def to_lines(path: Path, done: Imported, word: str) -> list[str]:
    """What an import did or would do."""
    new = [_told(done.attempts, "attempt")]
    new += [_told(done.climbs, "climb")] if done.climbs else []
    new += [_told(done.plan_runs, "run of a plan", "runs of plans")] if done.plan_runs else []
    lines = [f"{path}: {', '.join(new)} {word} imported."]
    if done.known:
        left = "was known already and left as it is" if done.known == 1 else "were known already and left as they are"
        lines.append(f"{_told(done.known, 'attempt')} in it {left}.")
    if done.loose:
        lines.append(f"{_told(done.loose, 'attempt')} {word} taken out of a climb or plan that is not in the logbook.")
    return lines


def run_backup(asked: argparse.Namespace) -> int:
    path = places().logbook
    if not path.exists():
        raise TrainerError(f"There was no logbook to back up yet ({path}).")
    if asked.file is None:
        made = backups.back_up_today(path, datetime.now().astimezone().date())
        for backup in opening.backups(path):
            print(f"{backup}{'  (made now)' if backup == made else ''}")
        return 0
    target = Path(asked.file)
    refuse_target(target, target.absolute(), _existing(asked))
    if target.exists() and target.samefile(path):
        raise TrainerError(f"{target} was the logbook itself. Name another file.")
    backups.copy(path, target)
    print(f"{target}: the logbook as it is now")
    return 0


def run_restore(asked: argparse.Namespace) -> int:
    path = places().logbook
    kept = backups.restore(path, Path(asked.file), datetime.now().astimezone())
    with Logbook.open_to_read(path) as book:
        print(f"{path}: {_told(book.count(), 'attempt')}, as in {asked.file}")
    if kept is not None:
        print(f"What was there before is kept in {kept}")
    return 0


def _ending(path: Path) -> str:
    ending = path.suffix.lower()
    if ending not in READERS:
        raise TrainerError(f"“{path}” had no ending known here. Name a file that ends in {' or '.join(READERS)}.")
    return ending


def _existing(asked: argparse.Namespace) -> Existing:
    return Existing.REPLACE if asked.force else Existing.REFUSE


def _told(count: int, one: str, many: str = "") -> str:
    return f"1 {one}" if count == 1 else f"{count:,} {many or f'{one}s'}"
