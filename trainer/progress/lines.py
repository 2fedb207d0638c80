"""Progress as lines of text without colour: rates by tempo, the calendar and the last days."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from trainer.progress import wording
from trainer.progress.figure import TEMPO_STEP, AtTempo, calendar
from trainer.records.totals import Total

SHADES: Final = "·░▒▓█"
"""Level of the calendar → its sign, a dot for no practice and then the darker the more."""

DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
DAY_COLUMNS: Final = 5
WEEK_COLUMNS: Final = 2
MOST_WEEKS: Final = 53
LONGEST_BAR: Final = 20
WITHOUT_BAR: Final = 37  # columns of a line without its bar


def tempo_lines(tempos: Sequence[AtTempo], columns: int) -> list[str]:
    """Return a heading and a line for each step of tempo, slowest first, with the share of tries that qualified."""
    rows, room = [("tempo", "", "qualify", "tries", "best")], max(0, min(LONGEST_BAR, columns - WITHOUT_BAR))
    for step in tempos:
        full = round(room * step.qualify.share)
        bar = "█" * full + "░" * (room - full)
        rate = f"{100 * step.qualify.share:.0f} % ({100 * step.qualify.low:.0f}–{100 * step.qualify.high:.0f})"
        tempo = f"{step.from_bpm}–{step.from_bpm + TEMPO_STEP - 1}"
        rows.append((tempo, bar, rate, f"{step.total.tries:,}", f"{step.total.best:,}"))
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    aligned = (str.ljust, str.ljust, str.ljust, str.rjust, str.rjust)
    return ["  ".join(align(cell, width) for align, cell, width in zip(aligned, row, widths, strict=True)).rstrip()
            for row in rows]  # fmt: skip


def calendar_lines(days: Mapping[date, Total], today: date, columns: int) -> list[str]:
    """Draw the weeks up to today as columns, as many as fit, with months above and weekdays at the left."""
    weeks = calendar(days, today, max(1, min(MOST_WEEKS, (columns - DAY_COLUMNS) // WEEK_COLUMNS)))
    heading = [" "] * (WEEK_COLUMNS * len(weeks) + 3)
    for place, week in enumerate(weeks):
        if week.heading:
            heading[WEEK_COLUMNS * place : WEEK_COLUMNS * place + 3] = week.heading
    lines = [f"{'':{DAY_COLUMNS}}{''.join(heading)}".rstrip()]
    for row, name in enumerate(DAYS):
        signs = (" " if week.levels[row] is None else SHADES[week.levels[row] or 0] for week in weeks)
        lines.append(f"{name:{DAY_COLUMNS}}{' '.join(signs)}".rstrip())
    return [*lines, f"{SHADES[0]} none; {' '.join(SHADES[1:])} more and more tries"]


def day_lines(days: Mapping[date, Total], most: int) -> list[str]:
    """Return a line for each of the last `most` days with practice, newest first."""
    rows = sorted(days.items(), reverse=True)[:most]
    width = max((len(f"{total.tries:,}") for _, total in rows), default=0)
    return [
        f"{day}  {total.tries:{width},} {'try  ' if total.tries == 1 else 'tries'}  "
        f"mean {wording.catches(total.catches / total.tries):>4}  best {total.best}"
        for day, total in rows
    ]
