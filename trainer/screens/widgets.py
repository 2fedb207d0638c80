"""The widgets of the practice screen. Each draws one thing, and again only when that thing has changed."""

from __future__ import annotations

from fractions import Fraction
from math import floor
from typing import ClassVar

from rich.segment import Segment
from textual.containers import Horizontal, Vertical
from textual.geometry import Size
from textual.strip import Strip
from textual.widgets import Static

from trainer.screens.coming import Cell, Lane, coming_lanes, signs_told, widest_cell
from trainer.screens.glyphs import SMALL_ROWS, large_rows, small_rows, word_rows
from trainer.screens.inked import Bare, Kept
from trainer.timing.score import Score


class BigNumber(Kept):
    """A number as large as its room, to be read from across a hall."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "bignumber--plain",
        "bignumber--flash",
        "bignumber--qualify",
        "bignumber--count-in",
    }

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.text, self.kind = "", "plain"
        self._rows: list[str] = []
        self._drawn_for: tuple[str, Size] | None = None

    def show(self, text: str, kind: str) -> None:
        """A text, and which goal it has reached: plain, flash or qualify, or else count-in."""
        if (text, kind) != (self.text, self.kind):
            self.text, self.kind = text, kind
            self.refresh()

    def render_line(self, y: int) -> Strip:
        if self._drawn_for != (self.text, self.size):  # the room may change before anybody is told
            self._rows = self.draw(self.text, self.size.width, self.size.height)
            self._drawn_for = (self.text, self.size)
        style = self.get_component_rich_style(f"bignumber--{self.kind}")
        return Strip([Segment(self._rows[y], style)], self.size.width)

    def draw(self, text: str, columns: int, rows: int) -> list[str]:
        """The rows of a text, as large as fits."""
        return large_rows(text, columns, rows)


# The library takes a widget's look from its first base alone.
class Across(Horizontal, Kept):
    """Widgets beside each other on a screen that moves."""


class Down(Vertical, Kept):
    """Widgets one below the other on a screen that moves."""


class Text(Kept, Static):
    """A text that stays for a while."""


class BigWord(BigNumber):
    """A word as large as its room."""

    def draw(self, text: str, columns: int, rows: int) -> list[str]:
        return word_rows(text, columns, rows)


class Lanes(Bare):
    """What each hand throws next: a row a hand; the throws move to the left and are made in the marked place, now."""

    INKS = ("", "lanes--right", "lanes--left", "lanes--now", "lanes--faint", "lanes--line")
    COMPONENT_CLASSES: ClassVar[set[str]] = {ink for ink in INKS if ink}
    LEAST_CELL = 8
    """Columns a beat, at least."""

    LABEL = 8
    HEAD = 1
    """Rows above the lanes: a line, and what the signs say."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.lanes: tuple[Lane, ...] = ()
        self._score: Score | None = None
        self._cell = self.LEAST_CELL
        self._from = (0, 0)
        self._shift = 0
        self._room = Size(0, 0)
        self._told = ""

    def clear(self) -> None:
        """Nothing is thrown for now."""
        if self.lanes:
            self.lanes, self._score, self._told = (), None, ""
            self.refresh()

    def show(self, score: Score, beat: Fraction | None) -> None:
        """The throws of a score from a beat on, or from its first one; a beat half gone has moved by half its width."""
        if score is not self._score:
            self._fit(score)
        step = score.pattern.beat_step
        place = (beat or Fraction(0)) / step
        whole = floor(place)
        shift = floor((place - whole) * self._cell)
        looks_new, size = self.look_up(), self.size
        beats = max(1, (size.width - 1 - self.LABEL) // self._cell + 2)
        if score is not self._score or (whole, beats) != self._from:
            self.lanes = coming_lanes(score, Fraction(whole * step), beats)
            self._score, self._from = score, (whole, beats)
        elif shift == self._shift and size == self._room and not looks_new:
            return
        self._shift, self._room = shift, size
        self.refresh_rows(list(range(size.height)))

    def _fit(self, score: Score) -> None:
        """Room for the widest throw of the score, and for all of its hands."""
        self._cell = max(self.LEAST_CELL, 4 * (widest_cell(score) + score.pattern.beat_step - 1))
        self._told = signs_told(score)
        hands = 2 * score.pattern.jugglers
        rows = SMALL_ROWS * hands if self.screen.size.height >= 10 * hands else max(2 * SMALL_ROWS, hands)
        self.styles.height = self.HEAD + rows

    def _lane_rows(self) -> int:
        return SMALL_ROWS if self.lanes and self._room.height - self.HEAD >= len(self.lanes) * SMALL_ROWS else 1

    def render_line(self, y: int) -> Strip:
        height, width = self._lane_rows(), self._room.width - 1
        if y < self.HEAD:
            return self._head()
        index, row = divmod(y - self.HEAD, height)
        if index >= len(self.lanes):
            return Strip.blank(width + 1, self.styles_by_ink[""])
        lane, styles = self.lanes[index], self.styles_by_ink
        hand, faint, now = styles[f"lanes--{lane.side}"], styles["lanes--faint"], styles["lanes--now"]
        segments = [Segment((f" {lane.label}" if row == height // 2 else "").ljust(self.LABEL)[:width], hand)]
        left, stop = self.LABEL, width
        for place, cell in enumerate(lane.cells):
            text = self._text(cell, row, height)[self._shift if place == 0 else 0 :][: max(0, stop - left)]
            marked = text[: max(0, self.LABEL + self._cell - 1 - left)]
            if marked:
                segments.append(Segment(marked, now))
            if len(marked) < len(text):
                segments.append(Segment(text[len(marked) :], faint if cell.faint else hand))
            left += len(text)
        return Strip(segments).adjust_cell_length(width, styles[""])

    def _head(self) -> Strip:
        """The line above the lanes, with the signs at its end."""
        told = f" {self._told} " if self._told else ""
        line = "─" * max(0, self._room.width - len(told) - 1)
        styles = self.styles_by_ink
        end = "─" if line else ""
        return Strip(
            [
                Segment(line, styles["lanes--line"]),
                Segment(told, styles["lanes--faint"]),
                Segment(end, styles["lanes--line"]),
            ]
        )

    def _text(self, cell: Cell, row: int, height: int) -> str:
        """One row of a beat, as wide as every beat."""
        drawn = small_rows(cell.drawn)[row] if height == SMALL_ROWS else cell.drawn
        return drawn[: self._cell - 1].center(self._cell - 1) + " "


class Progress(Kept):
    """How far it is to the flash and to the qualify: a bar each, with the number it takes."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "progress--flash",
        "progress--qualify",
        "progress--rest",
        "progress--label",
    }
    LABEL = 8

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.catches = 0
        self.goals: tuple[tuple[str, int], ...] = ()

    def show(self, catches: int, goals: tuple[tuple[str, int], ...]) -> None:
        if (catches, goals) != (self.catches, self.goals):
            self.catches, self.goals = catches, goals
            self.refresh()

    def render_line(self, y: int) -> Strip:
        if y >= len(self.goals):
            return Strip.blank(self.size.width, self.rich_style)
        name, needed = self.goals[y]
        reached = self.catches >= needed > 0
        room = max(4, self.size.width - self.LABEL - 9)
        full = min(room, room * self.catches // needed) if needed else 0
        count = f" {min(self.catches, needed)}/{needed}"
        label = self.get_component_rich_style("progress--label")
        style = self.get_component_rich_style(f"progress--{name}")
        return Strip(
            [
                Segment(name.ljust(self.LABEL), label),
                Segment("█" * full, style),
                Segment("░" * (room - full), self.get_component_rich_style("progress--rest")),
                Segment(f"{count}{' ✓' if reached else ''}", style if reached else label),
            ]
        ).adjust_cell_length(self.size.width, self.rich_style)
