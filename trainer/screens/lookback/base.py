"""What the logbook and the progress screen share: the open logbook, and the figure they are at."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from trainer.logbook.errors import LogbookError
from trainer.logbook.store import Logbook
from trainer.records.totals import Figure
from trainer.screens.parts.browse import BrowseScreen

Answer = TypeVar("Answer")


class LookingBack(BrowseScreen):
    """A screen about what was practised. figure: the one to show first; None for the one practised last."""

    def __init__(self, figure: Figure | None = None) -> None:
        super().__init__()
        self.first_figure = figure
        self.book: Logbook | None = None

    def begin(self, open_book: Callable[[], Logbook]) -> None:
        """Open the logbook, or tell why that can't be; called when the screen is mounted."""
        try:
            self.book = open_book()
        except LogbookError as error:
            self.say(str(error))
        self.set_interval(0.5, self.show_trouble)

    def on_unmount(self) -> None:
        if self.book is not None:
            self.book.close()

    def ask(self, question: Callable[[Logbook], Answer], otherwise: Answer) -> Answer:
        """What the logbook answers; `otherwise` without one, and where it fails, which is said."""
        if self.book is not None:
            try:
                return question(self.book)
            except LogbookError as error:
                self.say(str(error))
        return otherwise
