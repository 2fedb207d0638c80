"""The logbook screen: every try, newest first; filtered as one types, sorted, noted, set right, removed with undo."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Input, Static

from trainer.files.checks import Wrong
from trainer.files.texts import NOTE, checked
from trainer.logbook.filters import Filter, PageEnd, Sort
from trainer.logbook.pages import AttemptPage
from trainer.logbook.store import Logbook
from trainer.progress import wording
from trainer.records.attempt import Attempt
from trainer.records.totals import Figure, figure_of
from trainer.screens.lookback.base import LookingBack
from trainer.screens.lookback.tryrow import BREAK, heading, in_full, one_note, to_row
from trainer.screens.parts.browse import QueryLine
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Lines, Listing

PAGE = 40
"""How many tries are read at once. More are read to fill the list, and when its end comes near."""

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

Deed = Callable[..., Attempt]
"""Changes the attempt of an identity in a logbook, corrected_at a moment; returns the attempt as it is then."""


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
    ENTER = "edit_note"

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
        yield Input(max_length=NOTE.longest, select_on_focus=False, placeholder="a note", id="note")
        yield Static(id="notice", markup=False)
        yield KeyLine(compact=True)

    def on_mount(self) -> None:
        self.begin(lambda: Logbook.open(self.sitting.places.logbook, now=self.sitting.now()))
        self.line.value = self.wanted.text
        self.fill(self.wanted.text)
        self.watch(self.listing, "scroll_y", self._scrolled, init=False)

    # -- what keys do ---------------------------------------------------------------------------------------

    def word_at_hand(self) -> str:
        return self.term_about(self.chosen.name, self.chosen.pattern) if self.chosen else ""

    def action_next_sort(self) -> None:
        sorts = tuple(SORTS)
        self.sort = sorts[(sorts.index(self.sort) + 1) % len(sorts)]
        self.fill(self.line.value)

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
        try:
            checked(note, NOTE, shortest=0)
        except Wrong as wrong:
            self.say(str(wrong))
            return
        if chosen is not None and one_note(note) != one_note(chosen.note):
            do, undo = (partial(Logbook.correct, note=each) for each in (note, chosen.note))
            self._change(chosen, do, undo, "The note was written. Ctrl+Z takes it back.")

    def action_mark_unfair(self) -> None:
        chosen = self.chosen
        if chosen is not None:
            do, undo = (partial(Logbook.correct, fair=fair) for fair in (not chosen.fair, chosen.fair))
            kept = "It stays here, and counts for no best and no rate." if chosen.fair else "It is a fair try again."
            self._change(chosen, do, undo, f"{kept} Ctrl+Z takes that back.")

    def action_remove(self) -> None:
        if self.chosen is not None:
            said = "The try was removed. Ctrl+Z brings it back."
            self._change(self.chosen, Logbook.remove, Logbook.restore, said)

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

    def _change(self, attempt: Attempt, do: Deed, undo: Deed, said: str) -> None:
        if self._write(attempt, do):
            self.changes.append((attempt, undo))
            self.say(said)

    def _write(self, attempt: Attempt, deed: Deed) -> bool:
        """Change an attempt in the logbook and show it; whether that could be done."""
        changed = self.ask(lambda book: deed(book, attempt.uid, corrected_at=self.sitting.now()), None)
        if changed is None:
            return False
        self.sitting.tries.changed_elsewhere(changed)
        self.fill(self.line.value, attempt.uid)
        return True

    def _close_note(self) -> None:
        self.query_one("#note").remove_class("shown")
        self.line.focus()

    # -- what is shown --------------------------------------------------------------------------------------

    @property
    def chosen(self) -> Attempt | None:
        """The try under the cursor."""
        index = self.listing.highlighted
        return None if index is None or index >= len(self.listed) else self.listed[index]

    def fill(self, query: str, at: str | None = None) -> None:
        """List what fits, with the cursor on the first, or near where it was if a try was changed."""
        row = 0 if at is None else self.listing.highlighted or 0
        self.wanted, self.listed, self._end = Filter(query), [], None
        page = self._page(max(PAGE, self.listing.size.height, row + 1))
        self.listed, self._end = list(page.attempts), page.end
        self.listing.show([to_row(attempt) for attempt in self.listed])
        self.call_after_refresh(self._count, self.wanted, self.sort)  # the list is seen first
        places = [place for place, attempt in enumerate(self.listed) if attempt.uid == at]
        self.choose(places[0] if places else min(row, len(self.listed) - 1))

    def _page(self, rows: int) -> AttemptPage:
        return self.ask(lambda book: book.page(self.wanted, self.sort, rows, self._end), AttemptPage((), None))

    def _more(self, row: int) -> None:
        """Read on when a row near the end of what is read comes into sight."""
        while self._end is not None and row > len(self.listed) - PAGE // 2:
            page = self._page(PAGE)
            self._end = page.end
            self.listed += page.attempts
            self.listing.extend([to_row(attempt) for attempt in page.attempts])

    def _scrolled(self, row: float) -> None:
        self._more(int(row) + self.listing.size.height)

    def on_resize(self) -> None:
        self.call_after_refresh(lambda: self._scrolled(self.listing.scroll_y))

    def _count(self, wanted: Filter, sort: Sort) -> None:
        """Tell how many tries fit, unless more has been typed since."""
        if (wanted, sort) != (self.wanted, self.sort):
            return
        amount = self.ask(lambda book: wording.tries(book.count(wanted)), "")
        if amount:
            self.query_one("#amount", Static).update(f"{amount}, {SORTS[self.sort]}", layout=False)
            self.ask(lambda book: book.read_texts(), None)

    def choose(self, index: int) -> None:
        if not self.listed:
            self.page.show([NONE_FIT if self.wanted.text else NOTHING_YET])
            return
        self.listing.highlighted = index
        self._more(index)
        self.page.show(in_full(self.listed[index]))
