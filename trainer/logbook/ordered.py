"""Attempts in memory in the order of a list: what no index is kept for.

An index of a million attempts takes some 16 MB, and three more would be written with every try. 28 MB of memory, for
as long as the list is open, do the same. For those that have a note, it is a look at each of some thousand notes that
is saved. It is imported when it is needed: numpy takes its time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from itertools import chain
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from trainer.logbook.parts import Part, Place

AT_ONCE: Final = 65536
"""Attempts looked at in one step: most filters let enough through in the first."""

NO_NOTE, ANY_NOTE = 0, 1
"""What attempts of a figure need to be let through: nothing does, or whatever note they have or lack."""


class Ordered:
    """Attempts by their sort keys, of which the last two are day and number.

    tables: as to_table gives them. greatest_first: the greatest of the first key comes first, of alike ones that of
    the second, and so on; else the least.
    """

    def __init__(self, tables: Sequence[npt.NDArray[np.float64]], *, greatest_first: bool = True) -> None:
        *keys, figures, notes = np.concatenate(tables).T
        order = np.lexsort(keys[::-1])[:: -1 if greatest_first else 1]
        self._greatest_first = greatest_first
        *values, days, numbers = (key[order] for key in keys)
        self._keys: list[npt.NDArray[Any]] = [*values, days.astype(np.int32), numbers.astype(np.int64)]
        self._figures, self._notes = figures[order].astype(np.int32), notes[order].astype(np.int32)

    def change(self, numbers: Collection[int], table: npt.NDArray[np.float64]) -> None:
        """Those of some numbers are no more what they were, but what the table has of them: few, or none."""
        kept = ~np.isin(self._keys[-1], list(numbers))
        self._take(column[kept] for column in self._columns())
        for row in table:
            at = self._beyond(tuple(row[:-2]))
            self._take([np.insert(column, at, value) for column, value in zip(self._columns(), row, strict=True)])

    def _columns(self) -> list[npt.NDArray[Any]]:
        return [*self._keys, self._figures, self._notes]

    def _take(self, columns: Iterable[npt.NDArray[Any]]) -> None:
        *self._keys, self._figures, self._notes = columns

    def first(self, parts: Sequence[Part], days: tuple[int, int], limit: int, after: Place | None) -> list[Place]:
        """The sort keys of the first attempts beyond a place which are in one of the parts, by the days between two.

        No attempt is in two of the parts.
        """
        found: list[Place] = []
        tables, start = self._tables(parts), self._beyond(after)
        while len(found) < limit and start < len(self._figures):
            fits = self._fitting(tables, days, slice(start, start + AT_ONCE))
            for row in np.flatnonzero(fits)[: limit - len(found)] + start:
                found.append(tuple(key[row].item() for key in self._keys))
            start += AT_ONCE
        return found

    def count(self, parts: Sequence[Part], days: tuple[int, int]) -> int:
        """How many attempts are in one of the parts, by the days between two."""
        return int(np.count_nonzero(self._fitting(self._tables(parts), days, slice(None))))

    def _fitting(self, tables: Tables, days: tuple[int, int], here: slice) -> npt.NDArray[np.bool_]:
        fits_figure, fits_note = tables
        day, kind, note = self._keys[-2][here], fits_figure[self._figures[here]], self._notes[here]
        fits: npt.NDArray[np.bool_] = fits_note[kind, np.where(kind > ANY_NOTE, note, 0)]
        return fits & (day >= days[0]) & (day <= days[1])

    def _tables(self, parts: Sequence[Part]) -> Tables:
        """Figure → the kind of notes it needs; kind, note → whether that will do. Kinds: NO_NOTE, ANY_NOTE, others."""
        fits_figure = np.full(self._figures.max(initial=0) + 1, NO_NOTE, np.intp)
        fits_note = np.zeros((len(parts) + 2, self._notes.max(initial=0) + 1), np.bool_)
        fits_note[ANY_NOTE, 0] = True
        for kind, part in enumerate(parts, start=ANY_NOTE + 1):
            of = slice(None) if part.figures is None else _below(part.figures, len(fits_figure))
            fits_figure[of] = ANY_NOTE if part.notes is None else kind
            if part.notes is not None:
                fits_note[kind, _below(part.notes, fits_note.shape[1])] = True
        return fits_figure, fits_note

    def _beyond(self, after: Place | None) -> int:
        """The row of the first attempt beyond a place."""
        if after is None:
            return 0
        sooner, alike = np.zeros(len(self._figures), np.bool_), np.ones(len(self._figures), np.bool_)
        for column, key in zip(self._keys, after, strict=True):
            sooner |= alike & (column > key if self._greatest_first else column < key)
            alike &= column == key
        return int(np.count_nonzero(sooner | alike))


Tables = tuple[npt.NDArray[np.intp], npt.NDArray[np.bool_]]


def to_table(attempts: Iterable[Iterable[Any]], columns: int) -> npt.NDArray[np.float64]:
    """Attempts, of each its sort keys, figure and note (0: none): float64 (attempts, columns)."""
    return np.fromiter(chain.from_iterable(attempts), np.float64).reshape(-1, columns)


def _below(numbers: Collection[int], stop: int) -> npt.NDArray[np.intp]:
    """Those that an attempt here has at all; others were never used, or came since."""
    found = np.fromiter(numbers, np.intp, len(numbers))
    return found[found < stop]
