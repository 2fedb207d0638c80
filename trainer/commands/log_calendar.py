"""The command log calendar: what was practised on each day."""

from __future__ import annotations

import argparse

from trainer.commands.asked import text_to_whole
from trainer.commands.log import Columns, left, right, to_columns
from trainer.commands.terminal import tell, tell_json
from trainer.commands.words import add_json, parser_of
from trainer.files.places import places
from trainer.logbook.store import Logbook
from trainer.records.totals import DayTotal

MOST_DAYS = 100_000


def words() -> argparse.ArgumentParser:
    parser = parser_of("log calendar", "What was practised on each day, oldest first.")
    parser.add_argument("--juggler", metavar="NAME", help="only by this juggler")
    parser.add_argument("--limit", metavar="N", help="only the last N days")
    add_json(parser)
    return parser


def run(asked: argparse.Namespace) -> int:
    limit = None if asked.limit is None else text_to_whole(asked.limit, "a limit", 1, MOST_DAYS)
    with Logbook.open_to_read(places().logbook) as book:
        days = book.practised(asked.juggler)
    days = days if limit is None else days[-limit:]
    if asked.json:
        tell_json([to_json(day) for day in days])
    elif days:
        tell(*to_columns(COLUMNS, days))
    else:
        tell("No practice yet. Open “throwbeat” and begin.")
    return 0


def to_json(day: DayTotal) -> dict[str, str | int | float]:
    """A day as plain values: all attempts and their seconds; catches, flashes, qualifies are of the fair, counted."""
    return {
        "day": day.day.isoformat(),
        "attempts": day.attempts,
        "attempts_s": day.attempts_s,
        "tries": day.total.tries,
        "catches": day.total.catches,
        "flashes": day.total.flashes,
        "qualifies": day.total.qualifies,
    }


COLUMNS: Columns[DayTotal] = (
    ("day", left, lambda each: f"{each.day:%Y-%m-%d}"),
    ("attempts", right, lambda each: f"{each.attempts:,}"),
    ("min:s", right, lambda each: f"{round(each.attempts_s) // 60}:{round(each.attempts_s) % 60:02}"),
    ("catches", right, lambda each: f"{each.total.catches:,}"),
    ("flashed", right, lambda each: f"{each.total.flashes:,}"),
    ("qualified", right, lambda each: f"{each.total.qualifies:,}"),
)
