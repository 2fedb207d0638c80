"""Entries of the library: patterns with their names, how they are done and how they are carried."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Final

from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import Hand

CATEGORIES: Final[dict[str, str]] = {
    "first steps": "one and two objects: the single throws that the rest is made of",
    "cascade": "every throw crosses, all to one height",
    "fountain": "each hand keeps its own objects",
    "shower": "up with one hand, back with the other",
    "columns": "straight up and down, each object in a place of its own",
    "box": "up on the sides, straight across between the hands",
    "mess": "arms that cross and uncross under the throws",
    "siteswap": "throws of several heights, hands in turn",
    "sync": "both hands throw at once",
    "multiplex": "one hand throws several objects at once",
    "all up": "for a moment every object is in the air",
    "numbers": "many objects, high throws",
    "passing": "two jugglers or more, objects going across",
    "steals": "one pattern taken from one juggler by another",
    "body": "throws under a leg, behind the back and so on",
    "bounce": "by way of the floor",
    "joggling": "juggling on the run",
}
"""Category → what it holds, in the order of the list."""

THROW_CUES: Final[dict[str, str]] = {
    "under the leg": "the hand reaches under a lifted leg and throws from there",
    "behind the back": "the object goes behind the back and up over the other shoulder (a back cross)",
    "over the shoulder": "the hand reaches down behind its own shoulder and throws up and forward",
    "under the arm": "the object goes up beneath the other arm",
    "behind the neck": "the object goes behind the head, low, to the other side",
    "over the top": "the object goes over the others instead of beneath them",
    "high": "the throw is made higher than the rest",
    "claw": "the palm faces down: the object is snatched from above and thrown so",
    "carry": "the hand takes the object to another place before it lets go",
    "crossed arms": "the arms lie across each other as the object leaves",
}
"""Cue for a throw → what it means. Its beat must have a throw."""

OTHER_CUES: Final[dict[str, str]] = {
    "clap": "the empty hands clap",
    "turn": "the juggler turns round on the spot under the objects",
    "steal": "another juggler takes the objects over, from here on",
    "walk": "a juggler moves to another place",
    "call": "somebody says the next thing aloud",
}
"""Cue that needs no throw → what it means."""

BODY_CUES: Final = frozenset({*THROW_CUES, "turn"} - {"high", "carry"})
"""The cues that count as work of the body in the difficulty."""

CUE_KINDS: Final = (*THROW_CUES, *OTHER_CUES)
ARRANGEMENTS: Final = (
    "face to face",
    "side by side",
    "one behind the other",
    "back to back",
    "triangle",
    "feed",
    "line",
)
BOUNCES: Final[dict[str, str]] = {
    "lift": "tossed up a little, let fall to the floor, caught as it comes back up",
    "force": "thrown down to the floor, caught near the top of its way up",
}
"""Way to the floor → what it means; timing/bounce.py computes the flight."""


@dataclass(frozen=True, slots=True)
class Cue:
    """Something to do at a beat of the round.

    at: the beat, from 1. kind: one of CUE_KINDS. juggler: from 0. hand: where the beat or the entry says one. say:
    words for the juggler, or empty.
    """

    at: int
    kind: str
    juggler: int = 0
    hand: Hand | None = None
    say: str = ""

    def __str__(self) -> str:
        """Write the cue for people, as in “beat 3: under the leg”."""
        who = f", juggler {self.juggler + 1}" if self.juggler else ""
        said = f" (“{self.say}”)" if self.say else ""
        return f"beat {self.at}{who}: {self.kind}{said}"


@dataclass(frozen=True, slots=True)
class Entry:
    """One pattern of the library.

    names: as the trade has them, the title first. pattern: with style and declared round. how: a sentence or two.
    builds_on: titles of entries to learn before. height_m: usual height of the highest throw; for a bounce, the height
    of a toss that lasts as long. arrangement: one of ARRANGEMENTS, or empty. bounce: a key of BOUNCES, or empty.
    throws_per_step: for joggling, None otherwise. path: the file with the entry.
    """

    names: tuple[str, ...]
    pattern: Pattern
    how: str
    builds_on: tuple[str, ...]
    height_m: float
    category: str
    cues: tuple[Cue, ...]
    arrangement: str
    bounce: str
    throws_per_step: Fraction | None
    path: Path

    @property
    def title(self) -> str:
        """The first name."""
        return self.names[0]

    @property
    def objects(self) -> int:
        """The number of objects."""
        return self.pattern.objects

    @property
    def is_plain(self) -> bool:
        """Whether throws and style say all of it, so that a siteswap typed alone means this entry."""
        carried = self.cues or self.bounce or self.throws_per_step or self.category == "steals"
        return not carried and not self.pattern.declared_round
