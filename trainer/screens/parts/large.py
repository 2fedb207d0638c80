"""Numbers and words as large as their room, to be read from some metres away."""

from __future__ import annotations

from typing import ClassVar

from textual.geometry import Size

from trainer.screens.parts.glyphs import large_rows, word_rows
from trainer.screens.parts.inked import Bare, InkedText


class KindOfText(Bare):
    """A text, drawn in the ink that belongs to its kind."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.text, self.kind = "", self.INKS[1].partition("--")[2]

    def show(self, text: str, kind: str) -> None:
        """Draw a text as of a kind, if one of them has changed."""
        if (text, kind) != (self.text, self.kind):
            self.text, self.kind = text, kind
            self.redraw()


class BigNumber(KindOfText):
    """A number as large as its room. Its kind says which goal it has reached."""

    INKS = ("", "bignumber--plain", "bignumber--flash", "bignumber--qualify", "bignumber--count-in")
    COMPONENT_CLASSES: ClassVar[set[str]] = {ink for ink in INKS if ink}

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self._rows: list[str] = []
        self._drawn_for: tuple[str, Size] | None = None

    def runs(self, y: int) -> list[InkedText]:
        if self._drawn_for != (self.text, self.size):  # the size changes before the library tells of it
            self._rows = self.draw(self.text, self.size.width, self.size.height)
            self._drawn_for = (self.text, self.size)
        return [(self._rows[y], f"bignumber--{self.kind}")]

    def draw(self, text: str, columns: int, rows: int) -> list[str]:
        """The rows of a text, as large as fits into so many columns and rows."""
        return large_rows(text, columns, rows)


class BigWord(BigNumber):
    """A word as large as its room."""

    def draw(self, text: str, columns: int, rows: int) -> list[str]:
        return word_rows(text, columns, rows)
