"""The widgets of the practice screen. Each draws one thing, and again only when that thing has changed."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from trainer.screens.coming import Lane
from trainer.screens.glyphs import SMALL_ROWS, large_rows, small_rows, word_rows


class BigNumber(Widget):
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


class BigWord(BigNumber):
    """A word as large as its room."""

    def draw(self, text: str, columns: int, rows: int) -> list[str]:
        return word_rows(text, columns, rows)


class Lanes(Widget):
    """What each hand throws next: a row a hand, a column a beat, the leftmost column now."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"lanes--right", "lanes--left", "lanes--now", "lanes--faint"}
    CELL = 8
    """Columns a beat."""

    LABEL = 7

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.lanes: tuple[Lane, ...] = ()

    def beats_shown(self) -> int:
        return max(1, (self.size.width - self.LABEL) // self.CELL)

    def show(self, lanes: tuple[Lane, ...]) -> None:
        """The lanes, from the top; only rows that changed are drawn again."""
        for index, lane in enumerate(lanes):
            if index >= len(self.lanes) or lane != self.lanes[index]:
                height = self._lane_rows(len(lanes))
                self.refresh(Region(0, index * height, self.size.width, height))
        if len(lanes) != len(self.lanes):
            self.refresh()
        self.lanes = lanes

    def _lane_rows(self, lanes: int) -> int:
        return SMALL_ROWS if lanes and self.size.height >= lanes * SMALL_ROWS else 1

    def render_line(self, y: int) -> Strip:
        height = self._lane_rows(len(self.lanes))
        index, row = divmod(y, height)
        if index >= len(self.lanes):
            return Strip.blank(self.size.width, self.rich_style)
        lane = self.lanes[index]
        hand = self.get_component_rich_style(f"lanes--{lane.side}")
        faint = self.get_component_rich_style("lanes--faint")
        label = lane.label if row == height // 2 else ""
        segments = [Segment(label.ljust(self.LABEL), hand + Style(bold=True))]
        for place, cell in enumerate(lane.cells):
            drawn = small_rows(cell.text)[row] if height == SMALL_ROWS else cell.text
            style = faint if cell.faint else hand
            if place == 0:
                style += self.get_component_rich_style("lanes--now")
            segments.append(Segment(drawn[: self.CELL - 1].center(self.CELL - 1), style))
            segments.append(Segment(" ", self.rich_style))
        return Strip(segments).adjust_cell_length(self.size.width, self.rich_style)


class Progress(Widget):
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
