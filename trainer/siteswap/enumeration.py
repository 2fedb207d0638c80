"""Enumeration: counts the patterns of a query by formula, and lists them only where no formula serves."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations
from math import comb
from operator import sub

from trainer.siteswap.query import Only, SearchError, SearchQuery
from trainer.siteswap.search import Move, find_patterns, ground_masks, moves
from trainer.siteswap.throws import Rhythm

MOST_WANTED = 8
"""With more different values to contain, there are too many subsets, and the patterns are listed instead."""

MOST_WORK = 30_000_000
"""About so many additions take ten seconds."""

Counts = dict[int, int]
"""State as bits → number of ways that lead to it; or steps → number of closed walks of that length."""


def count_patterns(query: SearchQuery) -> int:
    """Count the patterns that find_patterns yields for a query.

    With rotations counted apart there are (b+1)ⁿ - bⁿ patterns of b objects and n beats (Buhler, Eisenbud,
    Graham & Wright, Amer. Math. Monthly 101 (1994) 507-519). With bounds on the throws, with values to contain and
    for ground patterns, the count is added up over sets of places or over states. Möbius inversion then leaves the
    patterns of exactly that period, one for each set of rotations. Prime patterns and values wanted more than once
    are listed. Raises SearchError where adding up would take minutes.
    """
    distinct = frozenset(query.contains)
    if Only.PRIME in query.only or len(distinct) < len(query.contains) or len(distinct) > MOST_WANTED:
        return sum(1 for _ in find_patterns(query))
    steps = query.period // query.hands
    divisors = [d for d in range(1, steps + 1) if steps % d == 0 and moebius(steps // d)]
    total = 0
    for size in range(len(distinct) + 1):
        for left_out in combinations(sorted(distinct), size):
            closed = _closed_walks(query, frozenset(left_out), divisors)
            total += (-1) ** size * sum(moebius(steps // d) * closed[d] for d in divisors)
    return total // steps


def moebius(number: int) -> int:
    """Return the Möbius function: 0 if a square divides the number, else 1 or -1 for an even or odd count of primes."""
    sign = 1
    for prime in range(2, number + 1):
        if number % prime == 0:
            number //= prime
            if number % prime == 0:
                return 0
            sign = -sign
    return sign


def _closed_walks(query: SearchQuery, left_out: frozenset[int], divisors: list[int]) -> Counts:
    """Count, for each number of steps, the sequences that come round and have none of the values left out.

    Rotations are counted apart.
    """
    if _unbounded(query) and not left_out and Only.GROUND not in query.only:
        return {n: (query.objects + 1) ** n - query.objects**n for n in divisors}
    table = _without(query, left_out)
    states = comb(max((move.reach for hand in table for move in hand), default=0), query.objects)
    if Only.GROUND in query.only:
        _require_little(states * query.period)
        return _through_ground(query, table, max(divisors))
    work_by_states = states**2 * query.period
    work_by_places = 2**query.period * query.period * query.objects
    _require_little(min(work_by_states, work_by_places))
    count = _by_states if work_by_states < work_by_places else _by_places
    return {n: count(query.objects, table, n) for n in divisors}


def _require_little(work: int) -> None:
    """Raise SearchError for a sum that would take minutes."""
    if work > MOST_WORK:
        raise SearchError("There were too many ways to count; choose a lower highest throw or a shorter period.")


def _unbounded(query: SearchQuery) -> bool:
    return (
        query.rhythm is Rhythm.ASYNC
        and query.top == query.objects * query.period
        and query.lowest == 0
        and Only.NO_ZIP not in query.only
    )


def _without(query: SearchQuery, left_out: frozenset[int]) -> tuple[tuple[Move, ...], ...]:
    return tuple(tuple(move for move in hand if move.value not in left_out) for hand in moves(query))


def _by_places(objects: int, table: tuple[tuple[Move, ...], ...], steps: int) -> int:
    """Count the permutations of the places whose average reach is the number of objects."""
    places = steps * len(table)
    ways: dict[tuple[int, int], int] = {(0, 0): 1}
    for place in range(places):
        following: dict[tuple[int, int], int] = defaultdict(int)
        for (filled, reached), count in ways.items():
            for move in table[place % len(table)]:
                bit = 1 << (place + move.reach) % places
                if not filled & bit and reached + move.reach <= objects * places:
                    following[(filled | bit, reached + move.reach)] += count
        ways = following
    return ways.get(((1 << places) - 1, objects * places), 0)


def _by_states(objects: int, table: tuple[tuple[Move, ...], ...], steps: int) -> int:
    """Count the walks in the state graph that end where they began."""
    farthest = max((move.reach for hand in table for move in hand), default=0)
    total = 0
    for bits in combinations(range(farthest), objects):
        start = sum(1 << bit for bit in bits)
        ways: Counts = {start: 1}
        for step in range(steps):
            still = len(table) * (steps - step - 1)
            ways = {state: count for state, count in _step(ways, table).items() if not (state >> still) & ~start}
        total += ways.get(start, 0)
    return total


def _step(ways: Counts, table: tuple[tuple[Move, ...], ...]) -> Counts:
    """Make all throws of one step, hand by hand."""
    for hand in table:
        following: Counts = defaultdict(int)
        for state, count in ways.items():
            for after in _thrown(state, hand):
                following[after] += count
        ways = following
    return ways


def _thrown(state: int, hand: tuple[Move, ...]) -> Iterator[int]:
    """Yield the states one place later; a hand with no object due throws nothing."""
    for move in hand:
        landing = 1 << move.reach
        if not state & 1 and move.reach == 0:
            yield state >> 1
        elif state & 1 and move.reach and not state & landing:
            yield (state | landing) >> 1


def _through_ground(query: SearchQuery, table: tuple[tuple[Move, ...], ...], steps: int) -> Counts:
    """Count, for each number of steps, the closed walks through a ground state.

    With F(x) the matrix of walks from ground to ground, the number of closed walks of n steps is n times the
    coefficient of xⁿ in log det F (first returns put in a ring; Stanley, Enumerative Combinatorics 1, ch. 4.7).
    """
    grounds = sorted(ground_masks(query))
    rows = [_from_ground(ground, grounds, table, steps) for ground in grounds]
    series = rows[0][0]
    if len(rows) == 2:
        series = list(map(sub, _times(rows[0][0], rows[1][1]), _times(rows[0][1], rows[1][0])))
    walks: Counts = {}
    for n in range(1, steps + 1):
        walks[n] = n * series[n] - sum(walks[k] * series[n - k] for k in range(1, n))
    return walks


def _from_ground(start: int, goals: list[int], table: tuple[tuple[Move, ...], ...], steps: int) -> list[list[int]]:
    """Count, for each goal, the walks of 0, 1, 2 … steps that lead to it from the start."""
    series = [[int(goal == start)] for goal in goals]
    allowed = max(goals).bit_length()
    ways: Counts = {start: 1}
    for step in range(1, steps + 1):
        reachable = allowed + len(table) * (steps - step)
        ways = {state: count for state, count in _step(ways, table).items() if state.bit_length() <= reachable}
        for goal, counts in zip(goals, series, strict=True):
            counts.append(ways.get(goal, 0))
    return series


def _times(one: list[int], other: list[int]) -> list[int]:
    return [sum(one[k] * other[n - k] for k in range(n + 1)) for n in range(len(one))]
