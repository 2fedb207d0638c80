"""The widgets of the practice screen. Each draws one thing, and again only when that thing has changed."""

from __future__ import annotations

from fractions import Fraction
from math import floor
from typing import ClassVar

from rich.cells import cell_len, set_cell_size
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.geometry import Size
from textual.widgets import Static

from trainer.screens.parts.glyphs import SMALL_ROWS, small_rows
from trainer.screens.parts.inked import Bare, InkedText, Unmoving
from trainer.screens.parts.large import KindOfText
from trainer.screens.practice.coming import Cell, Lane, coming_lanes, signs_told, widest_cell
from trainer.timing.score import Score


# The library takes a widget's look from its first base alone.
class Across(Horizontal, Unmoving):
    """Widgets beside each other on a screen that moves."""


class Down(Vertical, Unmoving):
    """Widgets one below the other on a screen that moves."""


class Text(Unmoving, Static):
    """A text with markup that stays for a while."""

    text = ""

    def show(self, text: str) -> None:
        """Show another text in the same room."""
        if text != self.text:
            self.text = text
            self.update(text, layout=False)


class Banner(KindOfText):
    """A bar in the colour of its kind that says where the practice stands and what to press."""

    INKS = ("", "banner--armed", "banner--count-in", "banner--running", "banner--ended")
    COMPONENT_CLASSES: ClassVar[set[str]] = {ink for ink in INKS if ink}

    def runs(self, y: int) -> list[InkedText]:
        width, height = self.size
        lines = Content(self.text).wrap(width)[:height]
        place = y - (height - len(lines)) // 2
        line = lines[place].plain if 0 <= place < len(lines) else ""
        return [(set_cell_size(" " * ((width - cell_len(line)) // 2) + line, width), f"banner--{self.kind}")]


class Lanes(Bare):
    """What each hand throws next: a row a hand; the throws move to the left and are made in the marked place, now."""

    INKS = ("", "lanes--right", "lanes--left", "lanes--now", "lanes--faint", "lanes--line")
    COMPONENT_CLASSES: ClassVar[set[str]] = {ink for ink in INKS if ink}
    LEAST_CELL = 8
    """The fewest columns of a beat."""

    LABEL = 8
    HEAD = 1
    """Rows above the lanes: a line, and what the signs say."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.lanes: tuple[Lane, ...] = ()
        self._drawn: dict[tuple[int, int, int], list[tuple[str, bool]]] = {}
        self._score: Score | None = None
        self._cell = self.LEAST_CELL
        self._beat: Fraction | None = None
        self._from = (0, 0)
        self._shift = 0
        self._room = Size(0, 0)
        self._told = ""

    def clear(self) -> None:
        """Show no throws."""
        if self.lanes:
            self.lanes, self._score, self._told = (), None, ""
            self.refresh()

    def on_resize(self) -> None:
        if self._score is not None:
            self.show(self._score, self._beat)

    def show(self, score: Score, beat: Fraction | None) -> None:
        """Show the throws of a score from a beat on, or from its first one. Half a beat moves them half a width."""
        self._beat = beat
        if score is not self._score:
            self._fit(score)
        step = score.pattern.beat_step
        place = (beat or Fraction(0)) / step
        whole = floor(place)
        shift = floor((place - whole) * self._cell)
        size = self.size
        still = score is self._score and size == self._room
        beats = max(1, (size.width - 1 - self.LABEL) // self._cell + 2)
        if score is not self._score or (whole, beats) != self._from:
            self.lanes, self._drawn = coming_lanes(score, Fraction(whole * step), beats), {}
            self._score, self._from = score, (whole, beats)
        elif still and shift == self._shift:
            return
        self._shift, self._room = shift, size
        self.redraw(range(self.HEAD if still else 0, size.height))

    def _fit(self, score: Score) -> None:
        """Make room for the widest throw of the score, and for all of its hands."""
        self._cell = max(self.LEAST_CELL, 4 * (widest_cell(score) + score.pattern.beat_step - 1))
        self._told = signs_told(score)
        hands = 2 * score.pattern.jugglers
        rows = SMALL_ROWS * hands if self.screen.size.height >= 10 * hands else max(2 * SMALL_ROWS, hands)
        self.styles.height = self.HEAD + rows

    def runs(self, y: int) -> list[InkedText]:
        """The line above the lanes with the signs in it, or a row of a lane, its throws moved to the left."""
        width = self._room.width - 1
        if y < self.HEAD:
            told = f" {self._told} "[:width] if self._told else ""
            return [("─" * (width - len(told)), "lanes--line"), (told, "lanes--faint"), ("─", "lanes--line")]
        height = SMALL_ROWS if self.lanes and self._room.height - self.HEAD >= len(self.lanes) * SMALL_ROWS else 1
        index, row = divmod(y - self.HEAD, height)
        if index >= len(self.lanes):
            return [(" " * self._room.width, "")]
        lane, hand = self.lanes[index], f"lanes--{self.lanes[index].side}"
        label = f" {lane.label}" if row == height // 2 else ""
        runs = [(label.ljust(self.LABEL)[:width], hand)]
        at, now, stop = self._shift, self._shift + self._cell - 1, self._shift + width - self.LABEL
        for text, faint in self._stretches(index, row, height):
            runs += [(text[at:now], "lanes--now"), (text[max(at, now) : stop], "lanes--faint" if faint else hand)]
            at, now, stop = max(0, at - len(text)), max(0, now - len(text)), stop - len(text)
            if stop <= 0:
                break
        return [*runs, (" " * (1 + max(0, stop)), "")]

    def _stretches(self, index: int, row: int, height: int) -> list[tuple[str, bool]]:
        """A row of a lane, its faint beats apart from the others; the same for all of a beat."""
        key = (index, row, height)
        if key not in self._drawn:
            stretches: list[tuple[str, bool]] = []
            for cell in self.lanes[index].cells:
                text, before = self._text(cell, row, height), stretches[-1:]
                if before and (before[0][1] is cell.faint or not cell.drawn):  # what is blank has no ink
                    stretches[-1] = before[0][0] + text, before[0][1]
                else:
                    stretches.append((text, cell.faint))
            self._drawn[key] = stretches
        return self._drawn[key]

    def _text(self, cell: Cell, row: int, height: int) -> str:
        """One row of a beat, as wide as every beat."""
        drawn = small_rows(cell.drawn)[row] if height == SMALL_ROWS else cell.drawn
        return drawn[: self._cell - 1].center(self._cell - 1) + " "


class GoalBars(Bare):
    """How far it is to the flash and to the qualify: a bar each, with the number it takes."""

    INKS = ("", "progress--flash", "progress--qualify", "progress--rest", "progress--label")
    COMPONENT_CLASSES: ClassVar[set[str]] = {ink for ink in INKS if ink}
    LABEL = 8

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.catches = 0
        self.goals: tuple[tuple[str, int], ...] = ()

    def show(self, catches: int, goals: tuple[tuple[str, int], ...]) -> None:
        if (catches, goals) != (self.catches, self.goals):
            self.catches, self.goals = catches, goals
            self.redraw()

    def runs(self, y: int) -> list[InkedText]:
        width = self.size.width
        if y >= len(self.goals):
            return [(" " * width, "")]
        name, needed = self.goals[y]
        reached, style, label = self.catches >= needed > 0, f"progress--{name}", "progress--label"
        widest = max(len(f" {goal}/{goal} ✓") for _, goal in self.goals)
        room = max(0, min(max(4, width - self.LABEL - 9), width - self.LABEL - widest))
        full = min(room, room * self.catches // needed) if needed else 0
        count = f" {min(self.catches, needed)}/{needed}{' ✓' if reached else ''}"
        return [
            (name.ljust(self.LABEL), label),
            ("█" * full, style),
            ("░" * (room - full), "progress--rest"),
            (count.ljust(width - self.LABEL - room), style if reached else label),
        ]
