"""The rungs of a climb as a picture: a row a rung, a column a try, as one goes up and comes down.

A try that held is a full block, one that missed is a cross, so that no colour is needed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Size
from textual.strip import Strip
from textual.widget import Widget

from trainer.practice.climbs.climb import Climb

HELD, MISSED = True, False
SHAPES: dict[tuple[int, int], dict[bool, tuple[str, ...]]] = {
    # (rows, columns) of a cell → the rows of a try that held, and of one that missed
    (2, 2): {HELD: ("█▌", "▀▘"), MISSED: ("╲╱", "╱╲")},
    (2, 1): {HELD: ("█", "▀"), MISSED: ("╳", " ")},
    (1, 2): {HELD: ("█▌",), MISSED: ("╳ ",)},
    (1, 1): {HELD: ("█",), MISSED: ("╳",)},
}
TALL_FROM = 12
"""From this many rows on, each rung is two rows high."""

NOW = "◀"
TARGET = "target"


@dataclass(frozen=True, slots=True)
class RungRow:
    """A row of the picture. label: of its rung, at its left. tries: what is drawn of them. now: where one stands."""

    label: str
    tries: str
    now: bool = False


def draw_rungs(climb: Climb, labels: dict[int, str], columns: int, rows: int) -> tuple[RungRow, ...]:
    """The rows of the picture, from the top. labels: of the rungs in `rungs_shown`, alike in length."""
    tall = 2 if rows >= TALL_FROM else 1
    margin = max(map(len, labels.values()), default=0) + 3
    room = max(1, columns - margin - 2)
    wide = 2 if len(climb.tries) * 2 <= room else 1
    first = max(0, len(climb.tries) - room // wide)
    shapes, blank = SHAPES[tall, wide], " " * wide
    drawn = []
    for number in rungs_shown(climb, rows):
        for line in range(tall):
            cells = [shapes[each.held][line] if each.rung == number else blank for each in climb.tries[first:]]
            text = "".join(cells)
            here = number == climb.place and not climb.done
            if line == 0 and here:
                text += f" {NOW}"
            if line == 0 and number == climb.ladder.last and not climb.done and not any(cell.strip() for cell in cells):
                text = text.ljust(room - len(TARGET)) + TARGET
            drawn.append(RungRow(_label(climb, number, labels, line), text, here))
    return tuple(drawn)


def rungs_shown(climb: Climb, rows: int) -> range:
    """The numbers of the rungs that there is room for, from the top: those around the present one."""
    count = max(1, rows // (2 if rows >= TALL_FROM else 1))
    ladder = climb.ladder
    top = climb.place + count // 2
    if ladder.last is not None:
        top = min(top, ladder.last)
    bottom = max(top - count + 1, min(ladder.first, top))
    top = bottom + count - 1 if ladder.last is None else min(bottom + count - 1, ladder.last)
    return range(top, bottom - 1, -1)


def _label(climb: Climb, number: int, labels: dict[int, str], line: int) -> str:
    """The rung's label; when a threshold was found, with a bar over its interval and a mark at it."""
    text = labels[number] if line == 0 else " " * len(labels[number])
    found = climb.threshold
    if found is None:
        return f"{text} │ "
    tempo_bpm, *beside = (float(climb.ladder.rung(each).tempo_bpm) for each in (number, number - 1, number + 1))
    if line == 0 and all(abs(tempo_bpm - found.tempo_bpm) <= abs(each - found.tempo_bpm) for each in beside):
        return f"{text} ╋━"
    return f"{text} {'┃' if found.low <= tempo_bpm <= found.high else '│'} "


class Rungs(Widget):
    """Draws a climb, and draws it anew only when it has changed."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"rungs--label", "rungs--tries", "rungs--now"}

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.climb: Climb | None = None
        self.labels: dict[int, str] = {}
        self._rows: tuple[RungRow, ...] = ()
        self._drawn_for: tuple[Climb | None, Size] | None = None

    def show(self, climb: Climb, labels: dict[int, str]) -> None:
        """Show a climb. labels: of the rungs that there is room for."""
        if (climb, labels) != (self.climb, self.labels):
            self.climb, self.labels = climb, labels
            self._drawn_for = None
            self.refresh()

    def render_line(self, y: int) -> Strip:
        if self._drawn_for != (self.climb, self.size):
            numbers = tuple(rungs_shown(self.climb, self.size.height)) if self.climb else ()
            known = self.climb is not None and all(number in self.labels for number in numbers)
            climb = self.climb if known else None
            self._rows = draw_rungs(climb, self.labels, self.size.width, self.size.height) if climb else ()
            self._drawn_for = (self.climb, self.size)
        if y >= len(self._rows):
            return Strip.blank(self.size.width, self.rich_style)
        row = self._rows[y]
        label = self.get_component_rich_style("rungs--now" if row.now else "rungs--label")
        tries = self.get_component_rich_style("rungs--tries") + Style(bold=row.now)
        return Strip([Segment(row.label, label), Segment(row.tries, tries)]).adjust_cell_length(
            self.size.width, self.rich_style
        )
