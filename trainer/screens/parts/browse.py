"""What screens with a line to type in and a list share: keys for both at once, and words that open the glossary."""

from __future__ import annotations

from typing import Any

from textual import events, on
from textual.binding import Binding
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Input

from trainer.files.texts import PATTERN
from trainer.library.terms import read_terms
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.listing import Lines, Listing

MOVES = {"up": "move(-1)", "down": "move(1)", "pageup": "move_page(-1)", "pagedown": "move_page(1)"}
"""Keys that move in the list while the cursor is in the line, and the list's actions."""


class TypedLine(Input):
    """A line to type in, at most as long as a pattern may be. It leaves ? to the help."""

    def __init__(self, value: str = "", *, max_length: int = PATTERN.longest, **options: Any) -> None:
        super().__init__(value, max_length=max_length, **options)

    def is_left_to_others(self, key: str) -> bool:
        """Whether a key is for the screen's commands and not for the text."""
        return key == "question_mark"

    def check_consume_key(self, key: str, character: str | None) -> bool:
        return not self.is_left_to_others(key) and super().check_consume_key(key, character)

    def on_key(self, event: events.Key) -> None:
        if self.is_left_to_others(event.key):
            event.prevent_default()  # else the library's own handler, which comes next, would type it


class QueryLine(TypedLine):
    """The line beside a list. It leaves q to leaving, too, as long as nothing is typed."""

    BINDINGS = [Binding("enter", "submit", "practise")]  # noqa: RUF012 (the library's own way to declare them)

    virtual_size = Reactive(Size(0, 0))
    """As in the library, but the screen is not laid out anew at each letter: the line always has the same room."""

    def on_mount(self) -> None:
        self.cursor_blink = False  # nothing on these screens moves by itself

    def is_left_to_others(self, key: str) -> bool:
        return super().is_left_to_others(key) or (key == "q" and not self.value)

    def watch_value(self, before: str, after: str) -> None:
        if self.is_attached and bool(before) != bool(after):  # q has changed its meaning; the list is drawn first
            self.screen.call_after_refresh(self.screen.refresh_bindings)


class BrowseScreen(BaseScreen):
    """A screen with a line to type in (#query), a list (#list), and a text about what the list is at (#explained).

    ENTER, PICK: the actions of Enter in the line, and of a row that is picked; an empty name: none.
    """

    AUTO_FOCUS = "#query"
    ENTER = "practise"
    PICK = ""

    @property
    def line(self) -> Input:
        """The line to type in."""
        return self.query_one("#query", Input)

    @property
    def listing(self) -> Listing:
        """The list."""
        return self.query_one("#list", Listing)

    @property
    def page(self) -> Lines:
        """What shows the text."""
        return self.query_one("#explained", Lines)

    async def on_key(self, event: events.Key) -> None:
        """Arrows move in the list, and letters go to the line, wherever the cursor is."""
        if self.focused is self.line:
            await self.move(event)
        elif event.is_printable and event.key not in ("question_mark", "q", "space"):
            event.stop()
            self.line.focus()
            self.line.insert_text_at_cursor(event.character or "")

    async def move(self, event: events.Key) -> None:
        """Move in the list while it does not have the focus, if the key is one for that."""
        if event.key in MOVES:
            event.stop()
            await self.listing.run_action(MOVES[event.key])

    def action_back(self) -> None:
        """Clear what is typed; with nothing typed, leave the screen."""
        if self.line.value:
            self.line.value = ""
        else:
            super().action_back()

    def choose(self, index: int) -> None:
        """Take the row of the list at an index, and show what there is to know of it."""
        raise NotImplementedError

    def fill(self, query: str) -> None:
        """List what fits the text in the line."""
        raise NotImplementedError

    @on(Input.Changed, "#query")
    def query_changed(self, event: Input.Changed) -> None:
        with self.app.batch_update():  # so that list and page are drawn together
            self.fill(event.value)

    @on(Input.Submitted, "#query")
    async def line_entered(self) -> None:
        await self.run_action(self.ENTER)

    @on(Listing.Picked, "#list")
    async def row_picked(self, event: Listing.Picked) -> None:
        self.choose(event.index)
        if self.PICK:
            await self.run_action(self.PICK)

    @on(Listing.Moved, "#list")
    def highlighted(self, event: Listing.Moved) -> None:
        if event.index == event.listing.highlighted:  # else the cursor has moved on since
            self.choose(event.index)

    @on(events.Click, "#explained")
    def word_clicked(self, event: events.Click) -> None:
        """Open the term under the mouse."""
        row, column = self.page.row_at(event), event.get_content_offset_capture(self.page).x
        lines = self.explained().split("\n")
        if 0 <= row < len(lines) and 0 <= column < len(lines[row]):
            before = sum(len(line) + 1 for line in lines[:row])
            term = read_terms().at("\n".join(lines), before + column)
            if term is not None:
                self.open_term(term.title)

    def explained(self) -> str:
        """The text about what the list is at, line by line as it is shown."""
        return self.page.text

    def open_term(self, word: str) -> None:
        """Show what a word of the trade means."""
        self.navigator.open_terms(word)
