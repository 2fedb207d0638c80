"""Hands: the path of every hand of a score, from catch to throw to the next catch.

Positions are metres from the middle of the body to the juggler's right, and metres above the height of throws and
catches. The widths, the depth of the scoop and the path of the mess are our own choice.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from math import cos, lcm, pi
from typing import NamedTuple

from trainer.siteswap.pattern import MESS_THROWS
from trainer.siteswap.throws import Hand, Throw
from trainer.timing.score import Score

INSIDE_M, OUTSIDE_M = 0.10, 0.38
"""Nearest and farthest distance from the middle of the body at which a hand throws or catches."""

SCOOP_M = 0.12
"""How far a hand sinks while it carries an object from the catch to the throw."""

RISE_M = 0.04
"""How far an empty hand rises on its way back."""

MESS_SWAY_M, MESS_APART_M, MESS_SWING_M = 0.16, 0.22, 0.50
MIDDLE_M = (INSIDE_M + OUTSIDE_M) / 2


class Manner(StrEnum):
    """How the hands move under the throws.

    PLAIN: throws inside, catches outside, as in cascade and fountain; but a throw straight across goes from inside to
    inside, and its object is then thrown outside, as in a shower. REVERSE: throws outside, catches inside. COLUMNS:
    an object that returns to its hand goes straight up in a column of its own. MESS: the arms cross and uncross,
    whatever is thrown.
    """

    PLAIN = "plain"
    REVERSE = "reverse"
    COLUMNS = "columns"
    MESS = "mess"


class Contact(NamedTuple):
    """A throw or a catch: its beat of the cycle, and its distance outward from the middle of the body."""

    beat: float
    out_m: float
    catches: bool


class _Flight(NamedTuple):
    """A throw of the pattern, by its number, in its turn-th period: beats of throw and catch, and the two hands."""

    number: int
    turn: int
    start: int
    stop: Fraction
    thrower: int
    catcher: int


def hand_index(juggler: int, hand: Hand) -> int:
    """Return the number of a hand: right and left of the first juggler, right and left of the second …"""
    return 2 * juggler + (hand is Hand.LEFT)


def mess_m(beat: float) -> float:
    """Return how far to the right the leading hand of a mess is at a beat, in metres.

    Both arms sway left and right together once in 6 throws, and cross and uncross twice in that time:
    right − left = apart − swing · cos(2π t / 3), middle = −sway · cos(2π t / 6). At beat 0 the leading hand throws
    with crossed arms on the far side; the other hand does the same, mirrored, 3 beats later. The path is our own;
    that it comes round after 6 throws is common practice.
    """
    turn = 2 * pi * beat / MESS_THROWS
    return -MESS_SWAY_M * cos(turn) + (MESS_APART_M - MESS_SWING_M * cos(2 * turn)) / 2


@dataclass(frozen=True)
class HandPaths:
    """The continuous paths of all hands of a score."""

    score: Score
    manner: Manner = Manner.PLAIN

    def at(self, index: int, beat: float) -> tuple[float, float]:
        """Return where a hand is at a beat. index: as counted by hand_index."""
        right = index % 2 == 0
        contacts = self._contacts[index]
        beat = max(beat, self._starts[index])
        out_m, up_m = _between(contacts, beat % self._cycle, self._cycle) if contacts else (MIDDLE_M, 0.0)
        if self.manner is Manner.MESS:
            leads = right is (self.score.start_hand is Hand.RIGHT)
            across_m = mess_m(beat) if leads else -mess_m(beat + MESS_THROWS / 2)
            return (across_m if self.score.start_hand is Hand.RIGHT else -across_m), up_m
        return (out_m if right else -out_m), up_m

    def index_of(self, juggler: int, hand: Hand, turn: int) -> int:
        """Return the number of the hand that acts in the turn-th period where the pattern names `hand`."""
        return hand_index(juggler, self.score.hand(hand, turn))

    @cached_property
    def _cycle(self) -> int:
        """Beats until all hands, and in columns all objects, are back where they were."""
        pattern = self.score.pattern
        cycle = pattern.period * (2 if pattern.swaps_hands else 1)
        if self.manner is Manner.COLUMNS:
            shares = (pattern.orbit_objects(orbit) for orbit in pattern.orbits())
            cycle = lcm(cycle, *(share * pattern.period for share in shares))
        return cycle

    def _flights(self) -> Iterator[_Flight]:
        """Yield the flights that begin in the first cycle."""
        pattern = self.score.pattern
        for turn in range(self._cycle // pattern.period):
            for number, throw in enumerate(pattern.throws):
                length = self.score.flight(throw)
                if length:
                    start = turn * pattern.period + throw.beat
                    thrower = self.index_of(throw.juggler, throw.hand, turn)
                    catcher = self.index_of(throw.to_juggler, throw.to_hand, turn)
                    yield _Flight(number, turn, start, start + length, thrower, catcher)

    @cached_property
    def _contacts(self) -> dict[int, tuple[Contact, ...]]:
        """Each hand's contacts of a cycle in order; of several at one beat the first."""
        found: dict[int, dict[tuple[float, bool], Contact]] = defaultdict(dict)
        for flown in self._flights():
            thrown = Contact(float(flown.start), self._throw_out_m(flown.number, flown.turn), False)
            caught = Contact(float(flown.stop % self._cycle), self._catch_out_m(flown.number, flown.turn), True)
            found[flown.thrower].setdefault((thrown.beat, False), thrown)
            found[flown.catcher].setdefault((caught.beat, True), caught)
        return defaultdict(tuple, {index: tuple(sorted(of_hand.values())) for index, of_hand in found.items()})

    @cached_property
    def _starts(self) -> dict[int, float]:
        """For each hand the beat from which on it moves: that of the contact before its first one."""
        first: dict[int, float] = {}
        for flown in self._flights():
            for index, beat in ((flown.thrower, float(flown.start)), (flown.catcher, float(flown.stop))):
                first[index] = min(first.get(index, beat), beat)
        starts = {}
        for index, beat in first.items():
            beats = [contact.beat for contact in self._contacts[index]]
            starts[index] = beat - min((beat - other) % self._cycle or self._cycle for other in beats)
            if self.score.entry is not None:
                starts[index] = min(starts[index], -self.score.lead_beats - 2 * float(self.score.dwell))
        return defaultdict(float, starts)

    @cached_property
    def _came_flat(self) -> frozenset[int]:
        """The throws of objects that came to the hand straight across, held 2s between the two skipped."""
        pattern = self.score.pattern
        flat = set()
        for number, throw in enumerate(pattern.throws):
            if is_flat(throw):
                after = pattern.successors()[number]
                while after is not None and self.score.is_held(pattern.throws[after]):
                    after = pattern.successors()[after]
                if after is not None:
                    flat.add(after)
        return frozenset(flat)

    def _throw_out_m(self, number: int, turn: int) -> float:
        throw = self.score.pattern.throws[number]
        if is_flat(throw):
            return INSIDE_M
        if self._has_place(throw):
            return self._place_out_m(number, turn)
        outside = self.manner is Manner.REVERSE or number in self._came_flat
        return OUTSIDE_M if outside else INSIDE_M

    def _catch_out_m(self, number: int, turn: int) -> float:
        throw = self.score.pattern.throws[number]
        if self._has_place(throw):
            return self._place_out_m(number, turn)
        return INSIDE_M if is_flat(throw) or self.manner is Manner.REVERSE else OUTSIDE_M

    def _has_place(self, throw: Throw) -> bool:
        return self.manner is Manner.COLUMNS and not throw.crosses and not throw.passed

    def _place_out_m(self, number: int, turn: int) -> float:
        """Return the column of an object: the hand's first object is outermost, the others are evenly inside it."""
        throw = self.score.pattern.throws[number]
        mates = self._columns[self.index_of(throw.juggler, throw.hand, turn)]
        rank = mates.index(self.score.thing(number, turn))
        return OUTSIDE_M - (OUTSIDE_M - INSIDE_M) * rank / max(1, len(mates) - 1)

    @cached_property
    def _columns(self) -> dict[int, list[int]]:
        """For each hand the objects that it throws to itself, in the order of their first throws."""
        found: dict[int, list[int]] = defaultdict(list)
        for turn in range(self._cycle // self.score.pattern.period):
            for number, throw in enumerate(self.score.pattern.throws):
                if self._has_place(throw) and self.score.flight(throw):
                    mates = found[self.index_of(throw.juggler, throw.hand, turn)]
                    thing = self.score.thing(number, turn)
                    if thing not in mates:
                        mates.append(thing)
        return found


def is_flat(throw: Throw) -> bool:
    """Tell whether a throw goes straight across below the others: a 1, or a crossing 2."""
    return not throw.passed and throw.crosses and throw.value <= 2


def _between(contacts: tuple[Contact, ...], beat: float, cycle: int) -> tuple[float, float]:
    """Return how far out and how high a hand is at a beat of its cycle, on a smooth curve between two contacts."""
    place = bisect_right(contacts, (beat, float("inf"))) - 1
    before, after = contacts[place], contacts[(place + 1) % len(contacts)]
    length = (after.beat - before.beat) % cycle or float(cycle)
    done = (beat - before.beat) % cycle / length
    eased = done * done * (3 - 2 * done)
    bow_m = RISE_M if after.catches and not before.catches else -SCOOP_M
    return before.out_m + (after.out_m - before.out_m) * eased, bow_m * 4 * done * (1 - done)
