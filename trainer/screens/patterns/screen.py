"""The patterns screen: type to find a pattern or to write one, and read what it asks of you."""

from __future__ import annotations

import textwrap

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Input, Static

from trainer.library.catalogue import Choice
from trainer.library.entries import Entry
from trainer.library.page import to_lines
from trainer.library.terms import read_terms
from trainer.screens.parts.browse import BrowseScreen, QueryLine
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Lines, Listing
from trainer.siteswap.grammar import NotationError
from trainer.siteswap.refusal import point_out

BUILD_ON = "These build on what you have qualified, the easiest first. Esc lists everything."
FIRST_STEPS = "Nothing is qualified yet: these are first steps. Esc lists everything."


class PatternList(Listing):
    """The patterns that are listed."""

    BINDINGS = [Binding("enter", "choose", "practise")]  # noqa: RUF012 (the library's own way to declare them)


class PatternsScreen(BrowseScreen):
    """A line to type in, the patterns that fit, and the explanation of the one under the cursor."""

    BINDINGS = bindings_of("patterns")
    NAME = "patterns"
    PICK = "practise"

    def __init__(self) -> None:
        super().__init__()
        self.choice: Choice | None = None
        self.suggestion = ""
        self.listed: tuple[Entry, ...] = ()
        self.wanted = ""

    def compose(self) -> ComposeResult:
        placeholder = "Type a pattern's name or a siteswap: mills mess, 531, (4,4)"
        yield QueryLine(placeholder=placeholder, select_on_focus=False, id="query")
        with Horizontal(id="browse"):
            yield PatternList(id="list")
            yield Lines(id="explained")
        yield Static(id="notice", markup=False)
        yield KeyLine(compact=True)

    def on_mount(self) -> None:
        self.fill("")
        self.line.value = self.wanted
        self.set_interval(0.5, self.show_trouble)

    def action_what_next(self) -> None:
        """List what builds on what the logbook says was qualified."""
        found = self.sitting.what_next()
        if not found:
            self.say("Nothing in the library builds on what you have qualified so far. Any pattern is a good one.")
            return
        with self.line.prevent(Input.Changed):  # the list is not what an empty line would show
            self.line.value = ""
        self._list(found)
        self.choose(0)
        self.say(BUILD_ON if any(entry.builds_on for entry in found) else FIRST_STEPS)

    def action_clear(self) -> None:
        self.line.value = ""
        self.fill("")
        self.line.focus()

    def look_for(self, text: str) -> None:
        """Put a text into the line, now or once the screen is open."""
        self.wanted = text
        if self.is_mounted:
            self.line.value = text

    def word_at_hand(self) -> str:
        """The term typed, else the one that tells most of the pattern shown, else the first in the text shown."""
        terms = read_terms()
        term = terms.find(self.line.value)
        if term is None and self.choice is not None:
            term = terms.about(self.choice)
        mentions = terms.in_text(self.explained()) if term is None else ()
        return term.title if term else mentions[0].term.title if mentions else ""

    def action_practise(self) -> None:
        if self.choice is not None:
            self.navigator.practise(self.choice)
        elif self.suggestion:
            self.line.value = self.suggestion

    def fill(self, query: str) -> None:
        """List the patterns that fit. A text that is no name is read as a siteswap: shown, or its fault told."""
        library = self.sitting.library
        self._list(library.filter(query))
        if not query.strip():
            self.choose(0)
            return
        try:
            choice = library.to_choice(query)
        except NotationError as error:
            if self.listed:
                self.choose(0)
            else:
                self._show_error(error)
            return
        if choice.entry in self.listed:
            self.choose(self.listed.index(choice.entry))
        self._show(choice)

    def _list(self, found: tuple[Entry, ...]) -> None:
        self.listed = found
        self.listing.show([f"{entry.pattern.objects}  {entry.title}" for entry in found])

    def choose(self, index: int) -> None:
        if index < len(self.listed):
            self.listing.highlighted = index
            entry = self.listed[index]
            self._show(Choice(entry.pattern, entry))

    def _show(self, choice: Choice) -> None:
        self.choice = choice
        self._put(to_lines(self.sitting.explain(choice), self._page_width()), "plain")

    def _put(self, lines: list[str], kind: str) -> None:
        """What there is to read beside the list. kind: plain or refused."""
        self.page.show(lines)
        self.page.set_class(kind == "refused", "refused")

    def _show_error(self, error: NotationError) -> None:
        self.choice, self.suggestion = None, error.suggestion
        lines = [*textwrap.wrap(error.reason, self._page_width()), "", *point_out(error)]
        if error.suggestion:
            lines.append("  Enter puts it in the line.")
        self._put(lines, "refused")

    def _page_width(self) -> int:
        return max(20, self.page.width)
