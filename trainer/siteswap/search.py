"""Search: every pattern of so many objects and beats, found throw by throw and never by trying all texts.

A pattern is a permutation: the places of one period, each where a hand throws, are matched one to one with
the places where the throws come down (Buhler, Eisenbud, Graham & Wright, Amer. Math. Monthly 101 (1994)
507-519). In async a place is a beat; in sync the right hand's and the left hand's places of a pair follow each
other, so that there too one place throws at a time. `reach` is how many places on a throw comes down; the
average reach is the number of objects, whichever the rhythm.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice
from typing import NamedTuple

from trainer.errors import TrainerError
from trainer.siteswap.throws import HIGHEST_VALUE, Rhythm, value_to_digit

LONGEST_PERIOD = 100
STAGES_A_PULSE = 1000
"""Throws laid between two signs of life of a search that has found nothing: some milliseconds."""

HANDS = {Rhythm.ASYNC: 1, Rhythm.SYNC: 2}
"""Places a step: in async each beat is one, in sync both hands throw at once, every second beat."""


class SearchError(TrainerError):
    """A search that can find nothing whatever the patterns are, such as an odd number of beats in sync."""


class Only(StrEnum):
    """What may be asked of the patterns beside their size."""

    GROUND = "ground"
    PRIME = "prime"
    NO_ZIP = "no zip"


@dataclass(frozen=True, slots=True)
class SearchQuery:
    """What to look for.

    period: beats, exactly: a shorter pattern repeated is not listed. highest, lowest: bounds on every throw
    value; highest None is the highest there is. contains: values that occur, as often as they are named.
    Multiplex and passing are not searched. Raises SearchError for a size there is no pattern of.
    """

    objects: int
    period: int
    highest: int | None = None
    lowest: int = 0
    rhythm: Rhythm = Rhythm.ASYNC
    only: frozenset[Only] = frozenset()
    contains: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if self.rhythm not in HANDS:
            raise SearchError("Passing patterns were asked for; ask for async or sync ones.")
        if not 0 <= self.objects <= HIGHEST_VALUE:
            raise SearchError(f"{self.objects} objects were asked for; choose a number from 0 to {HIGHEST_VALUE}.")
        if not 1 <= self.period <= LONGEST_PERIOD:
            raise SearchError(f"A period of {self.period} was asked for; choose one from 1 to {LONGEST_PERIOD} beats.")
        if self.rhythm is Rhythm.SYNC and self.period % 2:
            raise SearchError(f"A sync period of {self.period} was asked for; two beats a pair make it even.")
        for name, value in (("highest", self.highest), ("lowest", self.lowest)):
            if value is not None and not 0 <= value <= HIGHEST_VALUE:
                raise SearchError(f"A {name} throw of {value} was asked for; choose one from 0 to {HIGHEST_VALUE}.")
        for value in self.contains:
            if not 0 <= value <= HIGHEST_VALUE:
                raise SearchError(f"A throw of {value} was asked for; values go from 0 to {HIGHEST_VALUE}.")

    @property
    def hands(self) -> int:
        """Places a step: 1 in async, 2 in sync."""
        return HANDS[self.rhythm]

    @property
    def places(self) -> int:
        """Places in a period: as many as beats, in either rhythm."""
        return self.period

    @property
    def top(self) -> int:
        """The highest value any pattern asked for can have.

        All values add up to objects × period, and a ground pattern's throws all come down before the end of
        the ground state that follows its period.
        """
        top = min(HIGHEST_VALUE if self.highest is None else self.highest, self.objects * self.period)
        return min(top, self.objects + self.period + self.hands - 2) if Only.GROUND in self.only else top


class Move(NamedTuple):
    """One way to throw from a place: in the order of rank a pattern's rotations are compared."""

    rank: int
    reach: int
    value: int
    text: str


def moves(query: SearchQuery) -> tuple[tuple[Move, ...], ...]:
    """For each hand's places what it may throw, the lowest first. A zip is a 1, in sync a 2 that crosses."""
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


def find_patterns(query: SearchQuery, limit: int | None = None) -> Iterator[str]:
    """The texts of the patterns, each once, from its highest rotation, in rising order; lazily.

    Rotations by whole steps are one pattern; a sync pattern and its mirror image are two.
    """
    return islice((text for text in survey(query) if text is not None), limit)


def survey(query: SearchQuery) -> Iterator[str | None]:
    """As find_patterns, with a None now and then while nothing is found, so that whoever asked can stop."""
    return _Search(query).run()


class _Stage(NamedTuple):
    """What follows from the throws laid so far.

    filled: bits, the places of the period at which, round after round, something comes down. landings: bits,
    the places from the start on at which a throw that is laid comes down. unseen: objects not yet thrown.
    left: what the reaches still to be laid add up to. back: how many places ago the throws stand above which
    this step must not rise. tied: whether the step so far equals those.
    """

    filled: int
    landings: int
    unseen: int
    left: int
    back: int
    tied: bool


class _Search:
    """Lays throws from left to right and turns back as soon as they cannot become a pattern.

    Only sequences no lower than their own rotations are laid (prenecklaces: Fredricksen & Maiorana, Discrete
    Math. 23 (1978) 207-210), so each pattern comes once and nothing that was found has to be remembered.
    """

    def __init__(self, query: SearchQuery) -> None:
        self.query = query
        self.moves = moves(query)
        self.places = query.places
        self.hands = query.hands
        self.wanted = Counter(query.contains)
        self.laid: list[Move] = []
        self.states: set[int] = set()
        self.stages = 0
        reaches = [move.reach for hand in self.moves for move in hand]
        self.nearest, self.farthest = min(reaches, default=0), max(reaches, default=0)

    def run(self) -> Iterator[str | None]:
        objects = self.query.objects
        return self.lay(_Stage(0, 0, objects, objects * self.places, self.hands, False))

    def lay(self, stage: _Stage) -> Iterator[str | None]:
        """Every pattern that begins with what is laid."""
        place = len(self.laid)
        if self.missing() > self.places - place or stage.unseen > max(0, self.farthest_now() - place):
            return  # whatever is due after the farthest reach of a throw has been thrown since the start
        self.stages += 1
        if self.stages % STAGES_A_PULSE == 0:
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
        """The throws that may stand here: not above the tie, onto a free place, and with a sum that can be met."""
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
        """The farthest reach from here on: in async no throw rises above the first."""
        return self.laid[0].reach if self.hands == 1 and self.laid else self.farthest

    def missing(self) -> int:
        """How many of the values asked for are not laid yet."""
        return (self.wanted - Counter(move.value for move in self.laid)).total() if self.wanted else 0

    def known_state(self, stage: _Stage, place: int) -> int | None:
        """The landing schedule at the start of a step, as bits, where every object has been thrown by then.

        Only a search for prime patterns asks for it: the same one twice ends the attempt.
        """
        if Only.PRIME not in self.query.only or stage.unseen or place % self.hands:
            return None
        return stage.landings >> place

    def fits(self, stage: _Stage) -> bool:
        """Whether a whole pattern is what was asked for."""
        only = self.query.only
        if not only & {Only.PRIME, Only.GROUND}:
            return True
        states = self.all_states(stage)
        prime = Only.PRIME not in only or len(set(states)) == len(states)
        return prime and (Only.GROUND not in only or not ground_masks(self.query).isdisjoint(states))

    def all_states(self, stage: _Stage) -> list[int]:
        """The landing schedules at the starts of all steps, as bits, the pattern having run for ever."""
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
    """The states of the plain cascade or fountain, a bit a place; in sync an odd object may be in either hand."""
    lowest = (1 << query.objects) - 1
    if query.hands == 1 or query.objects % 2 == 0:
        return frozenset({lowest})
    return frozenset({lowest, (lowest >> 1) | 1 << query.objects})
