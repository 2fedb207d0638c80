"""The command log best: the most catches of each figure, how often it was flashed and qualified, and when."""

from __future__ import annotations

import argparse

from trainer.commands.log import Columns, left, right, to_columns
from trainer.commands.terminal import tell, tell_json
from trainer.commands.words import add_json, parser_of
from trainer.files.places import places
from trainer.logbook.store import Logbook
from trainer.records.totals import FigureTotal


def words() -> argparse.ArgumentParser:
    parser = parser_of("log best", "The most catches of each figure, and how often it was flashed and qualified.")
    add_json(parser)
    return parser


def run(asked: argparse.Namespace) -> int:
    with Logbook.open_to_read(places().logbook) as book:
        standings = tuple(standing for standing in book.standings() if standing.total.tries)
    if asked.json:
        tell_json([to_json(standing) for standing in standings])
    elif standings:
        tell(*to_columns(COLUMNS, standings))
    else:
        tell("No tries yet. Open “throwbeat” and make the first.")
    return 0


def to_json(standing: FigureTotal) -> dict[str, str | int | float | None]:
    """A figure's best as plain values; dates are of the place, seconds from the first throw to the end."""
    figure, total = standing.figure, standing.total
    return {
        "pattern": figure.pattern,
        "name": figure.name,
        "juggler": figure.juggler,
        "prop": figure.prop,
        "counted_by": str(figure.counted_by),
        "best_catches": total.best,
        "best_day": None if standing.best_day is None else standing.best_day.isoformat(),
        "tries": total.tries,
        "flashes": total.flashes,
        "qualifies": total.qualifies,
        "catches": total.catches,
        "seconds": total.seconds,
        "last_day": standing.last_day.isoformat(),
    }


COLUMNS: Columns[FigureTotal] = (
    ("pattern", left, lambda each: each.figure.pattern),
    ("name", left, lambda each: each.figure.name or ""),
    ("who", left, lambda each: each.figure.juggler or ""),
    ("prop", left, lambda each: each.figure.prop),
    ("by", left, lambda each: each.figure.counted_by),
    ("best", right, lambda each: f"{each.total.best:,}"),
    ("on", left, lambda each: f"{each.best_day}"),
    ("tries", right, lambda each: f"{each.total.tries:,}"),
    ("flashed", right, lambda each: f"{each.total.flashes:,}"),
    ("qualified", right, lambda each: f"{each.total.qualifies:,}"),
)
