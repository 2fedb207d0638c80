"""Shapes of a few dots that objects are told apart by, and the hand that holds them."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

from trainer.screens.parts.dots import Offsets

Test = Callable[[int, int, int], bool]
"""Whether the dot so far right and down of the middle belongs to the shape of that reach."""

SHAPES: dict[str, Test] = {
    "disc": lambda x, y, r: x * x + y * y <= r * r + r // 2,
    "ring": lambda x, y, r: (r - 0.9) ** 2 < x * x + y * y <= r * r + r // 2,
    "cross": lambda x, y, r: abs(abs(x) - abs(y)) <= r // 4,
    "triangle": lambda x, y, r: abs(x) <= (y + r + 1) // 2,
    "bars": lambda x, y, r: abs(x) >= r - (r - 1) // 2,
    "plus": lambda x, y, r: min(abs(x), abs(y)) <= r // 4,
    "steps": lambda x, y, r: abs(y) >= r - (r - 1) // 2,
    "wedge": lambda x, y, r: abs(x) <= (r + 1 - y) // 2,
    "frame": lambda x, y, r: max(abs(x), abs(y)) >= r - r // 4,
    "hourglass": lambda x, y, r: abs(x) <= abs(y),
    "diamond": lambda x, y, r: r - r // 4 <= abs(x) + abs(y) <= r,
    "block": lambda x, y, r: True,
}
"""What every shape looks like within a square of r dots to each side; those alike stand far from each other."""


@lru_cache(maxsize=256)
def shape_of(thing: int, reach: int) -> Offsets:
    """The dots of the shape of an object, by its number; from the thirteenth on they come again."""
    test = tuple(SHAPES.values())[thing % len(SHAPES)]
    span = range(-reach, reach + 1)
    return tuple((x, y) for y in span for x in span if test(x, y, reach))


@lru_cache(maxsize=16)
def cup(reach: int) -> Offsets:
    """A hand, open to above, that an object of that reach just fits into."""
    floor = tuple((x, reach + 2) for x in range(-reach, reach + 1))
    return (*floor, (-reach - 1, reach + 1), (reach + 1, reach + 1), (-reach - 2, reach), (reach + 2, reach))
