"""Ticks of an axis: round numbers, as many as fit."""

from __future__ import annotations

from math import ceil, floor, log10
from typing import Final

STEPS: Final = (1, 2, 5, 10)


def ticks(low: float, high: float, most: int) -> tuple[float, ...]:
    """Return at most `most` numbers from `low` to `high` that are 1, 2 or 5 times a power of ten apart.

    most: at least 2.
    """
    if not low < high:
        return (low,)
    rough = (high - low) / (most - 1)
    power = 10.0 ** floor(log10(rough))
    step = next(step * power for step in STEPS if step * power >= rough * (1 - 1e-9))
    return tuple(number * step for number in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1))
