"""Families: patterns of one kind for any number of objects, read from names such as “5 cascade”."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass

from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import HIGHEST_VALUE, value_to_digit

CROSSES = (
    "A throw of an odd value crosses to the other hand and one of an even value comes back to the hand that threw it"
)


@dataclass(frozen=True, slots=True)
class Family:
    """One kind of pattern. body: number of objects → siteswap, in which ? is a throw above the highest value."""

    names: tuple[str, ...]
    body: Callable[[int], str | Impossible]


@dataclass(frozen=True, slots=True)
class Impossible:
    """The reason why a family has no pattern of some number of objects, and a text that works instead."""

    reason: str
    suggestion: str


def _digit(value: int) -> str:
    return value_to_digit(value) if 0 <= value <= HIGHEST_VALUE else "?"


def _cascade(objects: int) -> str | Impossible:
    if objects % 2:
        return _digit(objects)
    return Impossible(
        f"There is no cascade of {objects}: in a cascade every throw crosses. {CROSSES}, so {objects} objects, all "
        f"thrown alike, never cross.",
        f"{objects} fountain",
    )


def _fountain(objects: int) -> str | Impossible:
    if objects % 2 == 0:
        return _digit(objects)
    return Impossible(
        f"There is no fountain of {objects}: in a fountain each hand keeps its own objects, as many as the other, "
        f"and {objects} cannot be shared equally between two hands. {CROSSES}, so {objects}, all thrown alike, cross.",
        f"{objects} cascade",
    )


def _shower(objects: int) -> str:
    return f"{_digit(2 * objects - 1)}1"


def _sync_shower(objects: int) -> str | Impossible:
    if objects < 2:
        return Impossible("A sync shower takes two objects or more: both hands throw together.", "2 sync shower")
    return f"({_digit(2 * objects - 2)}x,2x)"


def _half_shower(objects: int) -> str | Impossible:
    if objects < 2:
        return Impossible("A half-shower takes two objects or more.", "2 half-shower")
    if objects % 2 == 0:
        return f"{_digit(objects + 1)}{_digit(objects - 1)}"
    return "3" if objects == 3 else f"{_digit(objects + 2)}{_digit(objects - 2)}"


def _columns(objects: int) -> str | Impossible:
    if objects % 2 == 0 and objects > 2:
        return f"({_digit(objects)},{_digit(objects)})"
    if objects < 3:
        return Impossible("Columns take three objects or more.", "3 columns")
    tall, short = _digit(objects + 1), _digit(objects - 3)
    return f"({tall},{tall})({tall},{short})"


def _box(objects: int) -> str | Impossible:
    if objects % 2 and objects >= 3:
        return f"({_digit(2 * objects - 2)},2x)*"
    return Impossible(
        f"There is no box of {objects}: the one that goes across along the bottom needs an odd number, 3 or more.",
        f"{min(max(3, objects + 1), HIGHEST_VALUE // 2)} box",
    )


FAMILIES = (
    Family(("cascade",), _cascade),
    Family(("fountain",), _fountain),
    Family(("half shower",), _half_shower),
    Family(("sync shower", "synchronous shower"), _sync_shower),
    Family(("shower",), _shower),
    Family(("columns", "column"), _columns),
    Family(("box",), _box),
)

LONGEST_NAME = 80
"""Most characters of the name of a family."""

PROPS = r"(?:ball|club|ring|beanbag|bean bag|bag|object|prop)s?"


def parse_family(text: str) -> Pattern | None:
    """Read a name such as “5 cascade”, “cascade 5” or “7-ball cascade”; None for any other text.

    Raises NotationError for a family that has no pattern of that number of objects.
    """
    if len(text) > LONGEST_NAME:
        return None
    words = " ".join(re.findall(r"[^\W_]+", unicodedata.normalize("NFKC", text).lower()))
    for family in FAMILIES:
        for name in family.names:
            match = re.fullmatch(rf"(?:(?P<front>\d+)(?: ?{PROPS})? )?{name}(?: (?P<back>\d+)(?: ?{PROPS})?)?", words)
            if match and (match["front"] or match["back"]):
                return _member(text, family, match["front"] or match["back"])
    return None


def _member(text: str, family: Family, number: str) -> Pattern:
    column = next(i for i, char in enumerate(text, start=1) if char.isnumeric())
    objects = min(int(number), HIGHEST_VALUE + 1)
    if objects < 1:
        works = next(size for size in (3, 4) if not isinstance(family.body(size), Impossible))
        raise NotationError(text, column, "A pattern needs at least one object.", f"{works} {family.names[0]}")
    body = family.body(objects) if objects <= HIGHEST_VALUE else "?"
    if isinstance(body, Impossible):
        raise NotationError(text, column, body.reason, body.suggestion)
    if "?" in body:
        raise NotationError(
            text, column, f"So many objects need throws above {HIGHEST_VALUE}, the highest value there is."
        )
    return parse(body)


def parse_any(text: str) -> Pattern:
    """Read the name of a family or a siteswap. Raises NotationError as parse does."""
    return parse_family(text) or parse(text)
