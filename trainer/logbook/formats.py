"""The two formats of an exported logbook: CSV by RFC 4180, and JSON with climbs, plan runs and corrections too.

Writing gives texts one after another. Reading gives records, each with the line it begins on, and raises LogbookError
where a file is not what it should be. No format knows the logbook.
"""

from __future__ import annotations

import csv
import io
import json
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, BinaryIO, Final, Self, TextIO

from trainer.logbook.errors import LogbookError
from trainer.logbook.fields import FIELDS, TEXTS, as_text

FORMAT: Final = "throwbeat logbook"
FORMAT_VERSION: Final = 1
KINDS: Final = ("climbs", "plan_runs", "attempts")
"""The lists of a JSON file, in the order they stand in it: what is referred to comes first."""

FORMULA: Final = frozenset("=+-@\N{MINUS SIGN}")
"""Signs a formula of a spreadsheet begins with. Source: OWASP, CSV Injection."""

LAYOUT: Final = ("\t", "\r", "\n", "'")
"""Signs that a text is guarded for whatever follows: a spreadsheet drops them, or takes the last for a guard itself."""

LONGEST_RECORD: Final = 8_000_000
"""Characters. So much may a plan of 1 MB come to where each of its characters is written as an escape."""

TOO_LONG: Final = f"The record was longer than {LONGEST_RECORD:,} characters."
PIECE: Final = 1 << 16
"""At least so many characters of a JSON file are read at a time."""

CUT_OFF: Final = 16
"""What is cut off at the end of a piece is an error no farther than this from there, or an open text."""

NO_UTF8: Final = re.compile("[\udc80-\udcff]")
"""Signs that stand for bytes which were no UTF-8."""

SPACE: Final = re.compile(r"[ \t\r\n]*")

Record = tuple[str, int, dict[str, Any]]
"""The list it stands in, the line it begins on, its fields."""


def to_csv(attempts: Iterable[dict[str, Any]]) -> Iterator[str]:
    """The lines of a CSV file: a header, then each attempt."""
    names = [field.name for field in FIELDS]
    lines = csv.writer(_Echo())  # a writer returns what its file's `write` returns
    yield lines.writerow(names)
    for values in attempts:
        yield lines.writerow([_cell(name, values[name]) for name in names])


def to_json(lists: Iterable[tuple[str, Iterable[dict[str, Any]]]]) -> Iterator[str]:
    """The pieces of a JSON file, a record a line."""
    yield f'{{\n"format": "{FORMAT}",\n"version": {FORMAT_VERSION}'
    for name, records in lists:
        yield f',\n"{name}": ['
        for number, record in enumerate(records):
            yield ",\n" if number else "\n"
            yield json.dumps(record, ensure_ascii=False, allow_nan=False)
        yield "\n]"
    yield "\n}\n"


def read_csv(path: Path, file: BinaryIO, tell: Callable[[int], None]) -> Iterator[Record]:
    """The attempts of a CSV file. tell: is told how many bytes are read."""
    csv.field_size_limit(LONGEST_RECORD)
    # Bytes that are no UTF-8 come through as signs no text has, so that the field they stand in can be named.
    bounded = _Lines(io.TextIOWrapper(file, "utf-8-sig", "surrogateescape", newline=""))
    lines = csv.reader(bounded, strict=True)
    line, names = 1, None
    try:
        for cells in lines:
            bounded.length = 0
            if names is None:
                names = _header(path, cells)
            elif len(cells) > len(names):
                raise LogbookError(path, line, "", f"The line had {len(cells)} fields, the first line {len(names)}.")
            elif cells:
                if len(cells) < len(names):
                    raise LogbookError(path, line, names[len(cells)], "The line ended before this field.")
                tell(file.tell())
                yield "attempts", line, {name: _plain(name, cell) for name, cell in zip(names, cells, strict=True)}
            line = lines.line_num + 1
    except _TooLong:
        raise LogbookError(path, line, "", TOO_LONG) from None
    except csv.Error as error:
        raise LogbookError(path, line, "", f"The line was no CSV: {error}.") from None
    if names is None:
        raise LogbookError(path, 1, "", "The file was empty.")


def _header(path: Path, cells: list[str]) -> list[str]:
    known = {field.name: field for field in FIELDS}
    for number, name in enumerate(cells):
        if name not in known:
            raise LogbookError(path, 1, name, "There is no such field.")
        if name in cells[:number]:
            raise LogbookError(path, 1, name, "The field was there twice.")
    for field in FIELDS:
        if field.must and field.name not in cells:
            raise LogbookError(path, 1, field.name, "The field was missing in the first line.")
    return cells


def _cell(name: str, value: object) -> str:
    cell = as_text(value)
    return f"'{cell}" if name in TEXTS and is_guarded(cell) else cell


def _plain(name: str, cell: str) -> str:
    return cell[1:] if name in TEXTS and cell.startswith("'") and is_guarded(cell[1:]) else cell


def is_guarded(text: str) -> bool:
    """Whether a spreadsheet could take a text for a formula, so that it is written behind one more apostrophe.

    Blanks and signs that can't be seen may stand before the formula, and its first sign may be a wide or a small one.
    """
    if text.startswith(LAYOUT):
        return True
    first = next((sign for sign in text if unicodedata.category(sign)[0] not in "CMZ"), "")
    return unicodedata.normalize("NFKC", first) in FORMULA


class _TooLong(Exception):
    """A record was longer than any is."""


class _Lines:
    """The lines of a text. length: of those read since it was set to 0; above LONGEST_RECORD it raises _TooLong."""

    def __init__(self, file: TextIO) -> None:
        self._file, self.length = file, 0

    def __iter__(self) -> Self:
        return self

    def __next__(self) -> str:
        line = self._file.readline(LONGEST_RECORD + 1)
        self.length += len(line)
        if self.length > LONGEST_RECORD:
            raise _TooLong
        if not line:
            raise StopIteration
        return line


class _Echo:
    """A file that keeps nothing, and gives back each text that is written to it."""

    def write(self, text: str) -> str:
        return text


def read_json(path: Path, file: BinaryIO, tell: Callable[[int], None]) -> Iterator[Record]:
    """The records of a JSON file, each read when it is asked for. tell: is told how many bytes are read."""
    text = io.TextIOWrapper(file, "utf-8-sig", "surrogateescape", newline="")
    yield from Walk(path, text.read, lambda: tell(file.tell())).records()


class Walk:
    """A walk through the text of a JSON file, list by list, record by record; no more of it is held than a record.

    read: hands out so many characters more, none at the end. tell: is called at each record.
    """

    def __init__(self, path: Path, read: Callable[[int], str], tell: Callable[[], None]) -> None:
        self._path, self._read, self._tell = path, read, tell
        self._text, self._at = "", 0  # what is held, and the place in it that is reached
        self._line, self._counted = 1, 0  # the line of the place up to which lines are counted
        self._decoder = json.JSONDecoder(object_pairs_hook=_once, parse_constant=_no_number)

    def records(self) -> Iterator[Record]:
        """Every record of the file."""
        seen: set[str] = set()
        self._expect("{")
        while not (seen == set() and self._next() == "}"):
            line, key = self._here(), self._value()
            if not isinstance(key, str) or key not in ("format", "version", *KINDS):
                raise self._refused(line, str(key)[:60], "There is no such field.")
            if key in seen:
                raise self._refused(line, key, "The field was there twice.")
            seen.add(key)
            self._expect(":")
            if key in KINDS:
                yield from self._list(key)
            else:
                self._check_head(key, self._value())
            if self._next() == "}":
                break
            self._expect(",")
        self._expect("}")
        if self._next():
            raise self._refused(self._here(), "", "Something stood behind the end.")
        for key in ("format", "version", "attempts"):
            if key not in seen:
                raise self._refused(1, key, "The field was missing.")

    def _list(self, key: str) -> Iterator[Record]:
        self._expect("[")
        if self._next() != "]":
            while True:
                line, record = self._here(), self._value()
                if not isinstance(record, dict):
                    raise self._refused(line, key, "A record was no table.")
                self._tell()
                yield key, line, record
                if self._next() == "]":
                    break
                self._expect(",")
        self._expect("]")

    def _check_head(self, key: str, value: object) -> None:
        if key == "format" and value != FORMAT:
            raise self._refused(self._here(), key, "The file was no exported logbook.")
        if key == "version" and (value != FORMAT_VERSION or isinstance(value, bool)):
            raise self._refused(self._here(), key, f"The version was not {FORMAT_VERSION}, the one known here.")

    def _next(self) -> str:
        """The sign that comes next; empty at the end."""
        while True:
            found = SPACE.match(self._text, self._at)
            assert found is not None
            self._at = found.end()
            if self._at < len(self._text) or not self._more():
                return self._text[self._at : self._at + 1]

    def _more(self) -> bool:
        """Read on, and let go of what is behind; whether there was more."""
        self._count()
        left = self._text[self._at :]
        # At least as much again, so that a long record is not decoded anew for each piece of it.
        piece = self._read(max(PIECE, len(left)))
        self._text, self._at, self._counted = left + piece, 0, 0
        strange = NO_UTF8.search(piece)
        if strange is not None:
            line = self._line + self._text.count("\n", 0, len(left) + strange.start())
            raise self._refused(line, "", "The file was no UTF-8.")
        return bool(piece)

    def _expect(self, sign: str) -> None:
        if self._next() != sign:
            raise self._refused(self._here(), "", f"The file was no JSON: “{sign}” was missing.")
        self._at += 1

    def _value(self) -> Any:
        self._next()
        while True:
            try:
                value, end = self._decoder.raw_decode(self._text, self._at)
                if end < len(self._text):
                    self._at = end
                    return value
                if not self._more():  # else a number may go on
                    self._at = len(self._text)
                    return value
            except json.JSONDecodeError as error:
                self._read_on(error)
            except _Doubled as error:
                raise self._refused(self._here(), str(error), "The field was there twice.") from None
            except (ValueError, RecursionError) as error:
                raise self._refused(self._here(), "", f"The record could not be read: {error}.") from None

    def _read_on(self, error: json.JSONDecodeError) -> None:
        """Read more if the error may only be that a record is cut off; LogbookError if not, or if it is too long."""
        line = self._line + self._text.count("\n", self._counted, error.pos)
        is_cut_off = error.msg.startswith("Unterminated") or error.pos > len(self._text) - CUT_OFF
        if is_cut_off and len(self._text) - self._at > LONGEST_RECORD:
            raise self._refused(self._here(), "", TOO_LONG)
        if not (is_cut_off and self._more()):
            raise self._refused(line, "", f"The file was no JSON: {error.msg}.")

    def _here(self) -> int:
        """The line of what comes next."""
        self._next()
        self._count()
        return self._line

    def _count(self) -> None:
        self._line += self._text.count("\n", self._counted, self._at)
        self._counted = self._at

    def _refused(self, line: int, field: str, message: str) -> LogbookError:
        return LogbookError(self._path, line, field, message)


class _Doubled(ValueError):
    """A key that stood in one table twice."""


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise _Doubled(key)
        found[key] = value
    return found


def _no_number(word: str) -> Any:
    raise ValueError(f"{word} is no number")
