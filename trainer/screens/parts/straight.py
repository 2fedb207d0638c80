"""Straight to the terminal: rows of a widget past the library's compositor.

The compositor asks every widget for all of its rows before it sends one of them: of a picture that moves thirty times
a second that is most of the cost. It keeps no copy of what the terminal shows, so nothing has to be told to it.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import takewhile

from rich.console import Console
from textual._compositor import CompositorUpdate
from textual.geometry import Offset, Region
from textual.widget import Widget


class Rows(CompositorUpdate):
    """Rows to be shown from a place on the screen on, as the terminal takes them."""

    def __init__(self, place: Offset, rows: Iterable[tuple[int, str]]) -> None:
        self.text = "".join(f"\x1b[{place.y + 1 + row};{place.x + 1}H{text}" for row, text in rows)

    def render_segments(self, console: Console) -> str:
        return self.text


def draw(widget: Widget, rows: Iterable[tuple[int, str]]) -> bool:
    """Show rows of a widget, each by its number, with its control sequences; False where only the library can.

    That is so while the widget is not, or not yet, or not wholly in view, or has another one over it.
    """
    app, screen = widget.app, widget.screen
    if app.screen is not screen or app._batch_count or screen._layout_required or screen._scroll_required:
        return False
    visible = screen._compositor.visible_widgets
    place, clip = visible.get(widget, (Region(), Region()))
    if not place or place.size != widget.outer_size or not clip.contains_region(place):
        return False
    over = takewhile(lambda each: each is not widget, visible)  # the foremost come first
    if any(place.overlaps(visible[each][0]) for each in over):
        return False
    app._display(screen, Rows(place.offset, rows))  # type: ignore[arg-type]
    return True
