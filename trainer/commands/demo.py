"""The command demo: a made-up group's logbook in a place of its own, opened as one's own would be."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from random import Random

from trainer.chosen import choose
from trainer.config import Settings
from trainer.library.reading import read_library
from trainer.logbook.store import Logbook
from trainer.places import bundled
from trainer.practice.madeup import GROUP, SEED, Facts, evenings
from trainer.timing.counting import Goals


def fill(path: Path, now: datetime) -> int:
    """Write the made-up group's logbook at `path`, up to `now`; how many attempts it has."""
    facts = _facts()
    with Logbook.open(path, now=now) as book:
        attempts = []
        for evening in evenings(Random(SEED), now, facts):
            session_id = book.begin_session(evening.began)
            attempts += [replace(attempt, session_id=session_id) for attempt in evening.attempts]
        return book.add_all(attempts)


def _facts() -> dict[str, Facts]:
    """What the library says of every pattern the group practises."""
    library = read_library((bundled("patterns"),))
    facts = {}
    for name in {drill.pattern for juggler in GROUP for drill in juggler.drills}:
        choice = library.to_choice(name)
        chosen = choose(choice, Settings())
        goals = Goals.of(chosen.score)
        title = choice.entry.title if choice.entry else None
        facts[name] = Facts(
            choice.pattern.text, title, choice.pattern.objects, chosen.tempo_bpm, chosen.score.dwell, goals.flash,
            goals.qualify,
        )  # fmt: skip
    return facts
