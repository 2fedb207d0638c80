"""Lines to read and lists to choose from, however long: only the lines in sight are looked at and drawn."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.segment import Segment
from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.geometry import Region, Size
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.style import Style

from trainer.screens.parts.private import Dated, fit_bars

ListLine = str | Content


class Lines(ScrollView, can_focus=False):
    """Lines of text that scroll up and down. Each is drawn as it is; whoever gives them fits them to `width`."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"lines--cursor"}

    def __init__(self, rows: Sequence[ListLine] = (), *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.rows: tuple[ListLine, ...] = tuple(rows)

    @property
    def text(self) -> str:
        """All lines."""
        return "\n".join(map(str, self.rows))

    @property
    def width(self) -> int:
        """Columns a line may have."""
        return self.scrollable_content_region.width

    def show(self, rows: Sequence[ListLine]) -> None:
        """Show other lines, from the first on. Nothing is drawn if they are the same."""
        if tuple(rows) != self.rows:
            self.rows = tuple(rows)
            self._fit()
            self.scroll_to(0, 0, animate=False, force=True, immediate=True)
            self._refresh_rows()

    def on_resize(self, _: events.Resize) -> None:
        self._fit()

    def _fit(self) -> None:
        """Tell the bar how many lines there are. The screen is not laid out anew: their room stays the same."""
        size = Size(self.width, len(self.rows))
        if size == self.virtual_size:
            return
        self.set_reactive(Lines.virtual_size, size)
        if self.is_attached:
            fit_bars(self, size)

    def _refresh_rows(self) -> None:
        """Draw the lines again, but not the bar, which would take as long as they do."""
        self.refresh(Region.from_offset((0, 0), self.scrollable_content_region.size))

    def row_at(self, event: events.Click) -> int:
        """The number of the line under the mouse, whether there is one or not."""
        return event.get_content_offset_capture(self).y + self.scroll_offset.y

    def render_line(self, y: int) -> Strip:
        index, width = y + self.scroll_offset.y, self.width
        if index >= len(self.rows):
            return Strip.blank(width, self.rich_style)
        style, row = self.style_of(index), self.rows[index]
        strip = Strip(row.render_segments(style) if isinstance(row, Content) else [Segment(row, style.rich_style)])
        if strip.cell_length > width:
            strip = Strip.join([strip.crop(0, width - 1), Strip([Segment("…", style.rich_style)])])
        return strip.adjust_cell_length(width, style.rich_style)

    def style_of(self, index: int) -> Style:
        """How a line is drawn."""
        return self.visual_style


class Listing(Lines, can_focus=True):
    """Lines of which one is under the cursor, or none."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False),
        Binding("down", "move(1)", show=False),
        Binding("pageup", "move_page(-1)", show=False),
        Binding("pagedown", "move_page(1)", show=False),
        Binding("home", "go_to_first", show=False),
        Binding("end", "go_to_last", show=False),
        Binding("enter,space", "choose", show=False),
    ]

    class AtRow(Dated):
        """Something happened at a row."""

        def __init__(self, listing: Listing, index: int) -> None:
            super().__init__()
            self.listing, self.index = listing, index
            self._filled = listing.filled

        @property
        def outdated(self) -> bool:
            """Whether the list shows other rows now, so that the index tells of none of them."""
            return self._filled != self.listing.filled

        @property
        def control(self) -> Listing:
            return self.listing

    class Moved(AtRow):
        """The cursor went to another row."""

    class Picked(AtRow):
        """A row was taken, by Enter or by a click."""

    highlighted: reactive[int | None] = reactive(None, init=False, repaint=False)
    """The row under the cursor; None if there is none."""

    filled = 0
    """How often it was given other rows."""

    def show(self, rows: Sequence[ListLine]) -> None:
        """Show other rows, from the first on, with none under the cursor."""
        with self.prevent(self.Moved):
            self.highlighted = None
        self.filled += tuple(rows) != self.rows
        super().show(rows)

    def reword(self, rows: Sequence[ListLine]) -> None:
        """Show the same rows in other words, with the cursor where it was."""
        self.rows = tuple(rows)
        self._refresh_rows()

    def extend(self, rows: Sequence[ListLine]) -> None:
        """Add rows below the others."""
        self.rows = (*self.rows, *rows)
        self._fit()
        self._refresh_rows()

    # -- the cursor -----------------------------------------------------------------------------------------

    def validate_highlighted(self, index: int | None) -> int | None:
        return None if index is None or not self.rows else min(max(index, 0), len(self.rows) - 1)

    def watch_highlighted(self, before: int | None, index: int | None) -> None:
        for row in (before, index):
            if row is not None:
                self.refresh_line(row)  # counted from the first line, scrolled or not
        if index is not None:
            self.keep_in_sight()
            self.post_message(self.Moved(self, index))

    def keep_in_sight(self) -> None:
        """Scroll to the row under the cursor, if it is out of sight."""
        if self.highlighted is not None:
            row = Region(0, self.highlighted, self.width, 1)
            self.scroll_to_region(row, animate=False, force=True, immediate=True)

    def action_move(self, rows: int) -> None:
        """Move so many rows on, from the last to the first and the other way round."""
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
            self.post_message(self.Picked(self, self.highlighted))

    def on_click(self, event: events.Click) -> None:
        index = self.row_at(event)
        if 0 <= index < len(self.rows):
            self.highlighted = index
            self.action_choose()

    def style_of(self, index: int) -> Style:
        return self.get_visual_style("lines--cursor") if index == self.highlighted else self.visual_style
