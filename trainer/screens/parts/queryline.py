"""TODO."""

from __future__ import annotations

from textual import events
from textual.binding import Binding
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Input


class QueryLine(Input):
    """The line to type in. It leaves ? to the help always, and q to leaving while there is nothing typed."""

    BINDINGS = [Binding("enter", "submit", "practise")]  # noqa: RUF012 (the library's own way to declare them)

    virtual_size = Reactive(Size(0, 0))
    """The library's, without laying the screen out anew at each letter: the line's room stays what it is."""

    def on_mount(self) -> None:
        self.cursor_blink = False  # a blink would be drawn in between, and nothing here moves by itself

    def is_left_to_others(self, key: str) -> bool:
        return key == "question_mark" or (key == "q" and not self.value)

    def check_consume_key(self, key: str, character: str | None) -> bool:
        return not self.is_left_to_others(key) and super().check_consume_key(key, character)

    def watch_value(self, before: str, after: str) -> None:
        if self.is_attached and bool(before) != bool(after):  # q is a letter now, or leaves again; the list first
            self.screen.call_after_refresh(self.screen.refresh_bindings)

    def on_key(self, event: events.Key) -> None:
        if self.is_left_to_others(event.key):
            event.prevent_default()  # else the library's own handler, which comes next, would type it
