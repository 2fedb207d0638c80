"""Roles that a kit may leave out: each then sounds like another role, at another pitch and in a rhythm of its own.

So a kit that does not know a role is still complete, and the role can be told from all others.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from trainer.audio.kit import Note


@dataclass(frozen=True, slots=True)
class Variant:
    """How a role that was left out is made from another.

    of: the other role. semitones, level_db: added to the other's pitch and level. notes: its strikes, the first at 0.
    A recording is moved in level only.
    """

    of: str
    semitones: float
    level_db: float
    notes: tuple[Note, ...]


VARIANTS: Final[Mapping[str, Variant]] = MappingProxyType(
    {
        "block": Variant("target", -5.0, 0.0, (Note(0.0, 0.0), Note(220.0, 0.0), Note(440.0, 7.0))),
        "countdown": Variant("count-in", -8.0, -2.0, (Note(0.0, 0.0),)),
        "ready": Variant("count-in", 5.0, 0.0, (Note(0.0, 0.0), Note(90.0, 5.0))),
        "up": Variant("entry", 0.0, 0.0, (Note(0.0, 0.0), Note(70.0, 7.0))),
        "down": Variant("entry", 0.0, 0.0, (Note(0.0, 7.0), Note(70.0, 0.0))),
        "goal": Variant("qualify", 3.0, 0.0, (Note(0.0, 0.0), Note(110.0, 0.0), Note(220.0, 4.0))),
        "rung-up": Variant("ended", 2.0, 0.0, (Note(0.0, 0.0), Note(150.0, 4.0), Note(300.0, 7.0))),
        "rung-down": Variant("ended", 2.0, 0.0, (Note(0.0, 0.0), Note(150.0, -4.0), Note(300.0, -7.0))),
    }
)
