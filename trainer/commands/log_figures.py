"""From the words of a command to the figures of the logbook it is about, and what the logbook says of each."""

from __future__ import annotations

import argparse
from datetime import datetime

from trainer.commands.asked import require_one_of, words_to_choice
from trainer.errors import TrainerError
from trainer.files.places import places
from trainer.logbook.store import Logbook
from trainer.progress.figure import FigureProgress, progress_in
from trainer.records.attempt import CountedBy

COUNTS = tuple(each.value for each in CountedBy)


def add_figure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--prop", metavar="PROP", help="only with this prop")
    parser.add_argument("--count", metavar="WAY", help="only counted this way: beat, taps or hand")
    parser.add_argument("--juggler", metavar="NAME", help="only of this juggler")


def read_progress(asked: argparse.Namespace, limit: int | None = None) -> tuple[tuple[FigureProgress, ...], int]:
    """The progress of the figures asked for, the one practised last first, at most `limit`; and how many there were."""
    pattern = words_to_choice(asked.pattern).pattern.text if asked.pattern else None
    counted_by = None if asked.count is None else require_one_of(asked.count, "--count", COUNTS)
    with Logbook.open_to_read(places().logbook) as book:
        found = [
            figure
            for figure in book.tried()
            if pattern in (None, figure.pattern)
            and counted_by in (None, figure.counted_by)
            and asked.prop in (None, figure.prop)
            and asked.juggler in (None, figure.juggler)
        ]
        return tuple(progress_in(book, figure) for figure in found[:limit]), len(found)


def refuse_none(found: int, asked: argparse.Namespace) -> None:
    """TrainerError if there is nothing to tell of."""
    if not found:
        narrowed = any(each for each in (asked.pattern, asked.prop, asked.count, asked.juggler))
        raise TrainerError(
            "No tries of that were in the logbook; “throwbeat log progress” lists what there is."
            if narrowed
            else "No tries were in the logbook yet. Open “throwbeat” and make the first, or look at “throwbeat demo”."
        )


def now() -> datetime:
    """The time of day with its offset."""
    return datetime.now().astimezone()
