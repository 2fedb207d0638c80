"""The score: what each hand does at which exact beat when a pattern is juggled, as a stream of events."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property
from heapq import merge
from math import ceil, floor
from typing import NamedTuple

from trainer.siteswap.pattern import Pattern
from trainer.siteswap.states import Link
from trainer.siteswap.throws import Hand, Rhythm, Throw
from trainer.timing.flight import DEFAULT_DWELL, flight_beats, require_dwell


class EventKind(StrEnum):
    """The kinds of events. Events of one beat come in the order of this list."""

    COUNT_IN = "count-in"
    ENTRY = "entry"
    STEP = "step"
    ROUND = "round"
    THROW = "throw"
    HOLD = "hold"
    GAP = "gap"
    FLOOR = "floor"
    CATCH = "catch"
    UP = "up"
    DOWN = "down"
    GOAL = "goal"


class Twos(StrEnum):
    """Whether a 2 to the same hand is an object that stays there or a small throw."""

    HELD = "held"
    ACTIVE = "active"


ORDER = {kind: place for place, kind in enumerate(EventKind)}


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happens at an exact beat, counted from the first throw.

    juggler, hand: of a catch or a floor hit those that catch, otherwise those that throw. value: of the throw that is
    made or caught. throw: index in the pattern's throws, -1 for none. thing: number of the object from 0, -1 for
    none. name: of a goal.
    """

    beat: Fraction
    kind: EventKind
    juggler: int = 0
    hand: Hand | None = None
    value: int = 0
    throw: int = -1
    thing: int = -1
    name: str = ""


@dataclass(frozen=True, slots=True)
class _Cell:
    """An event of each period: its offset from the start, and how many periods earlier its throw was made."""

    offset: Fraction
    kind: EventKind
    throw: int
    periods_ago: int


class EntryThrow(NamedTuple):
    """A throw of the entry: its beat, below 0, its value and its hands."""

    beat: int
    value: int
    hand: Hand
    to_hand: Hand


@dataclass(frozen=True)
class Score:
    """A pattern and how it is juggled, in beats, without a tempo.

    dwell: share of a hand's cycle in which it holds an object, between 0 and 1; raises TempoError otherwise. entry:
    throws that lead from the cascade or fountain into the pattern, on the beats before 0; their catches are not
    counted. floor_beats: values that bounce, each with the beats from the throw to the floor. step_beats: beats from
    one step of the feet to the next; None for standing.
    """

    pattern: Pattern
    dwell: Fraction = DEFAULT_DWELL
    start_hand: Hand = Hand.RIGHT
    twos: Twos = Twos.HELD
    entry: Link | None = None
    floor_beats: tuple[tuple[int, Fraction], ...] = ()
    step_beats: Fraction | None = None

    def __post_init__(self) -> None:
        require_dwell(self.dwell)

    def events(self, start_beat: Fraction | int = 0, stop_beat: Fraction | int | None = None) -> Iterator[Event]:
        """Yield the events from start_beat on and before stop_beat in order; without end for a stop_beat of None."""
        for throw in self.entry_throws:
            if start_beat <= throw.beat and (stop_beat is None or throw.beat < stop_beat):
                yield Event(Fraction(throw.beat), EventKind.ENTRY, hand=throw.hand, value=throw.value)
        played = self._played(max(Fraction(start_beat), Fraction(0)), stop_beat)
        steps = self._steps(max(Fraction(start_beat), Fraction(0)), stop_beat)
        yield from merge(steps, played, key=lambda event: event.beat) if self.step_beats else played

    @property
    def lead_beats(self) -> int:
        """Beats of the entry before the pattern's first throw."""
        return self.entry.steps * self.pattern.beat_step if self.entry else 0

    @property
    def entry_throws(self) -> tuple[EntryThrow, ...]:
        """The throws of the entry; in async the beat decides the hands, in sync the link's channels."""
        step, sync = self.pattern.beat_step, self.pattern.rhythm is Rhythm.SYNC
        found = []
        for throw in self.entry.throws if self.entry else ():
            beat, value = throw.step * step - self.lead_beats, throw.height * step
            rights = (throw.channel == 0, throw.to_channel == 0) if sync else (beat % 2 == 0, (beat + value) % 2 == 0)
            hand, to_hand = (self.start_hand if right else self.start_hand.other for right in rights)
            found.append(EntryThrow(beat, value, hand, to_hand))
        return tuple(found)

    def _steps(self, start_beat: Fraction, stop_beat: Fraction | int | None) -> Iterator[Event]:
        if not self.step_beats:
            return
        number = ceil(start_beat / self.step_beats)
        while stop_beat is None or number * self.step_beats < stop_beat:
            yield Event(number * self.step_beats, EventKind.STEP)
            number += 1

    def _played(self, start_beat: Fraction, stop_beat: Fraction | int | None) -> Iterator[Event]:
        period = self.pattern.period
        turn = max(0, floor(Fraction(start_beat) / period))
        while stop_beat is None or turn * period < stop_beat:
            start = turn * period
            if start % self.pattern.round == 0 and start_beat <= start:
                yield Event(Fraction(start), EventKind.ROUND, hand=self.hand(self.pattern.throws[0].hand, turn))
            for cell in self._cells:
                beat = start + cell.offset
                if beat < start_beat or cell.periods_ago > turn:
                    continue
                if stop_beat is not None and beat >= stop_beat:
                    return
                yield self._event(beat, cell, turn)
            turn += 1

    def is_held(self, throw: Throw) -> bool:
        """Tell whether a throw is a 2 that stays in the hand in this score."""
        return throw.held and self.twos is Twos.HELD

    def flight(self, throw: Throw) -> Fraction:
        """Return the beats that a throw is in the air: 0 for a held 2 and an empty hand."""
        return Fraction(0) if throw.empty or self.is_held(throw) else flight_beats(throw.value, self.dwell)

    @cached_property
    def catch_cells(self) -> tuple[tuple[Fraction, int], ...]:
        """The catches of a period in order: offset in beats, and how many periods earlier the throw was made."""
        return tuple((cell.offset, cell.periods_ago) for cell in self._cells if cell.kind is EventKind.CATCH)

    @cached_property
    def _cells(self) -> tuple[_Cell, ...]:
        cells = []
        for index, throw in enumerate(self.pattern.throws):
            kind = EventKind.GAP if throw.empty else EventKind.HOLD if self.is_held(throw) else EventKind.THROW
            cells.append(_Cell(Fraction(throw.beat), kind, index, 0))
            if kind is EventKind.THROW:
                rounds, offset = divmod(throw.beat + self.flight(throw), self.pattern.period)
                cells.append(_Cell(Fraction(offset), EventKind.CATCH, index, int(rounds)))
                if throw.value in dict(self.floor_beats):
                    rounds, offset = divmod(throw.beat + dict(self.floor_beats)[throw.value], self.pattern.period)
                    cells.append(_Cell(Fraction(offset), EventKind.FLOOR, index, int(rounds)))
        return tuple(sorted(cells, key=lambda cell: (cell.offset, ORDER[cell.kind], cell.throw)))

    @cached_property
    def _things(self) -> dict[int, tuple[int, int, int]]:
        """Throw → first object of its orbit, objects in that orbit, and periods from the orbit's first throw to it."""
        found: dict[int, tuple[int, int, int]] = {}
        first_thing = 0
        for orbit in self.pattern.orbits():
            share = self.pattern.orbit_objects(orbit)
            periods = 0
            for index in orbit:
                found[index] = (first_thing, share, periods)
                periods += self.pattern.throws[index].lands // self.pattern.period
            first_thing += share
        return found

    def thing(self, throw: int, turn: int) -> int:
        """Return the number of the object that a throw of the pattern throws in its turn-th period; -1 for none."""
        if throw not in self._things:
            return -1
        first, share, periods = self._things[throw]
        return first + (turn - periods) % share

    def hand(self, hand: Hand, turn: int) -> Hand:
        """Return the hand that acts in the turn-th period where the pattern as written names `hand`."""
        mirrored = (self.pattern.swaps_hands and turn % 2 == 1) != (self.start_hand is Hand.LEFT)
        return hand.other if mirrored else hand

    def _event(self, beat: Fraction, cell: _Cell, turn: int) -> Event:
        throw = self.pattern.throws[cell.throw]
        thrown_turn = turn - cell.periods_ago
        caught = cell.kind in (EventKind.CATCH, EventKind.FLOOR)
        return Event(
            beat,
            cell.kind,
            throw.to_juggler if caught else throw.juggler,
            self.hand(throw.to_hand if caught else throw.hand, thrown_turn),
            throw.value,
            cell.throw,
            self.thing(cell.throw, thrown_turn),
        )
