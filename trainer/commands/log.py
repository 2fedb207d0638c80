"""The command log: the attempts made so far, as a table or as JSON."""

from __future__ import annotations

import argparse
import unicodedata
from collections.abc import Callable, Iterable
from typing import TypeVar

from trainer.commands.asked import text_to_whole, words_to_choice
from trainer.commands.terminal import tell, tell_json
from trainer.commands.words import add_json, add_pattern, parser_of
from trainer.files.places import places
from trainer.files.texts import one_line
from trainer.logbook.store import Logbook
from trainer.progress.wording import number
from trainer.records.attempt import Attempt
from trainer.timing.tempo import format_number, to_number

Shown = TypeVar("Shown")
Columns = tuple[tuple[str, Callable[[str, int], str], Callable[[Shown], str]], ...]
"""Of each column its heading, how it aligns a text in a width, and the text that a row has in it."""

MOST_SHOWN = 1_000_000
LONGEST_CELL = 16
"""A longer pattern or name is cut, so that a usual row fits into 80 columns; the JSON has them whole."""

TAPPED = {"catch": "taps", "right": "taps (right)", "round": "taps (round)"}


def words() -> argparse.ArgumentParser:
    parser = parser_of("log", "The attempts you have made, oldest first.")
    add_pattern(parser, "*")
    parser.add_argument("--limit", metavar="N", help="only the last N")
    add_json(parser)
    return parser


def run(asked: argparse.Namespace) -> int:
    limit = None if asked.limit is None else text_to_whole(asked.limit, "a limit", 1, MOST_SHOWN)
    pattern = words_to_choice(asked.pattern).pattern.text if asked.pattern else None
    with Logbook.open_to_read(places().logbook) as logbook:
        attempts = logbook.attempts(pattern, limit)
    if asked.json:
        tell_json(log_json(attempts))
    elif attempts:
        tell(*to_columns(COLUMNS, attempts), "", to_summary(attempts))
    else:
        tell(f"No attempts{f' at {pattern}' if pattern else ''} yet. Open “throwbeat” and make the first.")
    return 0


def to_columns(columns: Columns[Shown], rows: Iterable[Shown]) -> list[str]:
    """A heading and a line for each row, aligned; a column that would be empty is left out, a long cell cut."""
    rows = tuple(rows)
    shown: list[list[str]] = []
    for heading, align, cell in columns:
        cells = [_cut(one_line(cell(row))) for row in rows]
        if any(cells):
            width = max(cell_width(text) for text in (heading, *cells))
            shown.append([align(text, width) for text in (heading, *cells)])
    return ["  ".join(row).rstrip() for row in zip(*shown, strict=True)]


def to_summary(attempts: tuple[Attempt, ...]) -> str:
    """How many there were, of what, and how many were flashed and qualified."""
    patterns = len({attempt.pattern for attempt in attempts})
    flashed = sum(attempt.flash for attempt in attempts)
    qualified = sum(attempt.qualify for attempt in attempts)
    of = attempts[0].pattern if patterns == 1 else f"{patterns} patterns"
    return f"{number(len(attempts), 'attempt')} at {of}: {flashed:,} flashed, {qualified:,} qualified."


def cell_width(text: str) -> int:
    """Columns a text takes on a terminal: wide characters two, combining ones none."""
    return sum(
        0 if unicodedata.combining(char) else 2 if unicodedata.east_asian_width(char) in "WF" else 1 for char in text
    )


def _cut(text: str) -> str:
    """The text, cut if it is too wide; no more of it is looked at than fits."""
    width = fits = 0
    for place, sign in enumerate(text, start=1):
        width += cell_width(sign)
        if width < LONGEST_CELL:
            fits = place
        elif width > LONGEST_CELL:
            return f"{text[:fits]}…"
    return text


def left(text: str, width: int) -> str:
    return text + " " * (width - cell_width(text))


def right(text: str, width: int) -> str:
    return " " * (width - cell_width(text)) + text


def _reached(attempt: Attempt) -> str:
    marks = [
        ("qualify", attempt.qualify),
        ("flash", attempt.flash and not attempt.qualify),
        ("best", attempt.best),
        ("not fair", not attempt.fair),
    ]
    return " ".join(mark for mark, holds in marks if holds)


COLUMNS: Columns[Attempt] = (
    ("when", left, lambda attempt: f"{attempt.started_at:%Y-%m-%d %H:%M}"),
    ("pattern", left, lambda attempt: attempt.pattern),
    ("who", left, lambda attempt: attempt.juggler or ""),
    ("prop", left, lambda attempt: attempt.prop),
    ("tempo", right, lambda attempt: format_number(attempt.tempo)),
    ("catches", right, lambda attempt: "–" if attempt.catches is None else f"{attempt.catches}"),
    ("by", left, lambda attempt: TAPPED.get(attempt.taps_unit or "", attempt.counted_by)),
    ("ended", left, lambda attempt: attempt.ended or ""),
    ("reached", left, _reached),
)


def log_json(attempts: Iterable[Attempt]) -> list[dict[str, str | int | float | bool | None]]:
    """The attempts as rows for JSON: plain texts and numbers, in the order given."""
    return [
        {
            "id": attempt.id,
            "started_at": attempt.started_at.isoformat(),
            "pattern": attempt.pattern,
            "name": attempt.name,
            "objects": attempt.objects,
            "prop": attempt.prop,
            "juggler": attempt.juggler,
            "tempo": to_number(attempt.tempo),
            "dwell": to_number(attempt.dwell),
            "counted_by": str(attempt.counted_by),
            "catches": attempt.catches,
            "seconds": attempt.seconds,
            "ended": None if attempt.ended is None else str(attempt.ended),
            "flash": attempt.flash,
            "qualify": attempt.qualify,
            "best": attempt.best,
            "fair": attempt.fair,
            "note": attempt.note,
        }
        for attempt in attempts
    ]
