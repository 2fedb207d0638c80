"""Widgets that draw themselves row by row, many times a second, in styles looked up once for each look of the app."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Self

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from trainer.screens.parts import private

MARK = "#"


class Unmoving(Widget):
    """Keeps its rows until it is to be drawn again or its style changes.

    On a screen that moves, the library asks each widget for all of its rows many times a second.
    """

    _kept: tuple[Region, list[Strip]] | None = None

    def refresh(self, *regions: Region, **what: Any) -> Self:
        self._kept = None
        return super().refresh(*regions, **what)

    def notify_style_update(self) -> None:
        self._kept = None
        super().notify_style_update()

    def render_lines(self, crop: Region) -> list[Strip]:
        if self._kept is None or self._kept[0] != crop:
            self._kept = crop, super().render_lines(crop)
        return self._kept[1]


InkedText = tuple[str, str]
"""A stretch of a row in one ink."""


class Bare(Widget):
    """A widget without border and padding, so that its rows go to the screen as they are.

    Styles are looked up once for each look; the library works each out anew for every row. INKS: component classes, and
    an empty name for the widget's own style. A subclass gives a row as runs, and calls `redraw` when rows change.
    """

    INKS: tuple[str, ...] = ("",)

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._styles_by_ink: dict[str, Style] = {}
        self._codes_by_ink: dict[str, tuple[str, str]] = {}

    def runs(self, y: int) -> list[InkedText]:
        """A row, its texts together as wide as the widget."""
        raise NotImplementedError

    def refresh(self, *regions: Region, **what: Any) -> Self:
        if not regions:  # the library calls it so when one of the inks has changed
            self._styles_by_ink.clear()
        return super().refresh(*regions, **what)

    def notify_style_update(self) -> None:
        self._styles_by_ink.clear()
        super().notify_style_update()

    def _look_up(self) -> None:
        """Look the styles up, if they have been cleared."""
        if self._styles_by_ink:
            return
        for ink in self.INKS:
            style = self.get_component_rich_style(ink) if ink else self.rich_style
            sample = Strip([Segment(MARK, style)])
            for line_filter in self.get_line_filters():
                sample = sample.apply_filter(line_filter, self.background_colors[1])
            self._styles_by_ink[ink] = next(iter(sample)).style or style
            before, _, after = sample.render(self.app.console).partition(MARK)
            self._codes_by_ink[ink] = before, after

    def redraw(self, rows: Iterable[int] | None = None) -> None:
        """Draw some rows again, or all (None): at once if `private.draw` can, else with the library's next picture."""
        if not self.display:  # the library draws it when it is displayed
            return
        self._look_up()
        rows = range(self.size.height) if rows is None else tuple(rows)
        if not private.draw(self, ((row, self._coded(row)) for row in rows)):
            width = self.size.width
            self.refresh(*(Region(0, row, width, 1) for row in rows))

    def _coded(self, y: int) -> str:
        """A row with the control sequences of its styles."""
        parts: list[str] = []
        codes, left = self._codes_by_ink, self.size.width
        for run, ink in self.runs(y):
            text = run[:left]  # what is further right belongs to other widgets
            left -= len(text)
            if text:
                before, after = codes[ink]
                parts += (before, text, after)
        return "".join(parts)

    def render_line(self, y: int) -> Strip:
        """A row; the library asks for one before any is drawn, too, where the mouse hits it."""
        self._look_up()
        styles = self._styles_by_ink
        strip = Strip([Segment(text, styles[ink]) for text, ink in self.runs(y) if text])
        return strip.adjust_cell_length(self.size.width, styles[""])

    def render_lines(self, crop: Region) -> list[Strip]:
        strips = [self.render_line(y) for y in crop.line_range]
        return (
            strips if crop.column_span == (0, self.size.width) else [strip.crop(*crop.column_span) for strip in strips]
        )
