"""A pattern: the throws of one period, and what follows from them alone."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from math import lcm

from trainer.siteswap.throws import Rhythm, Throw

MESS_THROWS = 6
"""Throws of the crossing and uncrossing arm path of Mills Mess until it comes round (common practice)."""

STYLES: dict[str, int] = {"mess": MESS_THROWS, "reverse": 1}
"""A way of carrying the same throws → throws until the arms are back where they were."""

Slot = tuple[int, str, int]
"""Where an object is due: juggler, hand (empty in async, where the beat decides it), beat of the period."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """A valid siteswap, as its throws over one period in the order they are made.

    text: canonical, it parses back to an equal pattern. rhythm: async or sync, of each juggler's hands.
    period: beats. throws: ordered by beat, juggler, hand (right first), with an entry of value 0 for
    each empty hand. style: a key of STYLES, or empty. declared_round: beats until the pattern, as it is
    carried, comes round, where a library entry says more than the throws do; 0 where it says nothing.
    """

    text: str
    rhythm: Rhythm
    jugglers: int
    period: int
    throws: tuple[Throw, ...]
    style: str = ""
    declared_round: int = 0

    @property
    def kind(self) -> Rhythm:
        """async, sync, or passing for two jugglers and more."""
        return Rhythm.PASSING if self.jugglers > 1 else self.rhythm

    @property
    def objects(self) -> int:
        """How many objects it takes: the average of its values.

        Source: Buhler, Eisenbud, Graham & Wright, Amer. Math. Monthly 101 (1994) 507-519.
        """
        return sum(throw.value for throw in self.throws) // self.period

    @property
    def highest(self) -> int:
        """The highest throw value."""
        return max(throw.value for throw in self.throws)

    @property
    def round(self) -> int:
        """Beats (for one juggler also throws) until the pattern, as it is carried, comes back.

        Its period, or the longer count that its style or its library entry declares; a mess of period p
        comes round after lcm(p, 6) (common practice).
        """
        return lcm(self.period, STYLES.get(self.style, 1), self.declared_round or 1)

    @property
    def swaps_hands(self) -> bool:
        """Whether each period is the mirror of the one before: true of an odd period in async."""
        return self.rhythm is Rhythm.ASYNC and self.period % 2 == 1

    @property
    def beat_step(self) -> int:
        """Beats from one throw of the pattern to the next: 1, or 2 where both hands throw together."""
        return 2 if self.rhythm is Rhythm.SYNC else 1

    def leaving_slot(self, throw: Throw) -> Slot:
        """The slot that a throw empties."""
        hand = throw.hand.value if self.rhythm is Rhythm.SYNC else ""
        return (throw.juggler, hand, throw.beat % self.period)

    def landing_slot(self, throw: Throw) -> Slot:
        """The slot that a throw fills."""
        hand = throw.to_hand.value if self.rhythm is Rhythm.SYNC else ""
        return (throw.to_juggler, hand, throw.lands % self.period)

    def successors(self) -> tuple[int | None, ...]:
        """For each throw the index of the throw its object makes next; None for an empty hand.

        Where several objects meet in one slot (multiplex), the first thrown leaves first.
        """
        leaving: dict[Slot, list[int]] = defaultdict(list)
        for index, throw in enumerate(self.throws):
            if not throw.empty:
                leaving[self.leaving_slot(throw)].append(index)
        following: list[int | None] = [None] * len(self.throws)
        longest_flight_first = sorted(
            (index for index, throw in enumerate(self.throws) if not throw.empty),
            key=lambda index: (-self.throws[index].value, index),
        )
        for index in longest_flight_first:
            following[index] = leaving[self.landing_slot(self.throws[index])].pop(0)
        return tuple(following)

    def orbits(self) -> tuple[tuple[int, ...], ...]:
        """The throws, as indexes, that one object makes in turn before it comes round; an orbit a tuple."""
        following = self.successors()
        seen: set[int] = set()
        orbits = []
        for first, throw in enumerate(self.throws):
            if throw.empty or first in seen:
                continue
            orbit = []
            index: int | None = first
            while index is not None and index not in seen:
                seen.add(index)
                orbit.append(index)
                index = following[index]
            orbits.append(tuple(orbit))
        return tuple(orbits)

    def orbit_objects(self, orbit: tuple[int, ...]) -> int:
        """How many objects share an orbit: the sum of its values over the period."""
        return sum(self.throws[index].value for index in orbit) // self.period

    @property
    def symmetric(self) -> bool:
        """Whether left and right do the same over a full cycle of both hands."""
        if self.swaps_hands:
            return True
        here = Counter((t.beat, t.juggler, t.hand, t.value, t.to_juggler, t.to_hand) for t in self.throws)
        for shift in self._mirror_shifts():
            mirrored = Counter(
                (
                    (t.beat + shift) % self.period,
                    t.juggler,
                    t.hand.other,
                    t.value,
                    t.to_juggler,
                    t.to_hand.other,
                )
                for t in self.throws
            )
            if mirrored == here:
                return True
        return False

    def _mirror_shifts(self) -> set[int]:
        """The shifts in beats by which a pattern can be its own mirror image, if it is one at all.

        Mirroring twice is a shift by 2s that changes nothing, so only a few s need be looked at: in async,
        where an odd shift changes hands, the odd part of the period; in sync its halvings.
        """
        halvings = {self.period >> power for power in range(self.period.bit_length())}
        if self.rhythm is Rhythm.ASYNC:
            return {shift for shift in halvings if shift % 2 and self.period % shift == 0}
        return {0} | {shift for shift in halvings if shift and shift % 2 == 0 and self.period % shift == 0}
