"""Attempts in memory in the order of a list: what no index is kept for.

An index of a million attempts takes some 16 MB, and three more would be written with every try. 32 MB of memory, for
as long as the list is open, do the same. For those that have a note, it is a look at each of some thousand notes that
is saved. It is imported when it is needed: numpy takes its time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from itertools import chain
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from trainer.logbook.filters import PageEnd, Selection

Table = npt.NDArray[np.float64]
"""Attempts, of each its sort keys, figure and note (0: none): (attempts, keys + 2)."""

AT_ONCE: Final = 65536
"""Attempts looked at in one step: most filters let enough through in the first."""


class Ordered:
    """Attempts by their sort keys, of which the last two are day and number.

    tables: as to_table gives them. greatest_first: the greatest of the first key comes first, of alike ones that of
    the second, and so on; else the least.
    """

    def __init__(self, tables: Sequence[Table], *, greatest_first: bool = True) -> None:
        *keys, figures, notes = np.concatenate(tables).T
        order = np.lexsort(keys[::-1])[:: -1 if greatest_first else 1]
        *values, days, numbers = (key[order] for key in keys)
        self._greatest_first = greatest_first
        self._take([*values, days.astype(np.int32), numbers.astype(np.int64), figures[order].astype(np.intp),
                    notes[order].astype(np.int32)])  # fmt: skip

    def change(self, numbers: Collection[int], table: Table) -> None:
        """Those of some numbers are no more what they were, but what the table has of them: few, or none."""
        kept = ~np.isin(self._keys[-1], list(numbers))
        self._take([column[kept] for column in self._columns()])
        for row in table:
            at = self._beyond(tuple(row[:-2]))
            self._take([np.insert(column, at, value) for column, value in zip(self._columns(), row, strict=True)])

    def first(
        self, parts: Sequence[Selection], days: tuple[int, int], limit: int, after: PageEnd | None
    ) -> list[PageEnd]:
        """The sort keys of the first attempts beyond a place which are in one of the parts, by the days between two.

        No attempt is in two of the parts.
        """
        start = self._beyond(after)
        rows = [*self._noted_rows(parts, days, start)[:limit]]
        found, fitting = 0, self._figures_of(parts)
        while fitting.any() and found < limit and start < len(self._figures):
            here = np.flatnonzero(self._of_figures(fitting, days, slice(start, start + AT_ONCE)))
            rows += [*here[: limit - found] + start]
            found, start = found + len(here), start + AT_ONCE
        return [tuple(key[row].item() for key in self._keys) for row in sorted(rows)[:limit]]

    def count(self, parts: Sequence[Selection], days: tuple[int, int]) -> int:
        """How many attempts are in one of the parts, by the days between two."""
        noted, fitting = len(self._noted_rows(parts, days, 0)), self._figures_of(parts)
        return noted + (int(np.count_nonzero(self._of_figures(fitting, days, slice(None)))) if fitting.any() else 0)

    def _columns(self) -> list[npt.NDArray[Any]]:
        return [*self._keys, self._figures, self._notes]

    def _take(self, columns: list[npt.NDArray[Any]]) -> None:
        self._keys, self._figures, self._notes = columns[:-2], columns[-2], columns[-1]
        self._noted, self._most = np.flatnonzero(self._notes), int(self._figures.max(initial=0))

    def _figures_of(self, parts: Sequence[Selection]) -> npt.NDArray[np.bool_]:
        """By the number of a figure: whether all its attempts are in one of the parts, whatever note they have."""
        fitting = np.zeros(self._most + 1, np.bool_)
        for part in parts:
            if part.notes is None:
                fitting[slice(None) if part.figures is None else _below(part.figures, len(fitting))] = True
        return fitting

    def _of_figures(self, fitting: npt.NDArray[np.bool_], days: tuple[int, int], here: slice) -> npt.NDArray[np.bool_]:
        fits: npt.NDArray[np.bool_] = fitting[self._figures[here]]
        return fits & _between(self._keys[-2][here], days)

    def _noted_rows(self, parts: Sequence[Selection], days: tuple[int, int], start: int) -> npt.NDArray[np.intp]:
        """The rows, from one on, of those that are in a part for their note: few attempts have one."""
        noted = [part for part in parts if part.notes is not None]
        rows = self._noted[np.searchsorted(self._noted, start) if noted else len(self._noted) :]
        figures, notes = self._figures[rows], self._notes[rows]
        part_of = np.zeros(figures.max(initial=0) + 1, np.intp)  # figure → part, from 1 on
        fits = np.zeros((len(noted) + 1, notes.max(initial=0) + 1), np.bool_)  # part, note → whether it fits
        for place, part in enumerate(noted, start=1):
            part_of[slice(None) if part.figures is None else _below(part.figures, len(part_of))] = place
            fits[place, _below(part.notes or (), fits.shape[1])] = True
        fitting: npt.NDArray[np.bool_] = fits[part_of[figures], notes] & _between(self._keys[-2][rows], days)
        return rows[fitting]

    def _beyond(self, after: PageEnd | None) -> int:
        """The row of the first attempt beyond a place."""
        if after is None:
            return 0
        sooner, alike = np.zeros(len(self._figures), np.bool_), np.ones(len(self._figures), np.bool_)
        for column, key in zip(self._keys, after, strict=True):
            sooner |= alike & (column > key if self._greatest_first else column < key)
            alike &= column == key
        return int(np.count_nonzero(sooner | alike))


def to_table(attempts: Iterable[Iterable[Any]], columns: int) -> Table:
    """A table of so many columns."""
    return np.fromiter(chain.from_iterable(attempts), np.float64).reshape(-1, columns)


def _below(numbers: Collection[int], stop: int) -> npt.NDArray[np.intp]:
    """Those that an attempt here has at all; others were never used, or came since."""
    found = np.fromiter(numbers, np.intp, len(numbers))
    return found[found < stop]


def _between(day: npt.NDArray[np.int32], days: tuple[int, int]) -> npt.NDArray[np.bool_]:
    between: npt.NDArray[np.bool_] = (day >= days[0]) & (day <= days[1])
    return between
