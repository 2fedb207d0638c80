"""The command demo: the trainer with a made-up group's logbook, in a place of its own that leaving removes."""

from __future__ import annotations

import argparse
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

from trainer.commands.madeup import GROUP, SEED, SIGN, evenings
from trainer.commands.start import open_trainer, require_terminal
from trainer.commands.words import parser_of
from trainer.config import Settings, load
from trainer.files.places import bundled, places
from trainer.library.chosen import choose
from trainer.library.reading import read_library
from trainer.logbook.store import Logbook


def words() -> argparse.ArgumentParser:
    return parser_of("demo", "The trainer with the logbook of a made-up group, apart from yours; leaving removes it.")


def run(asked: argparse.Namespace) -> int:
    """Open the trainer on a made-up logbook; the status. The user's own settings, kits and patterns are only read."""
    own = places()
    settings, errors = load(own.settings)
    require_terminal()
    with TemporaryDirectory(prefix="throwbeat-demo-") as folder:
        kept = replace(own, settings=Path(folder) / "settings.toml", logbook=Path(folder) / "logbook.sqlite")
        fill(kept.logbook, datetime.now().astimezone())
        return open_trainer(kept, as_one_of_them(settings), [str(error) for error in errors], sign=SIGN)


def as_one_of_them(settings: Settings) -> Settings:
    """The user's settings with juggler, prop and counting of the group's first, so that the bests shown are hers."""
    juggler = GROUP[0]
    drill = juggler.drills[0]
    return replace(settings, juggler=juggler.name, prop=drill.prop, counted_by=drill.counted_by)


def fill(path: Path, now: datetime) -> int:
    """Write the made-up group's logbook at `path`, up to `now`; returns how many attempts it has."""
    library = read_library((bundled("patterns"),))
    patterns = {drill.pattern for juggler in GROUP for drill in juggler.drills}
    drilled = {name: choose(library.to_choice(name), Settings()) for name in patterns}
    with Logbook.open(path, now=now) as book, book.at_once():
        attempts = []
        for evening in evenings(Random(SEED), now, drilled):
            session_id = book.begin_session(evening.began)
            attempts += [replace(attempt, session_id=session_id) for attempt in evening.attempts]
            for climbed in evening.climbs:
                uid = book.keep(replace(climbed.climb, session_id=session_id)).uid
                attempts += [replace(each, session_id=session_id, climb_uid=uid) for each in climbed.attempts]
        return book.add_all(attempts)
