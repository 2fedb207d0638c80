"""The glossary's screen: type to find a word of the trade, read what it means, and go on to its relatives."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Input, Static

from trainer.library.terms import Term, read_terms
from trainer.screens.parts.browse import BrowseScreen, QueryLine
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Lines, Listing

NARROWEST = 28
"""Columns of the text, however small the terminal."""


@dataclass(frozen=True, slots=True)
class TermLink:
    """Where a line under the text leads: to a related term, or to a pattern that shows this one."""

    title: str
    to_pattern: bool

    @property
    def prompt(self) -> str:
        return f"try  {self.title}" if self.to_pattern else f"see  {self.title}"


class TermLine(QueryLine):
    """The line to type a word in."""

    BINDINGS = [Binding("enter", "submit", "go on")]  # noqa: RUF012 (the library's own way to declare them)


class TermsScreen(BrowseScreen):
    """A line to type in, the terms that fit, the text of the one under the cursor, and where it leads from it.

    word: the term to begin with; empty or unknown, the first. term: the one shown; None where nothing fits.
    """

    BINDINGS = bindings_of("terms")
    NAME = "terms"
    ENTER = PICK = "go_on"

    def __init__(self, word: str = "") -> None:
        super().__init__()
        self.word = word
        self.term: Term | None = None
        self.listed: tuple[Term, ...] = ()
        self.links: tuple[TermLink, ...] = ()

    def compose(self) -> ComposeResult:
        placeholder = "Type a word of the trade: flash, back cross, 2-count"
        yield TermLine(placeholder=placeholder, select_on_focus=False, id="query")
        with Horizontal(id="browse"):
            yield Listing(id="list")
            with Vertical(id="term"):
                yield Lines(id="explained")
                yield Listing(id="links")
        yield Static(id="notice", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        self.fill("")
        self.open_term(self.word)
        self.set_interval(0.5, self.show_trouble)

    @on(Listing.Picked, "#links")
    def link_picked(self, event: Listing.Picked) -> None:
        link = self.links[event.index]
        if not link.to_pattern:
            self.open_term(link.title)
        elif self.sitting.library.find(link.title) is None:
            self.say(f"No pattern was called “{link.title}” here. Type it as a siteswap in the list of patterns.")
        else:
            self.navigator.show_pattern(link.title)

    def on_resize(self, _: events.Resize) -> None:
        self.call_after_refresh(self._show)

    def action_go_on(self) -> None:
        if self.links:
            ways = self.query_one("#links", Listing)
            ways.focus()
            ways.highlighted = 0

    def action_back(self) -> None:
        """Leave one thing: the lines it leads to, else the text that is typed, else the screen."""
        if self.focused is not self.line:
            self.line.focus()
        else:
            super().action_back()

    def open_term(self, word: str) -> None:
        """Show a term in the list of all; nothing changes for an unknown word."""
        term = read_terms().find(word)
        if term is None:
            return
        self.line.focus()
        if term not in self.listed:
            with self.prevent(Input.Changed):
                self.line.value = ""
            self.fill("")
        self.choose(self.listed.index(term))

    def fill(self, query: str) -> None:
        self.listed = read_terms().filter(query)
        self.listing.show([term.title for term in self.listed])
        if self.listed:
            self.choose(0)
        else:
            self.term, self.links = None, ()
            self._show()

    def choose(self, index: int) -> None:
        if index < len(self.listed):
            self.listing.highlighted = index
            term = self.listed[index]
            if term is not self.term:
                self.term = term
                self.links = tuple(TermLink(title, False) for title in term.see)
                self.links += tuple(TermLink(title, True) for title in term.patterns)
                self._show()

    def _show(self) -> None:
        """Draw the term: its names, its text with the terms in it marked, and where it leads."""
        ways = self.query_one("#links", Listing)
        ways.show([link.prompt for link in self.links])
        ways.styles.height = len(self.links) + 1  # and the line above them
        ways.set_class(bool(self.links), "shown")
        if self.term is None:
            near = read_terms().nearest(self.line.value)
            hint = f" Was “{near.title}” meant?" if near else ""
            self.page.show(self._wrapped(f"No term has that in it.{hint}"))
            return
        names = self._wrapped(", ".join(self.term.names))
        text = "\n".join([*names, "", *self._wrapped(self.term.text)])
        content = Content(text).stylize("bold", 0, sum(len(line) + 1 for line in names))
        for mention in read_terms().in_text(text):
            if mention.term is not self.term:
                content = content.stylize("underline", mention.start, mention.stop)
        self.page.show(content.split(allow_blank=True))

    def _wrapped(self, text: str) -> list[str]:
        width = max(NARROWEST, self.page.width)
        return textwrap.wrap(text, width, break_on_hyphens=False)
