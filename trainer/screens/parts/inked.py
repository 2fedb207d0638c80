"""A widget that draws itself row by row, many times a second, in styles looked up once for each look of the app."""

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
    """Gives its rows as they were drawn, until it is to be drawn again or looks otherwise.

    A screen that moves asks each of its widgets for all of its rows, many times a second.
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


Stretch = tuple[str, str]
"""A stretch of a row in one ink."""


class Bare(Widget):
    """Has neither border nor padding: its rows go to the screen as they are, in styles looked up once for each look.

    Textual works each style out anew after every refresh, and for every row asked. INKS: component classes, and an
    empty name for the widget's own style. A subclass gives a row as runs, and says when rows are to be drawn again.
    """

    INKS: tuple[str, ...] = ("",)

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._styles_by_ink: dict[str, Style] = {}
        self._codes_by_ink: dict[str, tuple[str, str]] = {}

    def runs(self, y: int) -> list[Stretch]:
        """A row, its texts together as wide as the widget."""
        raise NotImplementedError

    def refresh(self, *regions: Region, **what: Any) -> Self:
        if not regions:  # it may look otherwise: the library does this when one of the inks is another
            self._styles_by_ink.clear()
        return super().refresh(*regions, **what)

    def notify_style_update(self) -> None:
        self._styles_by_ink.clear()
        super().notify_style_update()

    def _look_up(self) -> None:
        """Take over the styles, if they are others by now."""
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
        """Draw some rows anew, or all of them, at once where that can be."""
        if not self.display:  # once it is, the library draws it
            return
        self._look_up()
        rows = range(self.size.height) if rows is None else tuple(rows)
        if not private.draw(self, ((row, self._coded(row)) for row in rows)):
            width = self.size.width
            self.refresh(*(Region(0, row, width, 1) for row in rows))

    def _coded(self, y: int) -> str:
        """A row as the terminal takes it."""
        parts: list[str] = []
        codes, left = self._codes_by_ink, self.size.width
        for run, ink in self.runs(y):
            text = run[:left]  # what is beside it belongs to others
            left -= len(text)
            if text:
                before, after = codes[ink]
                parts += (before, text, after)
        return "".join(parts)

    def render_line(self, y: int) -> Strip:
        styles = self._styles_by_ink
        strip = Strip([Segment(text, styles[ink]) for text, ink in self.runs(y) if text])
        return strip.adjust_cell_length(self.size.width, styles[""])

    def render_lines(self, crop: Region) -> list[Strip]:
        self._look_up()
        strips = [self.render_line(y) for y in crop.line_range]
        return (
            strips if crop.column_span == (0, self.size.width) else [strip.crop(*crop.column_span) for strip in strips]
        )
