"""States: on which coming beats objects are due, and the throws that lead from one state to another.

Source: Chung & Graham, Primitive juggling sequences, Amer. Math. Monthly 115 (2008) 185-194;
Polster, The Mathematics of Juggling, Springer 2003.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import HIGHEST_VALUE, Hand, Rhythm, step_to_text, value_to_digit

Channel = tuple[int, str]
"""A juggler and, in sync, one of the hands: what throws at most once a step."""

State = tuple[tuple[int, ...], ...]
"""For each channel the numbers of objects that are due 0, 1, 2 … steps from now, without trailing zeros.

A step is a beat in async and two beats in sync. The channels are in the order of the jugglers, right hand first.
"""


def channels(pattern: Pattern) -> tuple[Channel, ...]:
    """Return the channels of a pattern in the order that its states have them."""
    hands = ("R", "L") if pattern.rhythm is Rhythm.SYNC else ("",)
    return tuple((juggler, hand) for juggler in range(pattern.jugglers) for hand in hands)


def state_before(pattern: Pattern, beat: int) -> State:
    """Return the state just before the throws of a beat, of a pattern that has run for ever."""
    step = pattern.beat_step
    order = {channel: index for index, channel in enumerate(channels(pattern))}
    due: list[Counter[int]] = [Counter() for _ in order]
    for throw in pattern.throws:
        juggler, hand, _ = pattern.landing_slot(throw)
        offsets = range((throw.lands - beat) % pattern.period, throw.value, pattern.period)
        due[order[(juggler, hand)]].update(offset // step for offset in offsets)
    return tuple(_to_row(counts) for counts in due)


def states(pattern: Pattern) -> Iterator[State]:
    """Yield the state before each step of the period, made from the one before: long patterns take linear time."""
    step = pattern.beat_step
    order = {channel: index for index, channel in enumerate(channels(pattern))}
    landings: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for throw in pattern.throws:
        juggler, hand, _ = pattern.landing_slot(throw)
        if not throw.empty:
            landings[throw.beat].append((order[(juggler, hand)], throw.value // step))
    state = state_before(pattern, 0)
    for beat in range(0, pattern.period, step):
        yield state
        rows = [dict(enumerate(row)) for row in state]
        for channel, height in landings[beat]:
            rows[channel][height] = rows[channel].get(height, 0) + 1
        state = tuple(_to_row({offset - 1: count for offset, count in row.items() if offset}) for row in rows)


def _to_row(counts: dict[int, int]) -> tuple[int, ...]:
    return tuple(counts.get(offset, 0) for offset in range(max(counts, default=-1) + 1))


def is_ground_state(state: State) -> bool:
    """Tell whether objects are due on the next beats only, one each, shared evenly among the channels."""
    flat = all(count == 1 for row in state for count in row)
    lengths = [len(row) for row in state]
    return flat and max(lengths) - min(lengths) <= 1


def ground_states(pattern: Pattern) -> tuple[State, ...]:
    """Return the states of the cascade or fountain with as many objects; several where one channel has more."""
    rows = len(channels(pattern))
    share, left_over = divmod(pattern.objects, rows)
    if left_over == 0:
        return (((1,) * share,) * rows,)
    return tuple(
        tuple((1,) * (share + ((row - first) % rows < left_over)) for row in range(rows)) for first in range(rows)
    )


def is_ground(pattern: Pattern) -> bool:
    """Tell whether some beat of the pattern can follow the cascade or fountain without other throws."""
    return ground_beat(pattern) is not None


def ground_beat(pattern: Pattern) -> int | None:
    """Return the first beat of the period with a ground state; None for an excited pattern."""
    for index, state in enumerate(states(pattern)):
        if is_ground_state(state):
            return index * pattern.beat_step
    return None


def is_prime(pattern: Pattern) -> bool:
    """Tell whether no state comes twice in a period."""
    visited = tuple(states(pattern))
    return len(set(visited)) == len(visited)


@dataclass(frozen=True, slots=True)
class LinkThrow:
    """One throw of a link. step: from the start of the link. channel, to_channel: by index. height: in steps."""

    step: int
    channel: int
    to_channel: int
    height: int


@dataclass(frozen=True, slots=True)
class Link:
    """Throws from one state to another. steps: its length. throws: in order, without empty hands."""

    steps: int
    throws: tuple[LinkThrow, ...]


def find_link(start: State, goal: State, highest: int = HIGHEST_VALUE, step: int = 1) -> Link | None:
    """Find the shortest link between two states with the same channels; None if none keeps to `highest`.

    A link of k steps exists if the goal wants all that is still in the air after them. The places to fill are the
    objects that the goal wants besides, and every step at which a channel has no object due. Throws and places, both
    in order of time, are matched one to one; so the highest throw is as low as in any link of that length. No hand
    gathers several objects on the way unless the goal wants them so. highest: value, in beats. step: beats a step.
    """
    longest = sum(map(sum, start)) * 2 + max(map(len, start)) + max(map(len, goal)) + HIGHEST_VALUE
    for steps in range(longest + 1):
        if _stays_wanted(start, goal, steps):
            throws = _match(start, goal, steps)
            if all(throw.height * step <= highest for throw in throws):
                return Link(steps, throws)
    return None


def _stays_wanted(start: State, goal: State, steps: int) -> bool:
    return all(
        count <= (row_goal[offset - steps] if offset - steps < len(row_goal) else 0)
        for row, row_goal in zip(start, goal, strict=True)
        for offset, count in enumerate(row)
        if offset >= steps
    )


def _match(start: State, goal: State, steps: int) -> tuple[LinkThrow, ...]:
    """Match each throw, in order of time, to the earliest free place, of its own channel where there is a choice.

    A place at the time of the throw is an empty hand, and only that hand can leave it empty. So of the hands of one
    moment the empty ones are matched first.
    """
    rows = range(len(start))

    def due(row: int, offset: int) -> int:
        return start[row][offset] if offset < len(start[row]) else 0

    leaving = [(at, row) for at in range(steps) for row in rows for _ in range(max(1, due(row, at)))]
    places = [(at, row) for at in range(steps) for row in rows if due(row, at) == 0]
    for row in rows:
        for offset, wanted in enumerate(goal[row]):
            places += [(steps + offset, row)] * (wanted - due(row, steps + offset))
    places.sort()
    throws = []
    while leaving:
        at = leaving[0][0]
        left_empty = next((hand for hand in leaving if hand[0] == at and places[0][0] == at and hand in places), None)
        row = (left_empty or leaving[0])[1]
        leaving.remove((at, row))
        same_time = [place for place in places if place[0] == places[0][0]]
        place = next((place for place in same_time if place[1] == row), same_time[0])
        places.remove(place)
        if place[0] > at:
            throws.append(LinkThrow(at, row, place[1], place[0] - at))
    return tuple(throws)


def link_to_text(link: Link, rhythm: Rhythm) -> str:
    """Write a one-juggler link as siteswap, the highest throw of a hand first; empty for no throws."""
    hands: list[list[list[str]]] = [[[] for _ in range(len(Hand))] for _ in range(link.steps)]
    for throw in sorted(link.throws, key=lambda throw: -throw.height):
        sync = rhythm is Rhythm.SYNC
        crosses = "x" if sync and throw.to_channel != throw.channel else ""
        hands[throw.step][throw.channel].append(value_to_digit(throw.height * (2 if sync else 1)) + crosses)
    return "".join(step_to_text(texts, rhythm) for texts in hands)


def find_entry(pattern: Pattern) -> Link | None:
    """Find the shortest link from the cascade or fountain to the start of the pattern as written."""
    goal = state_before(pattern, 0)
    found = [find_link(start, goal, step=pattern.beat_step) for start in ground_states(pattern)]
    return min((link for link in found if link is not None), key=lambda link: link.steps, default=None)
