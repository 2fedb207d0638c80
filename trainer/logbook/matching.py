"""Texts typed into a filter, held against figures and notes.

Figures are few, and notes are kept once each; both are only ever added, unless a change is taken back. So those known
stay in memory, and new ones are read when they are needed. They are compared in Python, where letters of every script
fold.
"""

from __future__ import annotations

import json
import unicodedata
from dataclasses import dataclass, field
from operator import itemgetter
from typing import Final

from trainer.logbook import rows
from trainer.logbook.connection import LogbookConnection
from trainer.logbook.filters import EVERYTHING, Filter

ANY: Final = (None,) * 4  # pattern, prop, way of counting, juggler


@dataclass(frozen=True, slots=True)
class FigureTexts:
    """What a filter needs of a figure: its number, its texts, and all of them folded into one."""

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


@dataclass(frozen=True, slots=True)
class Match:
    """What a filter comes to: figures all of whose attempts fit, and what other attempts fit by their note.

    whole: the numbers of those figures; None for all figures there are.
    words: how many conditions the others are held to, each of one or more words: to be of some figures, or to have one
    of some notes.
    numbers: as JSON, for a query: "whole"; "notes", those the others can have; "among", the figures they can be of,
    if that is not any; "figures_0", "notes_0" and so on for each condition. Without "notes" there are no others.
    """

    whole: frozenset[int] | None = None
    words: int = 0
    numbers: dict[str, str] = field(default_factory=dict)

    @property
    def by_note(self) -> bool:
        """Whether an attempt may fit by its note."""
        return "notes" in self.numbers


class Matching(LogbookConnection):
    """What the logbook does for filters."""

    def _forget(self) -> None:
        """Forget all texts too: SQLite gives the number of a text that was taken back to the next one."""
        super()._forget()
        self._figures: list[FigureTexts] = []
        self._notes: list[tuple[int, str]] = []
        self._matched: tuple[tuple[Filter, int, int], Match] = ((EVERYTHING, 0, 0), Match())
        # How many notes there were when the last words were sought, and which notes hold each of those words.
        self._held: tuple[int, dict[str, list[tuple[int, str]]]] = (0, {})

    def read_texts(self) -> None:
        """Read the texts that are new in the file: before the first key is typed, so that no key waits for it."""
        last_figure = self._figures[-1].number if self._figures else 0
        self._figures += [
            FigureTexts(number, pattern, prop, counted_by, juggler, _folded("\n".join(
                filter(None, (pattern, name, prop, juggler)))))
            for number, pattern, name, prop, counted_by, juggler in self.read(
                """SELECT f.id, f.pattern, f.name, p.name, f.counted_by, j.name FROM figures f
                JOIN props p ON p.id = f.prop_id LEFT JOIN jugglers j ON j.id = f.juggler_id
                WHERE f.id > ? ORDER BY f.id""",
                (last_figure,),
            )
        ]  # fmt: skip
        last_note = self._notes[-1][0] if self._notes else 0
        found = self.read("SELECT id, text FROM notes WHERE id > ? ORDER BY id", (last_note,))
        self._notes += [(number, _folded(text)) for number, text in found]

    def _match(self, wanted: Filter) -> Match:
        """What a filter comes to: a word that a figure lacks must be in the note."""
        words = _folded(wanted.text).split()
        asked = (wanted.pattern, rows.name(wanted.prop), wanted.counted_by, rows.name(wanted.juggler))
        if not words and asked == ANY:
            return Match()
        self.read_texts()
        known = (wanted, len(self._figures), len(self._notes))
        if self._matched[0] != known:
            self._matched = (known, self._matched_anew(words, asked))
        return self._matched[1]

    def _matched_anew(self, words: list[str], asked: tuple[str | None, ...]) -> Match:
        figures = [figure for figure in self._figures if figure.fits(asked)]
        among = frozenset(figure.number for figure in figures)
        needed: dict[frozenset[int], frozenset[int]] = {}  # words of the same figures become one condition
        for word, held in self._hold(words).items():
            having = frozenset(figure.number for figure in figures if word in figure.folded)
            notes = frozenset(map(itemgetter(0), held))
            needed[having] = needed[having] & notes if having in needed else notes
        lacked = {number: tuple(having for having in needed if number not in having) for number in among}
        whole = frozenset(number for number, lacks in lacked.items() if not lacks)
        if len(whole) == len(self._figures):
            return Match()
        sets: dict[str, frozenset[int]] = {"whole": whole}
        fitting = [frozenset.intersection(*map(needed.__getitem__, lacks)) for lacks in set(lacked.values()) if lacks]
        if any(fitting):
            sets["notes"] = fitting[0].union(*fitting[1:])
            if len(among) < len(self._figures):
                sets["among"] = among
            for place, (having, notes) in enumerate(needed.items() if len(needed) > 1 else ()):
                sets |= {f"figures_{place}": having, f"notes_{place}": notes}
        words_left = len(needed) if len(needed) > 1 else 0  # a single condition is the one for "notes" again
        return Match(whole, words_left, {name: json.dumps(list(numbers)) for name, numbers in sets.items()})

    def _hold(self, words: list[str]) -> dict[str, list[tuple[int, str]]]:
        """The notes each word stands in, sought among those that hold a part of it: it is typed letter by letter."""
        before = self._held[1] if self._held[0] == len(self._notes) else {}
        found: dict[str, list[tuple[int, str]]] = {}
        for word in words:
            among = min((held for part, held in before.items() if part in word), key=len, default=self._notes)
            found[word] = [note for note in among if word in note[1]]
        self._held = (len(self._notes), found)
        return found


def _folded(text: str) -> str:
    """A text for comparing: accents in one form, no case of letters."""
    return unicodedata.normalize("NFC", text).casefold()
