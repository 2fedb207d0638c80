"""What screens with a line to type in and a list share: keys for both at once, and words that open the glossary."""

from __future__ import annotations

from collections.abc import Callable

from textual import events, on
from textual.widgets import Input

from trainer.library.terms import read_terms
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.listing import Lines, Listing


class BrowseScreen(BaseScreen):
    """A screen with a line to type in (#query), a list (#list), and a text about what the list is at (#explained)."""

    AUTO_FOCUS = "#query"

    def on_key(self, event: events.Key) -> None:
        """Arrows move in the list, and letters go to the line, wherever the cursor is."""
        query, listing = self.query_one("#query", Input), self.query_one("#list", Listing)
        if self.focused is query and self.moved_in(listing, event):
            return
        if self.focused is not query and event.is_printable and event.key not in ("question_mark", "q", "space"):
            event.stop()
            query.focus()
            query.insert_text_at_cursor(event.character or "")

    def moved_in(self, listing: Listing, event: events.Key) -> bool:
        """Move in a list that does not have the focus, if the key is one for that; whether it was."""
        moves: dict[str, Callable[[], None]] = {
            "up": lambda: listing.action_move(-1),
            "down": lambda: listing.action_move(1),
            "pageup": lambda: listing.action_move_page(-1),
            "pagedown": lambda: listing.action_move_page(1),
        }
        if event.key not in moves:
            return False
        event.stop()
        moves[event.key]()
        return True

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

    @on(Listing.Moved, "#list")
    def highlighted(self, event: Listing.Moved) -> None:
        if event.index == event.listing.highlighted:  # else the cursor has moved on since
            self.choose(event.index)

    @on(events.Click, "#explained")
    def word_clicked(self, event: events.Click) -> None:
        """Open the term under the mouse."""
        page = self.query_one("#explained", Lines)
        row, column = page.row_at(event), event.get_content_offset_capture(page).x
        lines = self.explained().split("\n")
        if 0 <= row < len(lines) and 0 <= column < len(lines[row]):
            before = sum(len(line) + 1 for line in lines[:row])
            term = read_terms().at("\n".join(lines), before + column)
            if term is not None:
                self.open_term(term.title)

    def explained(self) -> str:
        """The text about what the list is at, line by line as it is shown."""
        return self.query_one("#explained", Lines).text

    def open_term(self, word: str) -> None:
        """Show what a word of the trade means."""
        self.navigator.open_terms(word)
