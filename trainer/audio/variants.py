"""Roles a kit may leave out: each then sounds like another of its roles, moved and struck in its own rhythm.

So a kit made before there was such a role stays whole, and still tells it apart.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True)
class Variant:
    """How a role that was left out is made. of: the role it is made from. semitones, level_db: added to its own.

    notes: (at_ms, semitones) of each strike, the first at 0. A recording is played as it is, at the added level.
    """

    of: str
    semitones: float
    level_db: float
    notes: tuple[tuple[float, float], ...]


VARIANTS: Final[Mapping[str, Variant]] = MappingProxyType(
    {
        "block": Variant("target", -5.0, 0.0, ((0.0, 0.0), (220.0, 0.0), (440.0, 7.0))),
        "countdown": Variant("count-in", -8.0, -2.0, ((0.0, 0.0),)),
        "ready": Variant("count-in", 5.0, 0.0, ((0.0, 0.0), (90.0, 5.0))),
        "up": Variant("entry", 0.0, 0.0, ((0.0, 0.0), (70.0, 7.0))),
        "down": Variant("entry", 0.0, 0.0, ((0.0, 7.0), (70.0, 0.0))),
        "goal": Variant("qualify", 3.0, 0.0, ((0.0, 0.0), (110.0, 0.0), (220.0, 4.0))),
        "rung-up": Variant("ended", 2.0, 0.0, ((0.0, 0.0), (150.0, 4.0), (300.0, 7.0))),
        "rung-down": Variant("ended", 2.0, 0.0, ((0.0, 0.0), (150.0, -4.0), (300.0, -7.0))),
    }
)
