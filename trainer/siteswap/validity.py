"""Validity: whether throws fit together, and the smallest changes that make them fit."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace

from trainer.siteswap.pattern import Pattern, Slot
from trainer.siteswap.throws import HIGHEST_VALUE, Rhythm, Throw

MOST_THROWS_TO_REORDER = 16
"""With more throws no exchange of two is tried, because the number of pairs grows with the square."""


@dataclass(frozen=True, slots=True)
class Collision:
    """Two throws that come down in one hand on one beat, where that hand throws fewer objects.

    first, second: in the order of the throws; the same throw where the hand throws nothing. thrown_on: how many
    objects the hand throws there.
    """

    first: Throw
    second: Throw
    thrown_on: int


def surplus(pattern: Pattern) -> Counter[Slot]:
    """Count for each slot how many more objects arrive than are thrown on.

    Balanced slots are left out: a valid pattern has none. Source: Buhler, Eisenbud, Graham & Wright, Amer. Math.
    Monthly 101 (1994) 507-519.
    """
    balance = Counter(map(pattern.landing_slot, _thrown(pattern)))
    balance.subtract(map(pattern.leaving_slot, _thrown(pattern)))
    return Counter({slot: count for slot, count in balance.items() if count})


def _thrown(pattern: Pattern) -> list[Throw]:
    return [throw for throw in pattern.throws if not throw.empty]


def find_collision(pattern: Pattern) -> Collision | None:
    """Find the first throw, in the order of the throws, that gives a slot more objects than it throws on.

    None for a valid pattern.
    """
    balance = surplus(pattern)
    if not balance:
        return None
    leaving = Counter(map(pattern.leaving_slot, _thrown(pattern)))
    arrivals: dict[Slot, list[Throw]] = defaultdict(list)
    for throw in _thrown(pattern):
        slot = pattern.landing_slot(throw)
        arrivals[slot].append(throw)
        if balance[slot] > 0 and len(arrivals[slot]) > max(1, leaving[slot]):
            return Collision(arrivals[slot][-2], throw, leaving[slot])
    alone = next(throw for throw in _thrown(pattern) if balance[pattern.landing_slot(throw)] > 0)
    return Collision(alone, alone, 0)


def find_changes(pattern: Pattern) -> Iterator[tuple[Throw, ...]]:
    """Yield small changes that would make the pattern valid, each as the throws to put in the place of their own.

    A throw is found again by its column. First come changes of one value or, in sync, of one crossing, the smallest
    first; then exchanges of two values.
    """
    balance = surplus(pattern)
    over = [slot for slot, count in balance.items() if count > 0]
    under = [slot for slot, count in balance.items() if count < 0]
    if len(over) == 1 and len(under) == 1 and balance[over[0]] == 1:
        movable = [throw for throw in _thrown(pattern) if pattern.landing_slot(throw) == over[0]]
        found = [change for throw in movable for change in _redirected(pattern, throw, under[0])]
        yield from ((throw,) for _, throw in sorted(found, key=lambda change: (change[0], change[1].column)))
    if len(pattern.throws) <= MOST_THROWS_TO_REORDER:
        yield from _exchanges(pattern)


def _redirected(pattern: Pattern, throw: Throw, target: Slot) -> Iterator[tuple[int, Throw]]:
    """Yield the ways to send one throw to a slot that lacks an object, each with the size of the change."""
    juggler, hand, beat = target
    if juggler != throw.to_juggler:
        return
    sync = pattern.rhythm is Rhythm.SYNC
    turned = sync and not throw.passed and hand != throw.to_hand.value
    to_hand = throw.to_hand.other if turned else throw.to_hand
    for value in range((beat - throw.beat) % pattern.period, HIGHEST_VALUE + 1, pattern.period):
        if value and not (sync and value % 2):
            yield abs(value - throw.value) + turned, replace(throw, value=value, to_hand=to_hand)


def _exchanges(pattern: Pattern) -> Iterator[tuple[Throw, Throw]]:
    """Yield pairs of throws whose exchanged values make the pattern valid.

    Near pairs come first, and among those as near the last pair.
    """
    throws = pattern.throws
    for distance in range(1, len(throws)):
        for i in reversed(range(len(throws) - distance)):
            one, other = throws[i], throws[i + distance]
            if one.value == other.value or one.passed or other.passed:
                continue
            pair = replace(one, value=other.value), replace(other, value=one.value)
            changed = [*throws[:i], pair[0], *throws[i + 1 : i + distance], pair[1], *throws[i + distance + 1 :]]
            if not surplus(replace(pattern, throws=tuple(changed))):
                yield pair
