"""Search: finds every pattern of a query, throw by throw, without trying every text.

A pattern is a permutation: each place of one period where a hand throws is matched to one place where a throw comes
down, and no two throws share a place (Buhler, Eisenbud, Graham & Wright, Amer. Math. Monthly 101 (1994) 507-519). In
async a place is a beat. In sync the right hand's place of a pair comes right before the left hand's, so that there
too one throw is laid at a time, and a period has as many places as beats. The reach of a throw is the number of
places from where it is thrown to where it comes down. The average reach is the number of objects in either rhythm.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from trainer.siteswap.query import Only, SearchQuery
from trainer.siteswap.throws import HIGHEST_VALUE, Rhythm, value_to_digit

THROWS_A_PULSE = 1000
"""Throws laid between two signs of life while nothing is found; they take some milliseconds."""


class Move(NamedTuple):
    """A throw that may be laid at a place. rank: its order when two rotations of a pattern are compared."""

    rank: int
    reach: int
    value: int
    text: str


def moves(query: SearchQuery) -> tuple[tuple[Move, ...], ...]:
    """List for each hand the throws that the query allows, in rising order of rank.

    A zip is a 1 in async and a crossing 2 in sync.
    """
    return tuple(tuple(_moves(query, hand)) for hand in range(query.hands))


def _moves(query: SearchQuery, hand: int) -> Iterator[Move]:
    no_zip = Only.NO_ZIP in query.only
    for value in range(query.lowest, query.top + 1):
        digit = value_to_digit(value)
        if query.rhythm is Rhythm.ASYNC:
            if not (no_zip and value == 1):
                yield Move(value, value, value, digit)
        elif value % 2 == 0:
            yield Move(2 * value, value, value, digit)
            if value and not (no_zip and value == 2):
                yield Move(2 * value + 1, value - 1 if hand else value + 1, value, digit + "x")


def find_patterns(query: SearchQuery) -> Iterator[str]:
    """Yield the text of each pattern once, as its highest rotation, in rising order.

    The patterns are found as they are asked for. Rotations by whole steps are one pattern; a sync pattern and its
    mirror image are two.
    """
    return (text for text in survey(query) if text is not None)


def survey(query: SearchQuery) -> Iterator[str | None]:
    """Yield what find_patterns yields, and None from time to time, so that the caller can stop a long search."""
    return _Search(query).lay(_Stage(0, 0, query.objects, query.objects * query.period, query.hands, False))


class _Stage(NamedTuple):
    """What follows from the throws laid so far.

    filled: places of the period at which something comes down, as bits. landings: places, counted from the start,
    at which the throws laid come down, as bits. unseen: objects not yet thrown. left: sum of the reaches still to be
    laid. back: how many places back the throw stands that the next one must not outrank. tied: whether the current
    step so far equals the throws that far back.
    """

    filled: int
    landings: int
    unseen: int
    left: int
    back: int
    tied: bool


class _Search:
    """Lays throws from left to right and turns back as soon as they cannot become a pattern.

    Only sequences that are no lower than any of their rotations are laid (prenecklaces: Fredricksen & Maiorana,
    Discrete Math. 23 (1978) 207-210). So each pattern comes once, and no pattern found has to be remembered.
    """

    def __init__(self, query: SearchQuery) -> None:
        self.query = query
        self.moves = moves(query)
        self.places = query.period
        self.hands = query.hands
        self.wanted = Counter(query.contains)
        self.laid: list[Move] = []
        self.states: set[int] = set()
        self.laid_in_all = 0
        reaches = [move.reach for hand in self.moves for move in hand]
        self.nearest, self.farthest = min(reaches, default=0), max(reaches, default=0)

    def lay(self, stage: _Stage) -> Iterator[str | None]:
        """Yield every pattern that begins with the throws laid."""
        place = len(self.laid)
        # An object due later than the farthest reach has been thrown since the start.
        if self.missing() > self.places - place or stage.unseen > max(0, self.farthest_now() - place):
            return
        self.laid_in_all += 1
        if self.laid_in_all % THROWS_A_PULSE == 0:
            yield None
        if place == self.places:
            if stage.back == place and self.fits(stage):
                yield self.to_text()
            return
        state = self.known_state(stage, place)
        if state in self.states:
            return
        if state is not None:
            self.states.add(state)
        for move in self.candidates(stage, place):
            following = self.after(stage, place, move)
            self.laid.append(move)
            yield from self.lay(following)
            self.laid.pop()
        if state is not None:
            self.states.remove(state)

    def candidates(self, stage: _Stage, place: int) -> Iterator[Move]:
        """Yield the throws that may be laid here: onto a free place, not above the tie, with a sum that can be met."""
        top_rank = self.laid[place - stage.back].rank if stage.tied else 4 * HIGHEST_VALUE
        later = self.places - place - 1
        least, most = stage.left - later * self.farthest_now(), stage.left - later * self.nearest
        unthrowable = stage.unseen == 0 and not stage.landings >> place & 1
        for move in self.moves[place % self.hands]:
            if move.rank > top_rank or (unthrowable and move.reach):
                return
            if least <= move.reach <= most and not stage.filled >> (place + move.reach) % self.places & 1:
                yield move

    def after(self, stage: _Stage, place: int, move: Move) -> _Stage:
        """Return the stage after one more throw."""
        from_start = move.reach > 0 and not stage.landings >> place & 1
        equal = stage.tied and move.rank == self.laid[place - stage.back].rank
        ends_step = (place + 1) % self.hands == 0
        return _Stage(
            stage.filled | 1 << (place + move.reach) % self.places,
            stage.landings | (1 << place + move.reach if move.reach else 0),
            stage.unseen - from_start,
            stage.left - move.reach,
            stage.back if equal or not ends_step else place + 1,
            equal or ends_step,
        )

    def farthest_now(self) -> int:
        """Return the farthest reach from here on: in async no throw outranks the first."""
        return self.laid[0].reach if self.hands == 1 and self.laid else self.farthest

    def missing(self) -> int:
        """Return how many of the values asked for are not laid yet."""
        return (self.wanted - Counter(move.value for move in self.laid)).total() if self.wanted else 0

    def known_state(self, stage: _Stage, place: int) -> int | None:
        """Return the state at the start of a step as bits, or None before every object has been thrown.

        None unless prime patterns are searched: there a state that comes twice ends the attempt.
        """
        if Only.PRIME not in self.query.only or stage.unseen or place % self.hands:
            return None
        return stage.landings >> place

    def fits(self, stage: _Stage) -> bool:
        """Tell whether a whole pattern has the properties asked for."""
        only = self.query.only
        if not only & {Only.PRIME, Only.GROUND}:
            return True
        states = self.all_states(stage)
        prime = Only.PRIME not in only or len(set(states)) == len(states)
        return prime and (Only.GROUND not in only or not ground_masks(self.query).isdisjoint(states))

    def all_states(self, stage: _Stage) -> list[int]:
        """List the states at the starts of all steps of a pattern that runs for ever, as bits."""
        due, coming = 0, stage.landings
        while coming := coming >> self.places:
            due |= coming
        states = []
        for place, move in enumerate(self.laid):
            if place % self.hands == 0:
                states.append(due >> place)
            due |= 1 << place + move.reach if move.reach else 0
        return states

    def to_text(self) -> str:
        texts = [move.text for move in self.laid]
        if self.hands == 1:
            return "".join(texts)
        return "".join(f"({right},{left})" for right, left in zip(texts[::2], texts[1::2], strict=True))


def ground_masks(query: SearchQuery) -> frozenset[int]:
    """Return the ground states as bits, a bit a place; an odd object in sync may be in either hand."""
    lowest = (1 << query.objects) - 1
    if query.hands == 1 or query.objects % 2 == 0:
        return frozenset({lowest})
    return frozenset({lowest, (lowest >> 1) | 1 << query.objects})
