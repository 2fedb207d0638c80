"""A line to type in, on screens with a list beside it."""

from __future__ import annotations

from textual import events
from textual.binding import Binding
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Input


class QueryLine(Input):
    """The line to type in. It leaves ? to the help, and q to leaving as long as nothing is typed."""

    BINDINGS = [Binding("enter", "submit", "practise")]  # noqa: RUF012 (the library's own way to declare them)

    virtual_size = Reactive(Size(0, 0))
    """As in the library, but the screen is not laid out anew at each letter: the line always has the same room."""

    def on_mount(self) -> None:
        self.cursor_blink = False  # nothing on these screens moves by itself

    def is_left_to_others(self, key: str) -> bool:
        """Whether a key is for the screen's commands and not for the text."""
        return key == "question_mark" or (key == "q" and not self.value)

    def check_consume_key(self, key: str, character: str | None) -> bool:
        return not self.is_left_to_others(key) and super().check_consume_key(key, character)

    def watch_value(self, before: str, after: str) -> None:
        if self.is_attached and bool(before) != bool(after):  # q has changed its meaning; the list is drawn first
            self.screen.call_after_refresh(self.screen.refresh_bindings)

    def on_key(self, event: events.Key) -> None:
        if self.is_left_to_others(event.key):
            event.prevent_default()  # else the library's own handler, which comes next, would type it
