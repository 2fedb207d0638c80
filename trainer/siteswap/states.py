"""States: which coming beats already have an object due, and the throws that lead from one to another.

Source: Chung & Graham, Primitive juggling sequences, Amer. Math. Monthly 115 (2008) 185-194;
Polster, The Mathematics of Juggling, Springer 2003.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import HIGHEST_VALUE, Hand, Rhythm, value_to_digit

Channel = tuple[int, str]
"""A juggler and, in sync, a hand: whatever throws on its own schedule."""

State = tuple[tuple[int, ...], ...]
"""For each channel how many objects are due 0, 1, 2 … steps from now, without trailing zeros.

A step is a beat in async and two beats in sync. Channels: jugglers in order, right hand before left.
"""


def channels(pattern: Pattern) -> tuple[Channel, ...]:
    """The channels of a pattern in the order of its states."""
    hands = ("R", "L") if pattern.rhythm is Rhythm.SYNC else ("",)
    return tuple((juggler, hand) for juggler in range(pattern.jugglers) for hand in hands)


def state_before(pattern: Pattern, beat: int) -> State:
    """The landing schedule just before the throws of a beat, the pattern having run for ever."""
    step = pattern.beat_step
    order = {channel: index for index, channel in enumerate(channels(pattern))}
    due: list[dict[int, int]] = [{} for _ in order]
    for throw in pattern.throws:
        juggler, hand, _ = pattern.landing_slot(throw)
        counts = due[order[(juggler, hand)]]
        for offset in range((throw.lands - beat) % pattern.period, throw.value, pattern.period):
            counts[offset // step] = counts.get(offset // step, 0) + 1
    return tuple(_to_row(counts) for counts in due)


def states(pattern: Pattern) -> tuple[State, ...]:
    """The states before each beat (in sync, each second beat) of the period."""
    return tuple(_run(pattern))


def _run(pattern: Pattern) -> Iterator[State]:
    """The states in turn, each made from the one before by its throws: long texts stay quick."""
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
    """Whether the lowest beats are taken, one object each, shared evenly among hands and jugglers."""
    flat = all(count == 1 for row in state for count in row)
    lengths = [len(row) for row in state]
    return flat and max(lengths) - min(lengths) <= 1


def ground_states(pattern: Pattern) -> tuple[State, ...]:
    """The states of the plain cascade or fountain with as many objects; several where one hand holds more."""
    rows = len(channels(pattern))
    share, left_over = divmod(pattern.objects, rows)
    if left_over == 0:
        return (((1,) * share,) * rows,)
    return tuple(
        tuple((1,) * (share + ((row - first) % rows < left_over)) for row in range(rows)) for first in range(rows)
    )


def is_ground(pattern: Pattern) -> bool:
    """Whether the plain cascade or fountain leads into the pattern, at some beat of it, with no linking throw."""
    return ground_beat(pattern) is not None


def ground_beat(pattern: Pattern) -> int | None:
    """The first beat of the period at which a ground pattern can be entered; None if it is excited."""
    for index, state in enumerate(_run(pattern)):
        if is_ground_state(state):
            return index * pattern.beat_step
    return None


def is_prime(pattern: Pattern) -> bool:
    """Whether no state comes twice in a period."""
    visited = states(pattern)
    return len(set(visited)) == len(visited)


@dataclass(frozen=True, slots=True)
class LinkThrow:
    """One throw of a link: step from its start, channel it leaves, channel it goes to, height in steps."""

    step: int
    channel: int
    to_channel: int
    height: int


@dataclass(frozen=True, slots=True)
class Link:
    """The shortest throws from one state to another. steps: its length; throws: in order, empty hands left out."""

    steps: int
    throws: tuple[LinkThrow, ...]


def find_link(start: State, goal: State, highest: int = HIGHEST_VALUE, step: int = 1) -> Link | None:
    """The shortest link between two states of one shape; None where no throws up to `highest` lead there.

    A link of k steps exists if what is still in the air after them is wanted at the goal. Every hand that
    then still needs an object, and every step at which a hand would stand empty, is a place to be filled; the
    throws and the places, each in order of time, are matched one to one, which keeps the highest throw as low
    as any link of that length can. No hand gathers several objects on the way unless the goal wants them so: a
    multiplex that can only be thrown from such a hand under a low bound has no link. highest: in beats; step:
    beats a step.
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
    """Throws in order of time, each to the earliest place not yet taken; its own hand's where there is a choice.

    A place of the very moment is a hand that stays empty, and only that hand itself can leave it so: among
    the hands of one moment those go first, so that none of their places is left to another hand.
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
    """A one-juggler link in siteswap, the highest throw of a hand first; empty where no throws are needed."""
    return "".join(_steps_to_text(link, rhythm))


def _steps_to_text(link: Link, rhythm: Rhythm) -> Iterator[str]:
    hands = (Hand.RIGHT, Hand.LEFT)
    for at in range(link.steps):
        now = sorted((throw for throw in link.throws if throw.step == at), key=lambda throw: -throw.height)
        if rhythm is Rhythm.ASYNC:
            yield _to_cell([value_to_digit(throw.height) for throw in now])
            continue
        cells = []
        for channel, _ in enumerate(hands):
            mine = [throw for throw in now if throw.channel == channel]
            cells.append(
                _to_cell([value_to_digit(2 * t.height) + ("x" if t.to_channel != channel else "") for t in mine])
            )
        yield f"({cells[0]},{cells[1]})"


def _to_cell(values: list[str]) -> str:
    if not values:
        return "0"
    return values[0] if len(values) == 1 else f"[{''.join(values)}]"


def find_entry(pattern: Pattern) -> Link | None:
    """The shortest throws from the plain cascade or fountain to the start of the pattern as written."""
    goal = state_before(pattern, 0)
    found = [find_link(start, goal, step=pattern.beat_step) for start in ground_states(pattern)]
    return min((link for link in found if link is not None), key=lambda link: link.steps, default=None)
