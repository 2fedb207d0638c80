"""Pattern: the throws of one period, and what follows from them alone."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from math import lcm

from trainer.siteswap.throws import Rhythm, Throw, value_to_digit

MESS_THROWS = 6
"""Throws after which the arms of Mills Mess are back where they were (common practice)."""

STYLES: dict[str, int] = {"mess": MESS_THROWS, "reverse": 1}
"""Style, a way to move the arms under the same throws → throws until the arms are back where they were."""

Slot = tuple[int, str, int]
"""Where an object is due: juggler, hand (empty in async, where the beat decides it) and beat of the period."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """A siteswap as the throws of one period.

    text: canonical; it parses back to an equal pattern. rhythm: async or sync, for each juggler's hands. period:
    beats. throws: ordered by beat, juggler and hand (right first); an empty hand is a throw of value 0. style: a key
    of STYLES, or empty. declared_round: beats of a round that is longer than throws and style tell, as a library
    entry may declare; 0 for none.
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
        """The rhythm of one juggler; passing for two jugglers and more."""
        return Rhythm.PASSING if self.jugglers > 1 else self.rhythm

    @property
    def objects(self) -> int:
        """The number of objects: the average of the throw values.

        Source: Buhler, Eisenbud, Graham & Wright, Amer. Math. Monthly 101 (1994) 507-519.
        """
        return sum(throw.value for throw in self.throws) // self.period

    @property
    def highest(self) -> int:
        """The highest throw value."""
        return max(throw.value for throw in self.throws)

    @property
    def round(self) -> int:
        """Beats until the throws, the arms and the cues of the pattern are back where they were.

        The least common multiple of the period, of the style's throws and of the declared round: a mess of period p
        comes round after lcm(p, 6) (common practice).
        """
        return lcm(self.period, STYLES.get(self.style, 1), self.declared_round or 1)

    @property
    def swaps_hands(self) -> bool:
        """Whether each period is the mirror image of the one before, as with an odd period in async."""
        return self.rhythm is Rhythm.ASYNC and self.period % 2 == 1

    @property
    def beat_step(self) -> int:
        """Beats from one step of the pattern to the next: 1 in async, 2 in sync."""
        return 2 if self.rhythm is Rhythm.SYNC else 1

    def leaving_slot(self, throw: Throw) -> Slot:
        """Return the slot that a throw empties."""
        hand = throw.hand.value if self.rhythm is Rhythm.SYNC else ""
        return (throw.juggler, hand, throw.beat % self.period)

    def landing_slot(self, throw: Throw) -> Slot:
        """Return the slot that a throw fills."""
        hand = throw.to_hand.value if self.rhythm is Rhythm.SYNC else ""
        return (throw.to_juggler, hand, throw.lands % self.period)

    def successors(self) -> tuple[int | None, ...]:
        """Return for each throw the index of the next throw of its object; None for an empty hand.

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
        """Return the orbits, each as the indexes of the throws that its objects make in turn."""
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
        """Return how many objects share an orbit: the sum of its values over the period."""
        return sum(self.throws[index].value for index in orbit) // self.period

    @property
    def symmetric(self) -> bool:
        """Whether left and right do the same over a full cycle of both hands.

        A pattern equals its mirror image if the image, shifted by some beats, has the same throws. Odd multiples of
        such a shift do as well, so only the odd part of the period and its doubles need to be tried.
        """
        if self.swaps_hands:
            return True
        here = Counter((t.beat, t.juggler, t.hand, t.value, t.to_juggler, t.to_hand) for t in self.throws)
        power_of_two = self.period & -self.period
        shifts = (self.period // power_of_two << doublings for doublings in range(power_of_two.bit_length()))
        return any(
            here
            == Counter(
                ((t.beat + shift) % self.period, t.juggler, t.hand.other, t.value, t.to_juggler, t.to_hand.other)
                for t in self.throws
            )
            for shift in shifts
        )

    def throw_to_text(self, throw: Throw) -> str:
        """Write a throw: its digit, x where both hands throw together and it crosses, p if it is passed."""
        text = value_to_digit(throw.value)
        if self.rhythm is Rhythm.SYNC and throw.crosses:
            text += "x"
        if throw.passed:
            text += "p" if self.jugglers == 2 else f"p{throw.to_juggler + 1}"
        return text
