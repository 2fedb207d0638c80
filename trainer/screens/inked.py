"""A widget that draws itself row by row, many times a second, in styles looked up once for each look of the app."""

from __future__ import annotations

from typing import Any, Self

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget


class Kept(Widget):
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


class Inked(Widget):
    """Has its styles by name. Textual works each of them out anew after every refresh, and for every row asked.

    INKS: component classes, and an empty name for the widget's own style.
    """

    INKS: tuple[str, ...] = ("",)
    _look = ""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.styles_by_ink: dict[str, Style] = {}

    def look_up(self) -> bool:
        """Take over the styles, if the look of the app is another one by now; whether it was."""
        look = self.app.theme
        if look == self._look:
            return False
        self._look = look
        self.styles_by_ink = {ink: self.get_component_rich_style(ink) if ink else self.rich_style for ink in self.INKS}
        return True

    def refresh_rows(self, rows: list[int]) -> None:
        """Have some rows of the content drawn again."""
        width = self.size.width
        self.refresh(*(Region(0, row, width, 1) for row in rows))


class Bare(Inked):
    """One without border and padding: its rows go to the screen as they are, in styles that need no more filters."""

    def look_up(self) -> bool:
        looks_new = super().look_up()
        if looks_new:
            for ink, style in self.styles_by_ink.items():
                sample = Strip([Segment(" ", style)])
                for line_filter in self.get_line_filters():
                    sample = sample.apply_filter(line_filter, self.background_colors[1])
                self.styles_by_ink[ink] = next(iter(sample)).style or style
        return looks_new

    def render_lines(self, crop: Region) -> list[Strip]:
        width = self.size.width
        if "" not in self.styles_by_ink:
            return [Strip.blank(crop.width, self.rich_style)] * crop.height
        own = self.styles_by_ink[""]
        strips = [self.render_line(y).adjust_cell_length(width, own) for y in crop.line_range]
        return strips if crop.column_span == (0, width) else [strip.crop(*crop.column_span) for strip in strips]
