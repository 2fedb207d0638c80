"""Reads a TOML file a user may have written and hands out its values checked, each error with its line.

`read(path)` gives a Table; its accessors (`text`, `number`, `choice` …) check kind and bounds as they hand a
value out, and `refuse_unknown` then names a key nobody asked for. The parser of the standard library keeps no
line numbers, so after an error, and only then, `trainer.files.lines` walks the text once more to find them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, TypeVar

from trainer.errors import TrainerError
from trainer.files import checks as values
from trainer.files.checks import Wrong
from trainer.files.ordinary import TEXT_BYTES, Missing, read_ordinary
from trainer.files.texts import WORD, Kind, checked, one_line

SHOWN_FIELD: Final = 80  # characters: a broken file can have a key of any length


class DataError(TrainerError):
    """What was wrong in a user's file; str() is one line: "path:line: field: message"."""

    def __init__(self, path: Path | str, line: int | None, field: str, message: str) -> None:
        self.path, self.line, self.field, self.message = Path(path), line, field, message
        place = str(path) if line is None else f"{path}:{line}"
        super().__init__(one_line(": ".join(part for part in (place, field, message) if part)))


class MissingFile(DataError):
    """There was no such file: for some files the user need not have one."""


@contextmanager
def noting(errors: list[DataError]) -> Iterator[None]:
    """Add a DataError that ends the block to `errors`, and go on after the block."""
    try:
        yield
    except DataError as error:
        errors.append(error)


class _Required:
    """The default of a field that must be there."""


REQUIRED: Final = _Required()
Default = TypeVar("Default")
Checked = TypeVar("Checked")
Trail = tuple[str | int, ...]  # the way to a value: keys, and places in lists counted from 0


class Table:
    """One table of a file: every accessor hands out one checked value or raises DataError.

    A field without `default` must be there. Of the bounds of a number, `low` and `high` are allowed values, `above`
    and `below` are not.
    """

    def __init__(self, source: Source, found: Mapping[str, Any], trail: Trail) -> None:
        self._source, self._values, self._trail = source, found, trail
        self._asked: set[str] = set()
        self._handed_out: dict[Trail, Table] = {}

    @property
    def path(self) -> Path:
        """The file this table is from."""
        return self._source.path

    def names(self) -> tuple[str, ...]:
        """The keys that are there, in the order of the file."""
        return tuple(self._values)

    def has(self, key: str) -> bool:
        """Whether the key is there; asking makes it a known key."""
        self._asked.add(key)
        return key in self._values

    def error(self, key: str | None, message: str) -> DataError:
        """A DataError at `key` (or at the table), for what only the caller can judge."""
        trail = self._trail if key is None else (*self._trail, key)
        return self._source.error(trail, message)

    def text(self, key: str, kind: Kind = WORD, *, default: Default | _Required = REQUIRED) -> str | Default:
        """A text of that kind."""
        return self._one(key, default, lambda it: checked(it, kind))

    def truth(self, key: str, *, default: Default | _Required = REQUIRED) -> bool | Default:
        """true or false."""
        return self._one(key, default, values.truth)

    def choice(self, key: str, options: Sequence[str], *, default: Default | _Required = REQUIRED) -> str | Default:
        """One of a few words."""
        return self._one(key, default, lambda it: values.choice(it, options))

    def number(self, key: str, *, default: Default | _Required = REQUIRED, **bounds: float) -> float | Default:
        """A finite number, whole or not."""
        return self._one(key, default, lambda it: float(values.within(values.number(it), **bounds)))

    def whole(self, key: str, *, default: Default | _Required = REQUIRED, **bounds: int) -> int | Default:
        """A whole number; 3.0 is not one."""
        return self._one(key, default, lambda it: values.within(values.whole(it), **bounds))

    def fraction(
        self, key: str, *, default: Default | _Required = REQUIRED, **bounds: Fraction | int
    ) -> Fraction | Default:
        """An exact number: 0.6 (six tenths, exactly), 2, or a text such as "2/3"."""
        return self._one(key, default, lambda it: values.within(values.fraction(it), **bounds))

    def texts(
        self, key: str, kind: Kind = WORD, *, default: Default | _Required = REQUIRED
    ) -> tuple[str, ...] | Default:
        """A list of texts of that kind."""
        return self._each(key, default, lambda it: checked(it, kind))

    def table(self, key: str, *, default: Default | _Required = REQUIRED) -> Table | Default:
        """A table within this one."""
        return self._one(key, default, lambda it: self._inner(it, (key,)))

    def tables(self, key: str, *, default: Default | _Required = REQUIRED) -> tuple[Table, ...] | Default:
        """The tables of a list, those under [[key]]."""
        if not self.has(key):
            return self._absent(key, default)
        rows = self._each(key, REQUIRED, values.table)
        return tuple(self._inner(row, (key, place)) for place, row in enumerate(rows))

    def unknown(self) -> tuple[DataError, ...]:
        """One error for each key no accessor asked for, here and in the tables handed out."""
        own = [
            self.error(key, f"This key was unknown.{_nearest(key, self._asked)}")
            for key in self._values
            if key not in self._asked
        ]
        return (*own, *(error for table in self._handed_out.values() for error in table.unknown()))

    def refuse_unknown(self) -> None:
        """Raise the first of `unknown()`; call it once everything has been read."""
        for error in self.unknown():
            raise error

    def _inner(self, value: Any, way: Trail) -> Table:
        if way not in self._handed_out:
            self._handed_out[way] = Table(self._source, values.table(value), (*self._trail, *way))
        return self._handed_out[way]

    def _one(self, key: str, default: Default | _Required, check: Callable[[Any], Checked]) -> Checked | Default:
        if not self.has(key):
            return self._absent(key, default)
        return self._checked(self._values[key], (*self._trail, key), check)

    def _each(
        self, key: str, default: Default | _Required, check: Callable[[Any], Checked]
    ) -> tuple[Checked, ...] | Default:
        if not self.has(key):
            return self._absent(key, default)
        trail = (*self._trail, key)
        items = self._checked(self._values[key], trail, values.items)
        return tuple(self._checked(item, (*trail, place), check) for place, item in enumerate(items))

    def _absent(self, key: str, default: Default | _Required) -> Default:
        if isinstance(default, _Required):
            raise self.error(key, "This field was missing. Add it.")
        return default

    def _checked(self, value: Any, trail: Trail, check: Callable[[Any], Checked]) -> Checked:
        try:
            return check(value)
        except Wrong as wrong:
            raise self._source.error(trail, str(wrong)) from None


class Source:
    """A parsed file: what a table needs to say where something stands."""

    def __init__(self, path: Path, text: str) -> None:
        self.path, self._text = path, text
        self._lines: dict[Trail, int] | None = None

    def line(self, trail: Trail) -> int | None:
        """The line of what `trail` leads to, from 1; None if it is not there."""
        if self._lines is None:
            from trainer.files.lines import lines_of  # only after an error

            self._lines = lines_of(self._text)
        return self._lines.get(trail)

    def error(self, trail: Trail, message: str) -> DataError:
        """An error at `trail`, with the line of the nearest thing around it that stands in the file."""
        around = (self.line(trail[:depth]) for depth in range(len(trail), 0, -1))
        return DataError(self.path, next((n for n in around if n is not None), None), _dotted(trail), message)


def read(path: Path | str) -> Table:
    """The outermost table of a TOML file; DataError if it is unreadable, over 1 MB, no UTF-8 or no TOML."""
    return parse(read_text(path), path)


def read_text(path: Path | str) -> str:
    """The text of a user's file with its own line ends; DataError if unreadable, over 1 MB or no UTF-8."""
    try:
        content = read_ordinary(path, TEXT_BYTES)
    except Missing as missing:
        raise MissingFile(path, None, "", str(missing)) from None
    except Wrong as wrong:
        raise DataError(path, None, "", str(wrong)) from None
    try:
        return content.decode("utf-8-sig")  # some editors begin a file with a byte order mark
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise DataError(path, line, "", "The file was not UTF-8 text. Save it as UTF-8.") from None


def parse(text: str, path: Path | str) -> Table:
    """The outermost table of a TOML text; `path` names it in errors. DataError if the text is no TOML."""
    import tomllib  # not at the top: commands that read no file start sooner

    try:
        found = tomllib.loads(text)
    except RecursionError:
        raise DataError(path, None, "", "The lists were nested too deeply.") from None
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(text, path, str(error)) from None
    except ValueError:  # what Python says to a number of thousands of digits
        raise DataError(path, None, "", "A number had too many digits.") from None
    return Table(Source(Path(path), text.replace("\r\n", "\n")), found, ())


def fraction_to_toml(exact: Fraction) -> int | float | str:
    """An exact number as TOML holds it: as a number if that is exact too, else as a text such as "2/3"."""
    number = int(exact) if exact.denominator == 1 else float(exact)
    return number if Fraction(repr(number)) == exact else str(exact)


def _not_toml(text: str, path: Path | str, said: str) -> DataError:
    """The parser's complaint, which gives the place in words only: "… (at line 3, column 7)"."""
    at = re.search(r" \(at (?:line (\d+), column (\d+)|end of document)\)$", said)
    reason = said[: at.start()] if at else said
    line = None if at is None else int(at[1]) if at[1] else text.rstrip("\n").count("\n") + 1
    place = "" if at is None else f" at column {at[2]}" if at[2] else " at its end"
    return DataError(path, line, "", f"The file was not valid TOML{place}: {reason}.")


def _dotted(trail: Trail) -> str:
    """A trail as a reader writes it, list places from 1: "pattern[3].name"."""
    parts = (f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in trail)
    field = "".join(parts).removeprefix(".")
    return field if len(field) <= SHOWN_FIELD else field[: SHOWN_FIELD - 1] + "…"


def _nearest(key: str, known: set[str]) -> str:
    import difflib  # only after an error

    near = difflib.get_close_matches(key, sorted(known), n=1)
    return f' Was "{near[0]}" meant?' if near else ""
