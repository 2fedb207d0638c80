"""Links: the shortest throws out of one pattern into another, between rounds or anywhere."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.errors import TrainerError
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.states import Link, LinkThrow, State, find_link, link_to_text, state_before, states
from trainer.siteswap.throws import HIGHEST_VALUE, Hand, Rhythm, step_to_text


class LinkError(TrainerError):
    """Two patterns with no link between them, or with none as low as was asked for."""


@dataclass(frozen=True, slots=True)
class Route:
    """A link with the places where it leaves one pattern and joins the other.

    text: its throws as siteswap; empty where none are needed. beats: its length. leaves_at, joins_at: beats of the
    period, from 0, before which the one pattern is left and the other joined.
    """

    text: str
    beats: int
    leaves_at: int
    joins_at: int


@dataclass(frozen=True, slots=True)
class Point:
    """A beat of the period before which a pattern may be left or joined, and the state there."""

    beat: int
    state: State


def start_points(pattern: Pattern) -> tuple[Point, ...]:
    """Return the start of the pattern as written, which is also the end of each round."""
    return (Point(0, state_before(pattern, 0)),)


def all_points(pattern: Pattern) -> tuple[Point, ...]:
    """Return every step of the period as a point; of steps with the same state, the first."""
    first: dict[State, int] = {}
    for index, state in enumerate(states(pattern)):
        first.setdefault(state, index * pattern.beat_step)
    return tuple(Point(beat, state) for state, beat in first.items())


def require_linkable(one: Pattern, other: Pattern) -> None:
    """Raise LinkError for two patterns that differ in jugglers, rhythm or objects, so that no throws lead between."""
    for pattern in (one, other):
        if pattern.jugglers > 1:
            raise LinkError(f"{pattern.text} is for {pattern.jugglers} jugglers; choose two patterns for one juggler.")
    if one.rhythm is not other.rhythm:
        told = {Rhythm.ASYNC: "has the hands take turns", Rhythm.SYNC: "has both hands throw together"}
        raise LinkError(
            f"{one.text} {told[one.rhythm]} and {other.text} {told[other.rhythm]}; choose two of the same kind."
        )
    if one.objects != other.objects:
        raise LinkError(
            f"{one.text} takes {one.objects} and {other.text} takes {other.objects} objects; "
            "choose two patterns of the same number."
        )


def find_route(
    one: Pattern,
    other: Pattern,
    leaving: Sequence[Point],
    joining: Sequence[Point],
    highest: int = HIGHEST_VALUE,
) -> Route | None:
    """Find the shortest link from a point of one pattern to a point of the other; None if none keeps to `highest`.

    Of links of equal length it takes the one that leaves first, then the one that joins first. Both patterns must
    have passed require_linkable. Pairs of points are tried in the order of a lower bound on their links' length,
    until that bound reaches the length of the best link found.
    """
    step = one.beat_step
    most_held = max(_most_held(one), _most_held(other))
    starts = [(_to_bits(point.state, most_held), point) for point in leaving]
    goals = [(_to_bits(point.state, most_held), point) for point in joining]
    width = most_held * len(leaving[0].state)
    best: tuple[Link, Point, Point] | None = None
    for steps in range(max(len(row) for point in leaving for row in point.state) + 1):
        for bits, start in starts:
            for goal_bits, goal in goals:
                if best and steps >= best[0].steps:
                    return _to_route(best, one)
                if _fewest_steps(bits, goal_bits, steps, width, highest // step) == steps:
                    link = _lowest_held(start.state, goal.state, highest, step, steps, most_held)
                    if link and (best is None or link.steps < best[0].steps):
                        best = (link, start, goal)
    return _to_route(best, one) if best else None


def _to_route(found: tuple[Link, Point, Point], pattern: Pattern) -> Route:
    link, start, goal = found
    return Route(link_to_text(link, pattern.rhythm), link.steps * pattern.beat_step, start.beat, goal.beat)


def _to_bits(state: State, most_held: int) -> int:
    """Write a state as bits: for each step and channel a field of `most_held` bits, with a one for each object due."""
    rows = len(state)
    return sum(
        (1 << count) - 1 << (offset * rows + row) * most_held
        for row, counts in enumerate(state)
        for offset, count in enumerate(counts)
    )


def _fewest_steps(start: int, goal: int, most: int, width: int, farthest: int) -> int | None:
    """Return the fewest steps, up to `most`, that a link can have; None if it must have more.

    The goal must want all that is still in the air after these steps. Nothing else that it wants may be so late that
    the last throws, of at most `farthest` steps, cannot reach it. width: bits a step.
    """

    def may_do(steps: int) -> bool:
        in_the_air = start >> steps * width
        return not in_the_air & ~goal and (goal & ~in_the_air).bit_length() <= farthest * width

    return next(filter(may_do, range(most + 1))) if may_do(most) else None


def _most_held(pattern: Pattern) -> int:
    """Return the most objects that a hand throws at once; 1 without multiplex."""
    return max(Counter((throw.beat, throw.hand) for throw in pattern.throws).values())


def _lowest_held(start: State, goal: State, highest: int, step: int, fewest: int, most_held: int) -> Link | None:
    """Find the shortest link of throws up to `highest` in which a hand gathers no more objects than it must.

    Where one of the patterns is multiplex, the link may be too: under a low bound that can be shorter, or the only
    link there is. A link does not get longer where a hand may hold more, and none is shorter than `fewest` steps;
    so the number held is found by halving.
    """
    link = _held(1, start, goal, highest, step)
    if most_held == 1 or (link and link.steps == fewest):
        return link
    shortest = _held(most_held, start, goal, highest, step)
    if shortest is None:
        return None
    too_few, enough = 0, most_held
    while enough - too_few > 1:
        held = (too_few + enough) // 2
        link = _held(held, start, goal, highest, step)
        if link and link.steps == shortest.steps:
            shortest, enough = link, held
        else:
            too_few = held
    return shortest


def _held(held: int, start: State, goal: State, highest: int, step: int) -> Link | None:
    """Find the shortest link in which a hand gathers at most `held` objects, each in a channel of its own."""
    link = find_link(_spread(start, held), _spread(goal, held), highest, step)
    if link is None:
        return None
    throws = (LinkThrow(t.step, t.channel // held, t.to_channel // held, t.height) for t in link.throws)
    return Link(link.steps, tuple(throws))


def _spread(state: State, held: int) -> State:
    """Write each channel as `held` channels, whose rows may end in zeros.

    Each of them has one of the objects due, and the first has the rest too.
    """
    return tuple(
        tuple(int(count > part) if part else max(min(count, 1), count - held + 1) for count in row)
        for row in state
        for part in range(held)
    )


def stretch_to_text(pattern: Pattern, start_beat: int, stop_beat: int) -> str:
    """Write the throws of a one-juggler pattern from one beat up to another as siteswap.

    Beats go on past the period. The text has neither the star of a sync pattern nor a style.
    """
    return "".join(_beat_to_text(pattern, beat) for beat in range(start_beat, stop_beat, pattern.beat_step))


def _beat_to_text(pattern: Pattern, beat: int) -> str:
    now = [throw for throw in pattern.throws if throw.beat == beat % pattern.period]
    texts = [[pattern.throw_to_text(throw) for throw in now if throw.hand is hand] for hand in Hand]
    return step_to_text(texts if pattern.rhythm is Rhythm.SYNC else [texts[0] or texts[1]], pattern.rhythm)
