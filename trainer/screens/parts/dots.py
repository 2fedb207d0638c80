"""A sheet of braille dots, two across and four down in each cell, each cell in one ink, with letters among them."""

from __future__ import annotations

import re
from functools import lru_cache

MASKS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Dot of a cell, by row and column → its bit in a braille sign (Unicode, block 2800)."""

SIGNS = {bits: chr(0x2800 + bits) if bits else " " for bits in range(256)}
SAME_INK = re.compile(rb"(.)\1*", re.DOTALL)

Offsets = tuple[tuple[int, int], ...]
"""Dots of a shape, to the right and down from its middle."""

InkRun = tuple[str, int]
"""A stretch of a row in one ink."""


class DotSheet:
    """A sheet of so many columns and rows of cells. Ink is a number; blank cells have 0."""

    def __init__(self, columns: int, rows: int) -> None:
        self.columns, self.rows = columns, rows
        self.bits, self.ink = bytearray(columns * rows), bytearray(columns * rows)
        self.under: dict[int, dict[int, str]] = {}
        self.over: dict[int, dict[int, str]] = {}

    def take(self, other: DotSheet) -> None:
        """Become a copy of another sheet of the same size, without the letters over its dots."""
        self.bits[:], self.ink[:] = other.bits, other.ink
        self.under, self.over = other.under, {}

    def dot(self, x: int, y: int, ink: int) -> None:
        """Set one dot, counted from the left and from the top; nothing outside the sheet."""
        if 0 <= x < 2 * self.columns and 0 <= y < 4 * self.rows:
            cell = (y >> 2) * self.columns + (x >> 1)
            self.bits[cell] |= MASKS[y & 3][x & 1]
            self.ink[cell] = ink

    def stamp(self, shape: Offsets, x: int, y: int, ink: int) -> None:
        """Set the dots of a shape whose middle is at a dot."""
        row, column, columns, rows = y >> 2, x >> 1, self.columns, self.rows
        bits, inks = self.bits, self.ink
        for down, right, mask in _to_cells(shape, x & 1, y & 3):
            at_row, at_column = row + down, column + right
            if 0 <= at_row < rows and 0 <= at_column < columns:
                cell = at_row * columns + at_column
                bits[cell] |= mask
                inks[cell] = ink

    def line(self, start: tuple[int, int], stop: tuple[int, int], ink: int, every: int = 1) -> None:
        """Set the dots of a straight line, one of every so many."""
        (x, y), (to_x, to_y) = start, stop
        steps = max(abs(to_x - x), abs(to_y - y), 1)
        for step in range(0, steps + 1, every):
            self.dot(round(x + (to_x - x) * step / steps), round(y + (to_y - y) * step / steps), ink)

    def write_under(self, column: int, row: int, text: str, ink: int) -> None:
        """Write letters that show where there is no dot."""
        self._write(self.under, column, row, text, ink)

    def write_over(self, column: int, row: int, text: str, ink: int) -> None:
        """Write letters in place of the dots of their cells."""
        self._write(self.over, column, row, text, ink)

    def _write(self, layer: dict[int, dict[int, str]], column: int, row: int, text: str, ink: int) -> None:
        for place, letter in enumerate(text, start=column):
            if 0 <= row < self.rows and 0 <= place < self.columns:
                layer.setdefault(row, {})[place] = letter
                if layer is self.over or not self.bits[row * self.columns + place]:
                    self.ink[row * self.columns + place] = ink

    def row_key(self, row: int) -> tuple[bytes, bytes, tuple[tuple[int, str], ...]]:
        """What a row is drawn from: equal for rows that look the same."""
        start, stop = row * self.columns, (row + 1) * self.columns
        over = self.over.get(row)
        return bytes(self.bits[start:stop]), bytes(self.ink[start:stop]), tuple(over.items()) if over else ()

    def runs(self, row: int) -> list[InkRun]:
        """A row as texts, each as far as one ink goes."""
        bits, ink, over = self.row_key(row)
        text = bits.decode("latin-1").translate(SIGNS)
        under = self.under.get(row)
        if under or over:
            letters = list(text)
            for place, letter in (under or {}).items():
                if not bits[place]:
                    letters[place] = letter
            for place, letter in over:
                letters[place] = letter
            text = "".join(letters)
        return [(text[found.start() : found.end()], found.group(1)[0]) for found in SAME_INK.finditer(ink)]


@lru_cache(maxsize=1024)
def _to_cells(shape: Offsets, x: int, y: int) -> tuple[tuple[int, int, int], ...]:
    """A shape as cells: rows down and columns right of its middle's cell, and the dots set there."""
    cells: dict[tuple[int, int], int] = {}
    for right, down in shape:
        at_x, at_y = x + right, y + down
        place = (at_y >> 2, at_x >> 1)
        cells[place] = cells.get(place, 0) | MASKS[at_y & 3][at_x & 1]
    return tuple((down, right, mask) for (down, right), mask in cells.items())
