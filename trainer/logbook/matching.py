"""Texts typed into a filter, held against figures and notes.

Figures are few, and notes are kept once each; both are only ever added, unless a change is taken back. So those known
stay in memory, and new ones are read when they are needed. They are compared in Python, where letters of every script
fold.
"""

from __future__ import annotations

import sqlite3
import unicodedata
from dataclasses import dataclass
from operator import itemgetter
from pathlib import Path
from typing import Final

from trainer.logbook import rows
from trainer.logbook.connection import LogbookConnection
from trainer.logbook.filters import EVERYTHING, Filter, Selection

ANY: Final = (None,) * 4  # pattern, prop, way of counting, juggler


@dataclass(frozen=True, slots=True)
class Texts:
    """A figure as it is filtered by: its number, its texts, and all of them folded into one."""

    number: int
    pattern: str
    prop: str
    counted_by: str
    juggler: str | None
    folded: str

    def fits(self, asked: tuple[str | None, ...]) -> bool:
        """Whether it is of a pattern, a prop, a way of counting and a juggler; None: whichever."""
        held = (self.pattern, self.prop, self.counted_by, self.juggler)
        return all(one is None or one == other for one, other in zip(asked, held, strict=True))


class Matching(LogbookConnection):
    """What a filter comes to."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        super().__init__(path, connection)
        self._forget_texts()

    def _taken_back(self) -> None:
        super()._taken_back()
        self._forget_texts()  # the number of a new one among them is given to another

    def _forget_texts(self) -> None:
        self._figures: list[Texts] = []
        self._notes: list[tuple[int, str]] = []
        self._parted: tuple[tuple[Filter, int, int], list[Selection]] = ((EVERYTHING, 0, 0), [])
        # Of how many notes, for each word typed last: those that hold it, and their numbers.
        self._held: tuple[int, dict[str, tuple[list[tuple[int, str]], frozenset[int]]]] = (0, {})

    def _parts(self, wanted: Filter) -> list[Selection]:
        """What a filter comes to, as parts that have no attempt in common: what a figure lacks, a note must have."""
        words = _folded(wanted.text).split()
        asked = (wanted.pattern, rows.name(wanted.prop), wanted.counted_by, rows.name(wanted.juggler))
        if not words and asked == ANY:
            return [Selection()]
        figures, notes = self._figure_texts(), self._note_texts() if words else []
        known = (wanted, len(figures), len(notes))
        if self._parted[0] == known:
            return self._parted[1]
        self._hold(words, notes)
        holding = {word: numbers for word, (_, numbers) in self._held[1].items()}
        lacking: dict[tuple[str, ...], list[int]] = {}
        for figure in figures if asked == ANY else [figure for figure in figures if figure.fits(asked)]:
            lacked = tuple([word for word in words if word not in figure.folded])
            lacking.setdefault(lacked, []).append(figure.number)
        parts = [
            Selection(
                None if len(of) == len(figures) else tuple(of),
                frozenset.intersection(*(holding[word] for word in lacked)) if lacked else None,
            )
            for lacked, of in lacking.items()
        ]
        self._parted = (known, [part for part in parts if part.notes is None or part.notes])
        return self._parted[1]

    def _hold(self, words: list[str], notes: list[tuple[int, str]]) -> None:
        """Find the notes each word stands in, among those that hold a part of it: it is typed letter by letter."""
        before = self._held[1] if self._held[0] == len(notes) else {}
        found = {word: before[word] for word in words if word in before}
        for word in words:
            if word not in found:
                among = min((held for part, (held, _) in before.items() if part in word), key=len, default=notes)
                held = [note for note in among if word in note[1]]
                found[word] = held, frozenset(map(itemgetter(0), held))
        self._held = (len(notes), found)

    def _figure_texts(self) -> list[Texts]:
        last = self._figures[-1].number if self._figures else 0
        self._figures += [
            Texts(number, pattern, prop, counted_by, juggler, _folded("\n".join(
                filter(None, (pattern, name, prop, juggler)))))
            for number, pattern, name, prop, counted_by, juggler in self._rows(
                """SELECT f.id, f.pattern, f.name, p.name, f.counted_by, j.name FROM figures f
                JOIN props p ON p.id = f.prop_id LEFT JOIN jugglers j ON j.id = f.juggler_id
                WHERE f.id > ? ORDER BY f.id""",
                (last,),
            )
        ]  # fmt: skip
        return self._figures

    def _note_texts(self) -> list[tuple[int, str]]:
        last = self._notes[-1][0] if self._notes else 0
        found = self._rows("SELECT id, text FROM notes WHERE id > ? ORDER BY id", (last,))
        self._notes += [(number, _folded(text)) for number, text in found]
        return self._notes


def _folded(text: str) -> str:
    """A text for comparing: accents in one form, no case of letters."""
    return unicodedata.normalize("NFC", text).casefold()
