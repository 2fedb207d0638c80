"""Finds the line each key and list item of a TOML text stands on; the text is known to be valid already."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Iterator

Trail = tuple[str | int, ...]

BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
KEY_PART = re.compile(r"""[ \t]*("(?:[^"\\\n]|\\.)*"|'[^'\n]*'|[A-Za-z0-9_-]+)[ \t]*""")
# Four kinds of text, then a number, a date or a word. A long text may end in one or two quotes of its own.
SCALAR = re.compile(
    r'''"""(?:[^"\\]|\\.|"(?!""))*"{3,5}'''
    r"""|'{3}(?:[^']|'(?!''))*'{3,5}"""
    r'''|"(?:[^"\\\n]|\\.)*"'''
    r"""|'[^'\n]*'"""
    r"""|[^\s,\]}#]+(?:[ ][0-9][^\s,\]}#]*)?""",  # a date may have one space before its time
    re.DOTALL,
)


def lines_of(text: str) -> dict[Trail, int]:
    """The line, from 1, of every key and list item, by the keys and places (from 0) that lead to it."""
    return _Walk(text).lines


class _Walk:
    """One pass through the text: `_at` is the place reached, `lines` what was met on the way."""

    def __init__(self, text: str) -> None:
        self._text, self._at = text, 0
        self._line_starts = [0, *(found.end() for found in re.finditer("\n", text))]
        self._list_lengths: dict[Trail, int] = {}  # of the [[tables]] so far
        self.lines: dict[Trail, int] = {}
        table: Trail = ()
        while self._skip(BLANK) and self._at < len(text):
            if text[self._at] == "[":
                table = self._header()
            else:
                self._pair(table)

    def _skip(self, pattern: re.Pattern[str]) -> re.Match[str]:
        found = pattern.match(self._text, self._at)
        if found is None:
            raise ValueError(f"the TOML text could not be followed past character {self._at}")
        self._at = found.end()
        return found

    def _note(self, trail: Trail, start: int) -> None:
        self.lines.setdefault(trail, bisect_right(self._line_starts, start))

    def _parts(self) -> Iterator[str]:
        """The parts of the dotted key that begins here, without quotes."""
        while True:
            part = self._skip(KEY_PART)[1]
            yield next(iter(tomllib.loads(f"{part} = 0"))) if part[0] in "'\"" else part
            if self._text[self._at] != ".":
                return
            self._at += 1

    def _header(self) -> Trail:
        start, brackets = self._at, 2 if self._text.startswith("[[", self._at) else 1
        self._at += brackets
        trail: Trail = ()
        parts = tuple(self._parts())
        for depth, part in enumerate(parts, start=1):
            trail = (*trail, part)
            self._note(trail, start)
            if brackets == 2 and depth == len(parts):
                self._list_lengths[trail] = self._list_lengths.get(trail, 0) + 1
            if trail in self._list_lengths:  # a header under a [[table]] belongs to the last one of it
                trail = (*trail, self._list_lengths[trail] - 1)
                self._note(trail, start)
        self._at += brackets
        return trail

    def _pair(self, table: Trail) -> None:
        start, trail = self._at, table
        for part in self._parts():
            trail = (*trail, part)
            self._note(trail, start)
        self._at += 1  # the equals sign
        self._value(trail)

    def _value(self, trail: Trail) -> None:
        self._skip(BLANK)
        opening = self._text[self._at]
        if opening not in "[{":
            self._skip(SCALAR)
            return
        closing = "]" if opening == "[" else "}"
        self._at += 1
        place = 0
        while self._skip(BLANK) and self._text[self._at] != closing:
            if self._text[self._at] == ",":
                self._at += 1
            elif opening == "{":
                self._pair(trail)
            else:
                self._note((*trail, place), self._at)
                self._value((*trail, place))
                place += 1
        self._at += 1
