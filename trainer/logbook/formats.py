"""The two formats of an exported logbook: CSV by RFC 4180, and JSON with climbs, plan runs and corrections too.

Writing gives texts one after another. Reading gives records, each with the line it begins on, and raises LogbookError
where a file is not what it should be. No format knows the logbook.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, BinaryIO, Final

from trainer.logbook.errors import LogbookError
from trainer.logbook.fields import FIELDS, TEXTS, as_text

FORMAT: Final = "throwbeat logbook"
FORMAT_VERSION: Final = 1
KINDS: Final = ("climbs", "plan_runs", "attempts")
"""The lists of a JSON file, in the order they stand in it: what is referred to comes first."""

FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "'")
"""A text that begins so may be a formula to a spreadsheet: it is written behind one more apostrophe."""

LONGEST_FIELD: Final = 2**31 - 1  # characters
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
    csv.field_size_limit(LONGEST_FIELD)
    # Bytes that are no UTF-8 come through as signs no text has, so that the field they stand in can be named.
    lines = csv.reader(io.TextIOWrapper(file, "utf-8-sig", "surrogateescape", newline=""), strict=True)
    line, names = 1, None
    try:
        for cells in lines:
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
    return f"'{cell}" if name in TEXTS and cell.startswith(FORMULA) else cell


def _plain(name: str, cell: str) -> str:
    return cell[1:] if name in TEXTS and cell.startswith("'") and cell[1:].startswith(FORMULA) else cell


class _Echo:
    """A file that keeps nothing, and gives back each text that is written to it."""

    def write(self, text: str) -> str:
        return text


def read_json(path: Path, file: BinaryIO, tell: Callable[[int], None]) -> Iterator[Record]:
    """The records of a JSON file, each decoded when it is asked for."""
    content = file.read()
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise LogbookError(path, line, "", "The file was no UTF-8.") from None
    yield from Walk(path, text, lambda share: tell(int(share * len(content)))).records()


class Walk:
    """A walk through the text of a JSON file, list by list, record by record. tell: is told the share that is read."""

    def __init__(self, path: Path, text: str, tell: Callable[[float], None]) -> None:
        self._path, self._text, self._tell = path, text, tell
        self._at, self._line, self._counted = 0, 1, 0
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
                self._tell(self._at / len(self._text))
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
        found = SPACE.match(self._text, self._at)
        assert found is not None
        self._at = found.end()
        return self._text[self._at : self._at + 1]

    def _expect(self, sign: str) -> None:
        if self._next() != sign:
            raise self._refused(self._here(), "", f"The file was no JSON: “{sign}” was missing.")
        self._at += 1

    def _value(self) -> Any:
        self._next()
        try:
            value, self._at = self._decoder.raw_decode(self._text, self._at)
        except json.JSONDecodeError as error:
            raise self._refused(error.lineno, "", f"The file was no JSON: {error.msg}.") from None
        except _Doubled as error:
            raise self._refused(self._here(), str(error), "The field was there twice.") from None
        except (ValueError, RecursionError) as error:
            raise self._refused(self._here(), "", f"The record could not be read: {error}.") from None
        return value

    def _here(self) -> int:
        """The line of what comes next."""
        self._next()
        self._line += self._text.count("\n", self._counted, self._at)
        self._counted = self._at
        return self._line

    def _refused(self, line: int, field: str, message: str) -> LogbookError:
        return LogbookError(self._path, line, field, message)


class _Doubled(ValueError):
    """A key that stood in one table twice."""


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise _Doubled(next(key for number, (key, _) in enumerate(pairs) if key in dict(pairs[:number])))
    return found


def _no_number(word: str) -> Any:
    raise ValueError(f"{word} is no number")
