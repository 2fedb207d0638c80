"""Hands: the path of every hand of a score, from catch to throw to the next catch, and round again.

A hand's own coordinates: metres to the juggler's right of the middle of the body, metres above the height at which
objects are thrown and caught. The widths, the depth of the scoop and the path of the mess are our own choice.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from math import cos, lcm, pi
from typing import NamedTuple

from trainer.siteswap.pattern import MESS_THROWS
from trainer.siteswap.throws import Hand, Throw
from trainer.timing.score import Score

INSIDE_M, OUTSIDE_M = 0.10, 0.38
"""From the middle of the body to where a hand throws and catches, at its nearest and at its farthest."""

SCOOP_M = 0.12
"""How far a hand sinks as it carries an object from the catch to the throw."""

RISE_M = 0.04
"""How far an empty hand rises on its way back."""

MESS_SWAY_M, MESS_APART_M, MESS_SWING_M = 0.16, 0.22, 0.50
MIDDLE_M = (INSIDE_M + OUTSIDE_M) / 2


class Manner(StrEnum):
    """How the hands move under the throws.

    PLAIN: thrown inside, caught outside, as in a cascade, and in a fountain, whose objects then circle outward; a
    low throw straight across goes from inside to inside, and the hand that got it throws outside, as in a shower.
    REVERSE: thrown outside, caught inside. COLUMNS: what comes back to its hand goes straight up, each object in a
    place of its own. MESS: arms that cross and uncross, whatever is thrown.
    """

    PLAIN = "plain"
    REVERSE = "reverse"
    COLUMNS = "columns"
    MESS = "mess"


class Contact(NamedTuple):
    """A throw or a catch: its beat of the cycle, and how far from the middle, to the outside, it is made."""

    beat: float
    out_m: float
    catches: bool


def hand_index(juggler: int, hand: Hand) -> int:
    """Hands are counted through: right and left of the first juggler, right and left of the second …"""
    return 2 * juggler + (hand is Hand.LEFT)


def mess_m(beat: float) -> float:
    """How far to the right the leading hand of a mess is, in metres.

    Both arms sway together, to the left and to the right once in 6 throws, and cross and uncross twice meanwhile:
    right − left = apart − swing · cos(2π t / 3), middle = −sway · cos(2π t / 6). So at beat 0 the leading hand
    throws with the arms crossed, on the far side; at beat 3 the other one does. The path is our own; that it comes
    round after 6 throws is common practice. The other hand does the same, mirrored, 3 beats later.
    """
    turn = 2 * pi * beat / MESS_THROWS
    return -MESS_SWAY_M * cos(turn) + (MESS_APART_M - MESS_SWING_M * cos(2 * turn)) / 2


@dataclass(frozen=True)
class HandPaths:
    """The paths of all the hands of a score; a beat gives a position, without a jump from one to the next."""

    score: Score
    manner: Manner = Manner.PLAIN

    def at(self, index: int, beat: float) -> tuple[float, float]:
        """Where a hand is, counted by hand_index: metres to the juggler's right, metres above the throwing height."""
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
        """The hand that a throw of the pattern names, in the turn-th period."""
        return hand_index(juggler, self.score.hand(hand, turn))

    @cached_property
    def _cycle(self) -> int:
        """Beats until all the hands are back; in columns, until each object is back in its place."""
        pattern = self.score.pattern
        cycle = pattern.period * (2 if pattern.swaps_hands else 1)
        if self.manner is Manner.COLUMNS:
            shares = (pattern.orbit_objects(orbit) for orbit in pattern.orbits())
            cycle = lcm(cycle, *(share * pattern.period for share in shares))
        return cycle

    @cached_property
    def _contacts(self) -> dict[int, tuple[Contact, ...]]:
        """Each hand's contacts of a cycle in their order; of several at one beat the first."""
        score, pattern = self.score, self.score.pattern
        found: dict[int, dict[tuple[float, bool], Contact]] = defaultdict(dict)
        for turn in range(self._cycle // pattern.period):
            for number, throw in enumerate(pattern.throws):
                length = score.flight(throw)
                if not length:
                    continue
                start = turn * pattern.period + throw.beat
                thrower = self.index_of(throw.juggler, throw.hand, turn)
                catcher = self.index_of(throw.to_juggler, throw.to_hand, turn)
                thrown = Contact(float(start), self._throw_out_m(number, turn), False)
                caught = Contact(float((start + length) % self._cycle), self._catch_out_m(number, turn), True)
                found[thrower].setdefault((thrown.beat, False), thrown)
                found[catcher].setdefault((caught.beat, True), caught)
        return defaultdict(tuple, {index: tuple(sorted(of_hand.values())) for index, of_hand in found.items()})

    @cached_property
    def _starts(self) -> dict[int, float]:
        """For each hand the beat from which on it moves: that of the contact before its first one."""
        score, pattern = self.score, self.score.pattern
        first: dict[int, float] = {}
        for turn in range(self._cycle // pattern.period):
            for throw in pattern.throws:
                if score.flight(throw):
                    start = float(turn * pattern.period + throw.beat)
                    thrower = self.index_of(throw.juggler, throw.hand, turn)
                    catcher = self.index_of(throw.to_juggler, throw.to_hand, turn)
                    first[thrower] = min(first.get(thrower, start), start)
                    end = start + float(score.flight(throw))
                    first[catcher] = min(first.get(catcher, end), end)
        starts = {}
        for index, beat in first.items():
            beats = [contact.beat for contact in self._contacts[index]]
            starts[index] = beat - min((beat - other) % self._cycle or self._cycle for other in beats)
            if score.entry is not None:
                starts[index] = min(starts[index], -score.lead_beats - 2 * float(score.dwell))
        return defaultdict(float, starts)

    @cached_property
    def _came_flat(self) -> frozenset[int]:
        """The throws of objects that came to the hand straight across, held ones looked through."""
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
        """The column of an object: the outermost for the first that its hand throws, the others evenly inside it."""
        throw = self.score.pattern.throws[number]
        mates = self._columns[self.index_of(throw.juggler, throw.hand, turn)]
        rank = mates.index(self.score.thing(number, turn))
        return OUTSIDE_M - (OUTSIDE_M - INSIDE_M) * rank / max(1, len(mates) - 1)

    @cached_property
    def _columns(self) -> dict[int, list[int]]:
        """For each hand the objects it throws to itself, in the order in which it first does."""
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
    """Whether a throw goes straight across below the others: a 1, or a crossing 2."""
    return not throw.passed and throw.crosses and throw.value <= 2


def _between(contacts: tuple[Contact, ...], beat: float, cycle: int) -> tuple[float, float]:
    """How far out and how high a hand is at a beat of its cycle: an ease from one contact to the next, and a bow."""
    place = bisect_right(contacts, (beat, float("inf"))) - 1
    before, after = contacts[place], contacts[(place + 1) % len(contacts)]
    length = (after.beat - before.beat) % cycle or float(cycle)
    done = (beat - before.beat) % cycle / length
    eased = done * done * (3 - 2 * done)
    bow_m = RISE_M if after.catches and not before.catches else -SCOOP_M
    return before.out_m + (after.out_m - before.out_m) * eased, bow_m * 4 * done * (1 - done)
