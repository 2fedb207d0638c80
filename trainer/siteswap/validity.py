"""Whether throws fit together: collisions, and the smallest change that mends them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.siteswap.pattern import Pattern, Slot
from trainer.siteswap.throws import HIGHEST_VALUE, Hand, Rhythm, Throw

MOST_THROWS_TO_REORDER = 16
"""Above this many throws no reordering is tried: the pairs grow with the square."""


@dataclass(frozen=True, slots=True)
class Collision:
    """Two throws that are due in one hand at one beat, where that hand throws fewer on: so many, thrown_on."""

    first: Throw
    second: Throw
    beat: int
    juggler: int
    hand: Hand
    thrown_on: int


def average(pattern: Pattern) -> Fraction:
    """The average of the throw values per beat: the number of objects, if it is whole."""
    return Fraction(sum(throw.value for throw in pattern.throws), pattern.period)


def surplus(pattern: Pattern) -> Counter[Slot]:
    """For each slot how many more objects arrive than are thrown on; all zero when the pattern works.

    Source: Buhler, Eisenbud, Graham & Wright, Amer. Math. Monthly 101 (1994) 507-519.
    """
    balance: Counter[Slot] = Counter()
    for throw in pattern.throws:
        if not throw.empty:
            balance[pattern.landing_slot(throw)] += 1
            balance[pattern.leaving_slot(throw)] -= 1
    return Counter({slot: count for slot, count in balance.items() if count})


def find_collision(pattern: Pattern) -> Collision | None:
    """The first slot that gets more than it throws on, in the order the objects are thrown; None if none."""
    balance = surplus(pattern)
    if not balance:
        return None
    leaving = Counter(pattern.leaving_slot(throw) for throw in pattern.throws if not throw.empty)
    arrivals: dict[Slot, list[Throw]] = {}
    for throw in pattern.throws:
        if throw.empty:
            continue
        slot = pattern.landing_slot(throw)
        arrivals.setdefault(slot, []).append(throw)
        if balance[slot] > 0 and len(arrivals[slot]) > max(1, leaving[slot]):
            first, second = arrivals[slot][-2:]
            return Collision(first, second, *_meeting(pattern, first, second), leaving[slot])
    for throw in pattern.throws:  # one arrival only, into a hand that throws nothing on
        if not throw.empty and balance[pattern.landing_slot(throw)] > 0:
            hand = throw.to_hand
            return Collision(throw, throw, throw.lands, throw.to_juggler, hand, 0)
    raise AssertionError("a surplus somewhere means that something arrived there")


def _meeting(pattern: Pattern, first: Throw, second: Throw) -> tuple[int, int, Hand]:
    """The earliest beat from the start at which both throws of some round come down together, and where."""
    late, early = (first, second) if first.lands >= second.lands else (second, first)
    hand = late.to_hand
    if pattern.rhythm is Rhythm.ASYNC:
        hand = Hand.RIGHT if late.lands % 2 == 0 else Hand.LEFT
    assert (late.lands - early.lands) % pattern.period == 0
    return late.lands, late.to_juggler, hand


@dataclass(frozen=True, slots=True)
class Edit:
    """One throw, found by its column, given another value or another side; or two values exchanged."""

    column: int
    value: int
    crossing: bool | None = None
    exchanged_column: int = 0
    exchanged_value: int = 0


def find_edits(pattern: Pattern) -> Iterator[Edit]:
    """Single changes that would make the pattern work, the smallest change first.

    One value changed; in sync also one throw crossing that did not, or the reverse; failing that, two
    values exchanged.
    """
    balance = surplus(pattern)
    over = [slot for slot, count in balance.items() if count > 0]
    under = [slot for slot, count in balance.items() if count < 0]
    if len(over) == 1 and len(under) == 1 and balance[over[0]] == 1:
        movable = [t for t in pattern.throws if not t.empty and pattern.landing_slot(t) == over[0]]
        found = [edit for throw in movable for edit in _redirected(pattern, throw, under[0])]
        yield from (edit for _, edit in sorted(found, key=lambda pair: (pair[0], pair[1].column)))
    if len(pattern.throws) <= MOST_THROWS_TO_REORDER:
        yield from _exchanges(pattern)


def _redirected(pattern: Pattern, throw: Throw, target: Slot) -> Iterator[tuple[int, Edit]]:
    """The ways to send one throw to the slot that lacks an object, each with how far it is changed."""
    juggler, hand, beat = target
    if juggler != throw.to_juggler:
        return
    crossing: bool | None = None
    if pattern.rhythm is Rhythm.SYNC:
        crossing = (hand != throw.hand.value) if juggler == throw.juggler else None
    for value in range((beat - throw.beat) % pattern.period, HIGHEST_VALUE + 1, pattern.period):
        if value == 0 or (pattern.rhythm is Rhythm.SYNC and value % 2):
            continue
        turned = crossing is not None and crossing != throw.crosses
        yield abs(value - throw.value) + turned, Edit(throw.column, value, crossing)


def _exchanges(pattern: Pattern) -> Iterator[Edit]:
    """Pairs of values that, exchanged, make the pattern work: neighbours first, and the last before the first."""
    throws = pattern.throws
    pairs = [(j - i, -i, j) for i in range(len(throws)) for j in range(i + 1, len(throws))]
    for _, minus_i, j in sorted(pairs):
        i = -minus_i
        one, other = throws[i], throws[j]
        if one.value == other.value or one.passed or other.passed:
            continue
        changed = list(throws)
        changed[i], changed[j] = _revalued(one, other.value), _revalued(other, one.value)
        if not surplus(replace(pattern, throws=tuple(changed))):
            yield Edit(one.column, other.value, None, other.column, one.value)


def _revalued(throw: Throw, value: int) -> Throw:
    return replace(throw, value=value)
