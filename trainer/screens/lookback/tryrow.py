"""An attempt as a row of the logbook's list, and in full below it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from rich.cells import cell_len, set_cell_size

from trainer.files.texts import one_line
from trainer.progress import wording
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit
from trainer.records.totals import figure_of
from trainer.timing.tempo import format_number

BREAK: Final = "⏎"
"""How a line break in a note is shown and typed."""

TAPPED: Final = {
    TapsUnit.CATCH: "a tap a catch",
    TapsUnit.RIGHT: "a tap a right-hand catch",
    TapsUnit.ROUND: "a tap a round",
}

MARKS: Final[tuple[tuple[str, Callable[[Attempt], bool]], ...]] = (
    ("not fair", lambda attempt: not attempt.fair),
    ("best", lambda attempt: attempt.best),
    ("qualify", lambda attempt: attempt.qualify),
    ("flash", lambda attempt: attempt.flash),
    ("given up", lambda attempt: attempt.ended is Ended.GIVEN_UP),
)
"""The first mark whose condition holds stands in the row."""

COLUMNS: Final[tuple[tuple[str, int, Callable[[Attempt], str]], ...]] = (
    ("when", 14, lambda attempt: f"{attempt.started_at:%y-%m-%d %H:%M}"),
    ("pattern", 15, lambda attempt: attempt.name or attempt.pattern),
    ("who", 7, lambda attempt: attempt.juggler or ""),
    ("prop", 6, lambda attempt: attempt.prop),
    ("tempo", -5, lambda attempt: format_number(attempt.tempo)),
    ("caught", -6, lambda attempt: "–" if attempt.catches is None else f"{attempt.catches:,}"),
    ("by", 4, lambda attempt: attempt.counted_by.value),
    ("reached", 8, lambda attempt: next((mark for mark, holds in MARKS if holds(attempt)), "")),
)
"""The name of each column, its width (negative: flush right), and its text. The note has the rest of the row."""


def heading() -> str:
    """The names of the columns, above the rows."""
    return _row([name for name, _, _ in COLUMNS], "note")


def to_row(attempt: Attempt) -> str:
    """An attempt as one line, its texts cut where they are too long."""
    return _row([one_line(cell(attempt)) for _, _, cell in COLUMNS], one_note(attempt.note))


def _row(cells: list[str], note: str) -> str:
    return " ".join([*(_fitted(text, width) for text, (_, width, _) in zip(cells, COLUMNS, strict=True)), note])


def _fitted(text: str, width: int) -> str:
    room, length = abs(width), cell_len(text)
    if length > room:
        return set_cell_size(text, room - 1) + "…"
    blanks = " " * (room - length)
    return blanks + text if width < 0 else text + blanks


def in_full(attempt: Attempt) -> list[str]:
    """All there is to know of an attempt, in three lines."""
    reached = "qualify" if attempt.qualify else "flash" if attempt.flash else "no flash"
    catches = "no count" if attempt.catches is None else wording.number(attempt.catches, "catch", "catches")
    facts = [
        f"{attempt.started_at:%Y-%m-%d %H:%M}",
        f"{format_number(attempt.tempo)} beats/min",
        f"{catches}: {reached}" if attempt.catches is not None else catches,
        "a best" if attempt.best else "",
        "" if attempt.seconds is None else f"{attempt.seconds:.1f} s",
        attempt.ended.value if attempt.ended else "",
        TAPPED[attempt.taps_unit] if attempt.counted_by is CountedBy.TAPS and attempt.taps_unit else "",
        f"{wording.number(attempt.hiccups, 'hiccup')} of the sound" if attempt.hiccups else "",
        "" if attempt.fair else "not a fair try",
    ]
    note = one_note(attempt.note) if attempt.note else "No note; Enter writes one."
    return [one_line(wording.heading(figure_of(attempt))), " · ".join(filter(None, facts)), note]


def one_note(note: str) -> str:
    """A note on one line."""
    return one_line("\n".join(note.splitlines()).replace("\n", BREAK))
