"""The logbook screen: every try, newest first; filtered as one types, sorted, noted, set right, removed with undo."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Input, Static

from trainer.logbook.errors import LogbookError
from trainer.logbook.filters import Filter, PageEnd, Sort
from trainer.logbook.pages import AttemptPage
from trainer.logbook.store import Logbook
from trainer.progress import wording
from trainer.records.attempt import Attempt
from trainer.records.totals import Figure, figure_of
from trainer.screens.lookback.base import LookingBack
from trainer.screens.lookback.tryrow import BREAK, heading, in_full, one_note, to_row
from trainer.screens.parts.bindings import bindings_of
from trainer.screens.parts.keyline import KeyLine
from trainer.screens.parts.listing import Lines, Listing
from trainer.screens.parts.queryline import QueryLine

PAGE = 40
"""How many tries are read at once. More are read to fill the list, and when its end comes near."""

LONGEST_NOTE = 20_000
SORTS = {
    Sort.NEWEST: "newest first",
    Sort.OLDEST: "oldest first",
    Sort.CATCHES: "most catches first",
    Sort.TEMPO: "fastest first",
    Sort.SECONDS: "longest first",
}
PLACEHOLDER = "Type a pattern, a prop, a name, a word of a note"
NOTHING_YET = "No tries yet. Practise a pattern, and each try is written down here by itself."
NONE_FIT = "No try has all that in it."
KEYS_FOR_TRIES = ("delete", "ctrl+x", "ctrl+z")
LINE_ACTIONS = ("delete_right", "cut")

Deed = Callable[[Logbook, int, datetime], Attempt]
"""Changes the attempt of a number in the logbook, at a moment; returns the attempt as it is then."""


class FilterLine(QueryLine):
    """The line to filter by. It leaves the keys for the try under the cursor to the screen."""

    BINDINGS = [Binding("enter", "submit", "note")]  # noqa: RUF012 (the library's own way to declare them)

    def is_left_to_others(self, key: str) -> bool:
        return key in KEYS_FOR_TRIES or super().is_left_to_others(key)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return action not in LINE_ACTIONS and super().check_action(action, parameters)


class LogbookScreen(LookingBack):
    """A line to filter by, the tries, all about the one under the cursor, and a line for its note."""

    BINDINGS = bindings_of("logbook")
    NAME = "logbook"

    def __init__(self, figure: Figure | None = None) -> None:
        super().__init__(figure)
        self.wanted = Filter("" if figure is None else f"{figure.title} ")
        self.sort = Sort.NEWEST
        self.listed: list[Attempt] = []
        self.changes: list[tuple[Attempt, Deed]] = []
        self._end: PageEnd | None = None

    def compose(self) -> ComposeResult:
        yield FilterLine(placeholder=PLACEHOLDER, select_on_focus=False, id="query")
        yield Static(heading(), id="columns", markup=False)
        yield Listing(id="list")
        yield Static(id="amount", markup=False)
        yield Lines(id="explained")
        yield Input(max_length=LONGEST_NOTE, select_on_focus=False, placeholder="a note", id="note")
        yield Static(id="notice", markup=False)
        yield KeyLine(compact=True)

    def open_book(self) -> Logbook:
        return Logbook.open(self.sitting.places.logbook, now=self.sitting.now())

    def on_mount(self) -> None:
        self.begin()
        self.query_one("#query", Input).value = self.wanted.text
        self.fill(self.wanted.text)
        self.watch(self.query_one("#list"), "scroll_y", self._scrolled, init=False)

    @on(Input.Submitted, "#query")
    def query_submitted(self) -> None:
        self.action_edit_note()

    @on(Listing.Picked, "#list")
    def selected(self, event: Listing.Picked) -> None:
        self.choose(event.index)

    # -- what keys do ---------------------------------------------------------------------------------------

    def word_at_hand(self) -> str:
        return self.term_about(self.chosen.name, self.chosen.pattern) if self.chosen else ""

    def action_next_sort(self) -> None:
        sorts = tuple(SORTS)
        self.sort = sorts[(sorts.index(self.sort) + 1) % len(sorts)]
        self.fill(self.query_one("#query", Input).value)

    def action_edit_note(self) -> None:
        if self.chosen is not None:
            line = self.query_one("#note", Input)
            line.value = one_note(self.chosen.note)
            line.add_class("shown")
            line.focus()
            line.action_end()

    @on(Input.Submitted, "#note")
    def note_written(self, event: Input.Submitted) -> None:
        chosen, note = self.chosen, event.value.strip().replace(BREAK, "\n")
        self._close_note()
        if chosen is not None and one_note(note) != one_note(chosen.note):
            before = chosen.note
            self._change(
                chosen,
                lambda book, number, now: book.set_note(number, note, corrected_at=now),
                lambda book, number, now: book.set_note(number, before, corrected_at=now),
            )
            self.say("The note was written. Ctrl+Z takes it back.")

    def action_mark_unfair(self) -> None:
        chosen = self.chosen
        if chosen is not None:
            fair = chosen.fair
            self._change(
                chosen,
                lambda book, number, now: book.correct(number, corrected_at=now, fair=not fair),
                lambda book, number, now: book.correct(number, corrected_at=now, fair=fair),
            )
            kept = "It stays here, and counts for no best and no rate." if fair else "It is a fair try again."
            self.say(f"{kept} Ctrl+Z takes that back.")

    def action_remove(self) -> None:
        if self.chosen is not None:
            self._change(
                self.chosen,
                lambda book, number, now: book.remove(number, corrected_at=now),
                lambda book, number, now: book.restore(number, corrected_at=now),
            )
            self.say("The try was removed. Ctrl+Z brings it back.")

    def action_take_back(self) -> None:
        """Undo the last change made on this screen, one more each time."""
        if not self.changes:
            self.say("Nothing was changed here that could be taken back.")
            return
        attempt, undo = self.changes.pop()
        if self._write(attempt, undo):
            self.say("The last change was taken back.")

    def action_back(self) -> None:
        """Leave the note that is being written; without one, clear the filter or leave the screen."""
        if self.query_one("#note").has_class("shown"):
            self._close_note()
        else:
            super().action_back()

    def figure_at_hand(self) -> Figure | None:
        """The figure of the try under the cursor."""
        return None if self.chosen is None else figure_of(self.chosen)

    # -- what is changed ------------------------------------------------------------------------------------

    def _change(self, attempt: Attempt, do: Deed, undo: Deed) -> None:
        if self._write(attempt, do):
            self.changes.append((attempt, undo))

    def _write(self, attempt: Attempt, deed: Deed) -> bool:
        """Change an attempt in the logbook and show it; whether that could be done."""
        assert self.book is not None
        assert attempt.id is not None
        try:
            changed = deed(self.book, attempt.id, self.sitting.now())
        except LogbookError as error:
            self.say(str(error))
            return False
        self.sitting.tries.changed_elsewhere(changed)
        self.fill(self.query_one("#query", Input).value, attempt.id)
        return True

    def _close_note(self) -> None:
        self.query_one("#note").remove_class("shown")
        self.query_one("#query").focus()

    # -- what is shown --------------------------------------------------------------------------------------

    @property
    def chosen(self) -> Attempt | None:
        """The try under the cursor."""
        index = self.query_one("#list", Listing).highlighted
        return None if index is None or index >= len(self.listed) else self.listed[index]

    def fill(self, query: str, at: int | None = None) -> None:
        """List what fits, with the cursor on the first, or near where it was if a try was changed."""
        listing = self.query_one("#list", Listing)
        row = 0 if at is None else listing.highlighted or 0
        self.wanted, self.listed, self._end = Filter(query), [], None
        rows = max(PAGE, listing.size.height, row + 1)
        page = self._page(rows)
        self.listed, self._end = list(page.attempts), page.end
        listing.show([to_row(attempt) for attempt in self.listed])
        self.call_after_refresh(self._count, self.wanted, self.sort)  # the list is seen first
        places = [place for place, attempt in enumerate(self.listed) if attempt.id == at]
        self.choose(places[0] if places else min(row, len(self.listed) - 1))

    def _page(self, rows: int) -> AttemptPage:
        if self.book is None:
            return AttemptPage((), None)
        try:
            return self.book.page(self.wanted, self.sort, rows, self._end)
        except LogbookError as error:
            self.say(str(error))
            return AttemptPage((), None)

    def _more(self, row: int) -> None:
        """Read on when a row near the end of what is read comes into sight."""
        while self._end is not None and row > len(self.listed) - PAGE // 2:
            page = self._page(PAGE)
            self._end = page.end
            self.listed += page.attempts
            self.query_one("#list", Listing).extend([to_row(attempt) for attempt in page.attempts])

    def _scrolled(self, row: float) -> None:
        self._more(int(row) + self.query_one("#list").size.height)

    def on_resize(self) -> None:
        self.call_after_refresh(lambda: self._scrolled(self.query_one("#list").scroll_y))

    def _count(self, wanted: Filter, sort: Sort) -> None:
        """Tell how many tries fit, unless more has been typed since."""
        if self.book is None or (wanted, sort) != (self.wanted, self.sort):
            return
        try:
            amount = wording.tries(self.book.count(wanted))
            self.book.read_texts()
        except LogbookError as error:
            self.say(str(error))
            return
        self.query_one("#amount", Static).update(f"{amount}, {SORTS[self.sort]}", layout=False)

    def choose(self, index: int) -> None:
        listing, explained = self.query_one("#list", Listing), self.query_one("#explained", Lines)
        if not self.listed:
            explained.show([NONE_FIT if self.wanted.text else NOTHING_YET])
            return
        if listing.highlighted != index:
            listing.highlighted = index
        self._more(index)
        explained.show(in_full(self.listed[index]))
