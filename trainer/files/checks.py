"""Checks one value a user wrote: its kind, its bounds, and the sentence that says what was wrong with it."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any, Final, TypeVar

SHOWN_CHARACTERS: Final = 40  # how much of a wrong value an error repeats

Number = TypeVar("Number", int, float, Fraction)


class Wrong(ValueError):
    """Why a value was refused; whoever knows the file, the line and the field adds them."""


def shown(value: object) -> str:
    """A wrong value as an error repeats it: quoted if text, on one line, cut short."""
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and value.bit_length() > 128:
        return "a whole number of very many digits"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= SHOWN_CHARACTERS else text[: SHOWN_CHARACTERS - 1] + "…"


def truth(value: Any) -> bool:
    if not isinstance(value, bool):
        raise Wrong(f"{shown(value)} was neither true nor false. Write true or false.")
    return value


def choice(value: Any, options: Sequence[str]) -> str:
    if not isinstance(value, str) or value not in options:
        raise Wrong(f"{shown(value)} was none of the choices. Give one of: {', '.join(options)}.")
    return value


def number(value: Any) -> int | float:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise Wrong(f"{shown(value)} was not a number. Give a number.")
    try:
        if math.isfinite(value):
            return value
    except OverflowError:
        raise Wrong("The number was too large.") from None
    raise Wrong(f"{value} was not a finite number. Give one.")


def whole(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise Wrong(f"{shown(value)} was not a whole number. Give a whole number.")
    return value


def fraction(value: Any) -> Fraction:
    if isinstance(value, str):
        # At most nine digits each: no one means more, and a power such as "1e999999999" would never end.
        if re.fullmatch(r"\s*[0-9]{1,9}\s*(/\s*0*[1-9][0-9]{0,8}|\.[0-9]{1,9})?\s*", value, re.ASCII) is None:
            raise Wrong(f'{shown(value)} was not a number. Give one such as 0.6 or "2/3".')
        return Fraction("".join(value.split()))
    return Fraction(repr(number(value)))  # repr: 0.6 is six tenths, not the binary number nearest to it


def items(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise Wrong(f"{shown(value)} was not a list. Put it in square brackets.")
    return value


def table(value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise Wrong(f"{shown(value)} was not a table.")
    return value


def within(value: Number, low: Any = None, high: Any = None, above: Any = None, below: Any = None) -> Number:
    if (
        (low is None or low <= value)
        and (high is None or value <= high)
        and (above is None or above < value)
        and (below is None or value < below)
    ):
        return value
    bounds = (("at least", low), ("above", above), ("at most", high), ("below", below))
    wanted = " and ".join(f"{word} {bound}" for word, bound in bounds if bound is not None)
    raise Wrong(f"{shown(value)} was out of range. Give a number {wanted}.")
