"""A list of rows to move and choose in, however long: only the rows in sight are ever looked at or drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip


class Listing(ScrollView, can_focus=True):
    """Rows of one line each, one of them highlighted, or none. They scroll up and down only."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"listing--row", "listing--cursor"}
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "move_page(-1)", show=False),
        Binding("pagedown", "move_page(1)", show=False),
        Binding("home", "go_to_first", show=False),
        Binding("end", "go_to_last", show=False),
        Binding("enter,space", "choose", show=False),
    ]

    @dataclass
    class Moved(Message):
        """The cursor went to another row."""

        listing: Listing
        index: int

        @property
        def control(self) -> Listing:
            return self.listing

    @dataclass
    class Chosen(Message):
        """A row was taken, by Enter or by a click."""

        listing: Listing
        index: int

        @property
        def control(self) -> Listing:
            return self.listing

    highlighted: reactive[int | None] = reactive(None, init=False, repaint=False)
    """The row under the cursor; None where there are no rows, or before any was come to."""

    def __init__(self, rows: Sequence[str] = (), *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.rows: tuple[str, ...] = tuple(rows)

    def show(self, rows: Sequence[str]) -> None:
        """Other rows, from their first on, none of them under the cursor yet."""
        self.rows = tuple(rows)
        with self.prevent(self.Moved):
            self.highlighted = None
        self._fit()
        self.scroll_to(0, 0, animate=False, force=True, immediate=True)
        self.refresh()

    def extend(self, rows: Sequence[str]) -> None:
        """More rows below the others."""
        self.rows = (*self.rows, *rows)
        self._fit()
        self.refresh()

    def _fit(self) -> None:
        self.virtual_size = Size(self.scrollable_content_region.width, len(self.rows))

    def on_resize(self, _: events.Resize) -> None:
        self._fit()

    # -- the cursor -----------------------------------------------------------------------------------------

    def validate_highlighted(self, index: int | None) -> int | None:
        return None if index is None or not self.rows else min(max(index, 0), len(self.rows) - 1)

    def watch_highlighted(self, before: int | None, index: int | None) -> None:
        for row in (before, index):
            if row is not None:
                self.refresh_line(row - self.scroll_offset.y)
        if index is not None:
            self.scroll_to_region(
                Region(0, index, self.scrollable_content_region.width, 1), animate=False, force=True, immediate=True
            )
            self.post_message(self.Moved(self, index))

    def action_move(self, rows: int) -> None:
        """So many rows on, from the last to the first and the other way round."""
        if self.rows:
            at = -1 if self.highlighted is None else self.highlighted
            self.highlighted = (at + rows) % len(self.rows)

    def action_move_page(self, pages: int) -> None:
        if self.rows:
            self.highlighted = (self.highlighted or 0) + pages * max(1, self.scrollable_content_region.height - 1)

    def action_go_to_first(self) -> None:
        self.highlighted = 0

    def action_go_to_last(self) -> None:
        self.highlighted = len(self.rows) - 1

    def action_choose(self) -> None:
        if self.highlighted is not None:
            self.post_message(self.Chosen(self, self.highlighted))

    def on_click(self, event: events.Click) -> None:
        index = event.get_content_offset_capture(self).y + self.scroll_offset.y
        if 0 <= index < len(self.rows):
            self.highlighted = index
            self.action_choose()

    # -- what is shown --------------------------------------------------------------------------------------

    def render_line(self, y: int) -> Strip:
        index, width = y + self.scroll_offset.y, self.scrollable_content_region.width
        if index >= len(self.rows):
            return Strip.blank(width, self.rich_style)
        style = self.get_component_rich_style(f"listing--{'cursor' if index == self.highlighted else 'row'}")
        strip = Strip([Segment(self.rows[index], style)])
        if strip.cell_length > width:
            strip = Strip.join([strip.crop(0, width - 1), Strip([Segment("…", style)])])
        return strip.adjust_cell_length(width, style)
