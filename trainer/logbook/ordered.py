"""All attempts in the order of one of their figures, in memory: what no index is kept for.

An index of a million attempts takes some 16 MB, and three more would be written with every try. 28 MB of memory, for
as long as the list is open, do the same. It is imported when they do: numpy takes its time.
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
    """Attempts, the one with the greatest value first, of alike ones the latest.

    tables: as to_table gives them.
    """

    def __init__(self, tables: list[npt.NDArray[np.float64]]) -> None:
        values, days, numbers, figures, notes = np.concatenate([to_table(()), *tables]).T
        order = np.lexsort((numbers, days, values))[::-1]
        self._values = values[order]
        self._days, self._numbers = days[order].astype(np.int32), numbers[order].astype(np.int64)
        self._figures, self._notes = figures[order].astype(np.int32), notes[order].astype(np.int32)

    def first(self, parts: Sequence[Part], days: tuple[int, int], limit: int, after: Place | None) -> list[Place]:
        """The first attempts beyond a place which are in one of the parts, by the days between two: value, day, number.

        No attempt is in two of the parts.
        """
        fits_figure, fits_note = self._tables(parts)
        found: list[Place] = []
        start = self._beyond(after)
        while len(found) < limit and start < len(self._values):
            here = slice(start, start + AT_ONCE)
            day, kind, note = self._days[here], fits_figure[self._figures[here]], self._notes[here]
            fits = (day >= days[0]) & (day <= days[1]) & fits_note[kind, np.where(kind > ANY_NOTE, note, 0)]
            for row in np.flatnonzero(fits)[: limit - len(found)] + start:
                found.append((self._values[row].item(), self._days[row].item(), self._numbers[row].item()))
            start += AT_ONCE
        return found

    def _tables(self, parts: Sequence[Part]) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.bool_]]:
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
        value, day, number = after
        values, days, numbers = self._values, self._days, self._numbers
        later = (days < day) | ((days == day) & (numbers < number))
        return int(np.count_nonzero(~((values < value) | ((values == value) & later))))


def to_table(attempts: Iterable[Iterable[Any]]) -> npt.NDArray[np.float64]:
    """Attempts, of each its value, day, number, figure and note (0: none): float64 (attempts, 5)."""
    return np.fromiter(chain.from_iterable(attempts), np.float64).reshape(-1, 5)


def _below(numbers: Collection[int], stop: int) -> npt.NDArray[np.intp]:
    """Those that an attempt here has at all; others were never used, or came since."""
    found = np.fromiter(numbers, np.intp, len(numbers))
    return found[found < stop]
