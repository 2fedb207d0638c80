"""The fields of an exported attempt: their names, how each is written as text, and how it is read and checked.

Both formats have these fields. CSV has every value as text, and an empty text for none; JSON has numbers, true, false
and null. Units stand in the names; moments are ISO 8601 with their offset from UTC; tempo and dwell are exact, whole or
p/q.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache, partial
from typing import Any, Final

from trainer.errors import TrainerError
from trainer.files.texts import JUGGLER, NOTE, PATTERN_NAME, PROP, Kind, checked
from trainer.logbook import rows
from trainer.logbook.migrations import CHANCE_BITS
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit
from trainer.siteswap.grammar import NotationError, parse

YEARS: Final = range(1970, 2100)
WHOLE: Final = re.compile(r"[0-9]{1,9}")
DECIMAL: Final = re.compile(r"[0-9]{1,9}(\.[0-9]{1,20})?([eE]-[0-9]{1,2})?")
EXACT: Final = re.compile(r"[0-9]{1,12}(/[0-9]{1,12}|\.[0-9]{1,12})?")
MOMENT: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9:.]{5,15}(Z|[+-][0-9:.]{4,15})")
SHOWN: Final = 60  # characters of a wrong value in a message


class WrongValue(TrainerError):
    """A value that could not be read: its field, and why. Whoever reads the file knows the line."""

    def __init__(self, field: str, message: str) -> None:
        self.field, self.message = field, message
        super().__init__(f"{field}: {message}")


def of_kind(kind: Kind) -> Callable[[str], str]:
    """A text of that kind."""
    return partial(checked, kind=kind, shortest=0)


def whole(value: str) -> int:
    """A count, from 0."""
    if not WHOLE.fullmatch(value):
        raise ValueError(f"{shown(value)} was no whole number from 0.")
    return int(value)


def seconds(value: str) -> float:
    """A length of time, from 0."""
    if not DECIMAL.fullmatch(value):
        raise ValueError(f"{shown(value)} was no number of seconds.")
    return float(value)


@lru_cache(maxsize=1000)
def exact(value: str) -> Fraction:
    """A whole number, p/q or decimal above 0."""
    if not EXACT.fullmatch(value) or not int(value.partition("/")[2] or 1) or not Fraction(value):
        raise ValueError(f"{shown(value)} was no number above 0 such as 172, 515/3 or 172.5.")
    return Fraction(value)


def share(value: str) -> Fraction:
    """An exact number between 0 and 1."""
    if not exact(value) < 1:
        raise ValueError(f"{shown(value)} was not between 0 and 1.")
    return exact(value)


def moment(value: str) -> datetime:
    """A moment with its offset from UTC."""
    try:  # fromisoformat takes any sign for the T
        at = datetime.fromisoformat(value) if MOMENT.fullmatch(value) else None
    except ValueError:
        at = None
    if at is None or at.utcoffset() is None:
        raise ValueError(f"{shown(value)} was no moment such as 2026-03-29T18:30:15+02:00.")
    if at.year not in YEARS:
        raise ValueError(f"{shown(value)} was not in the years {YEARS[0]} to {YEARS[-1]}.")
    return at


def flag(value: str) -> bool:
    """Yes or no."""
    if value not in ("true", "false"):
        raise ValueError(f"{shown(value)} was neither true nor false.")
    return value == "true"


def uid(value: str) -> str:
    """An identity."""
    try:
        rows.uid_number(value)
    except ValueError as error:
        raise ValueError(f"{shown(value)} was no identity: {error}.") from None
    return value


@lru_cache(maxsize=1000)
def pattern(value: str) -> str:
    """A siteswap, in its canonical text."""
    try:
        return parse(value).text
    except NotationError as error:
        raise ValueError(f"{shown(value)} was no pattern: {error.reason}") from None


def one_of(words: type[StrEnum]) -> Callable[[str], str]:
    """One word of an enum."""

    def read(value: str) -> str:
        if value not in list(words):
            raise ValueError(f"{shown(value)} was none of {', '.join(words)}.")
        return value

    return read


@dataclass(frozen=True, slots=True)
class Column:
    """One field: its name in the files, the record's own name for it, and how it is read. must: it has a value."""

    name: str
    of: str
    read: Callable[[str], Any]
    must: bool = False


FIELDS: Final = (
    Column("uid", "uid", uid),
    Column("session_started_at", "session_started_at", moment),
    Column("started_at", "started_at", moment, must=True),
    Column("juggler", "juggler", of_kind(JUGGLER)),
    Column("pattern", "pattern", pattern, must=True),
    Column("name", "name", of_kind(PATTERN_NAME)),
    Column("objects", "objects", whole, must=True),
    Column("prop", "prop", of_kind(PROP), must=True),
    Column("tempo_bpm", "tempo", exact, must=True),
    Column("dwell_ratio", "dwell", share, must=True),
    Column("counted_by", "counted_by", one_of(CountedBy), must=True),
    Column("taps_unit", "taps_unit", one_of(TapsUnit)),
    Column("catches", "catches", whole),
    Column("seconds", "seconds", seconds),
    Column("ended", "ended", one_of(Ended), must=True),
    Column("flash_at_catches", "flash_at", whole, must=True),
    Column("qualify_at_catches", "qualify_at", whole, must=True),
    Column("hiccups", "hiccups", whole),
    Column("fair", "fair", flag),
    Column("removed", "removed", flag),
    Column("climb_uid", "climb_uid", uid),
    Column("plan_run_uid", "plan_run_uid", uid),
    Column("plan_block", "block", whole),
    Column("note", "note", of_kind(NOTE)),
)
TEXTS: Final = frozenset({"juggler", "pattern", "name", "prop", "note"})
"""Fields with a user's own words, which a spreadsheet could take for a formula."""


@dataclass(frozen=True, slots=True)
class Linked:
    """An attempt, and when the session it belongs to began."""

    attempt: Attempt
    session_started_at: datetime


def to_values(linked: Linked) -> dict[str, Any]:
    """The fields of an attempt in order, each as JSON has it."""
    return {
        field.name: as_json(getattr(linked if hasattr(linked, field.of) else linked.attempt, field.of))
        for field in FIELDS
    }


def as_json(value: Any) -> Any:
    """A field's value as JSON has it: moments, exact numbers and words are texts."""
    if isinstance(value, datetime):
        return value.isoformat()
    return str(value) if isinstance(value, Fraction | StrEnum) else value


def as_text(value: object) -> str:
    """A value of JSON as the text that CSV has. ValueError, saying so, if it is no single value."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float | str):
        return value if isinstance(value, str) else repr(value)
    raise ValueError("The value was a list or a table.")


def to_linked(values: Mapping[str, Any]) -> Linked:
    """An attempt from its fields as texts or as JSON has them; WrongValue, naming the field, if that can't be."""
    given = read_given(values, FIELDS)
    began = given.pop("session_started_at", given["started_at"])
    known = parse(given["pattern"]).objects
    if given["objects"] != known:
        raise WrongValue("objects", f"The pattern has {known} objects, not {given['objects']}.")
    if given["qualify_at"] < given["flash_at"] or not given["flash_at"]:
        raise WrongValue("qualify_at_catches", "A flash takes 1 catch or more, a qualify as many or more.")
    if (given["counted_by"] == CountedBy.TAPS) != ("taps_unit" in given):
        raise WrongValue("taps_unit", "What a tap counts goes with counting by taps, and with nothing else.")
    if "uid" not in given:
        given["uid"] = _identity(given["started_at"], _read_texts(values, FIELDS))
    return Linked(Attempt(**given), began)


def read_given(values: Mapping[str, Any], fields: Sequence[Column]) -> dict[str, Any]:
    """The fields that have a value, under the record's own names; WrongValue for one that can't be."""
    texts = _read_texts(values, fields)
    found = {field.of: read_one(texts, field) for field in fields}
    return {name: value for name, value in found.items() if value is not None}


def _read_texts(values: Mapping[str, Any], fields: Sequence[Column]) -> dict[str, str]:
    """All fields as texts, empty where they are missing; WrongValue for a name there is not."""
    names = [field.name for field in fields]
    for name in values:
        if name not in names:
            raise WrongValue(str(name)[:SHOWN], "There is no such field.")
    found = {}
    for name in names:
        try:
            found[name] = as_text(values.get(name))
        except ValueError as error:
            raise WrongValue(name, str(error)) from None
    return found


def read_one(texts: Mapping[str, str], field: Column) -> Any:
    """One field's value, None for an empty one; WrongValue if it is missing or can't be read."""
    value = texts[field.name]
    if not value:
        if field.must:
            raise WrongValue(field.name, "The value was missing.")
        return None
    try:
        return field.read(value)
    except ValueError as error:
        raise WrongValue(field.name, str(error)) from None


def shown(value: str) -> str:
    """A wrong value as a message has it: cut, in quotes."""
    return f"“{value[:SHOWN]}”" if len(value) <= SHOWN else f"“{value[:SHOWN]}…”"


def _identity(at: datetime, texts: Mapping[str, str]) -> str:
    """An identity for an attempt without one: worked out from its fields, so that a second import knows it again."""
    digest = hashlib.sha256("\0".join(texts[field.name] for field in FIELDS).encode()).digest()
    chance = int.from_bytes(digest[:4], "big") >> 32 - CHANCE_BITS
    return rows.uid_text(int(at.timestamp() * 1000) << CHANCE_BITS | chance)
