"""Counting: on which beat each catch falls, and how many catches make a flash and a qualify."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import floor

from trainer.siteswap.throws import Hand
from trainer.timing.score import EventKind, Score


@dataclass(frozen=True, slots=True)
class Goals:
    """The numbers of catches that make a round, a flash and a qualify.

    flash = max(objects, catches in one round); qualify = 2 × flash (common practice; the published rules of the
    International Jugglers' Association likewise ask twice as many catches as objects of a qualifying run).
    """

    round: int
    flash: int
    qualify: int

    @classmethod
    def of(cls, score: Score) -> Goals:
        """Return the goals of a score. All are 0 in a pattern without catches, except for a flash of its objects."""
        rounds_of_throws = score.pattern.round // score.pattern.period
        in_round = len(score.catch_cells) * rounds_of_throws
        flash = max(score.pattern.objects, in_round)
        return cls(in_round, flash, 2 * flash)

    @property
    def named(self) -> tuple[tuple[int, str], ...]:
        """The catches that flash and qualify take, each with its name."""
        return (self.flash, "flash"), (self.qualify, "qualify")

    def reached(self, catches: int) -> tuple[str, ...]:
        """Return the names of the goals that so many catches reach."""
        return tuple(name for needed, name in self.named if needed and catches >= needed)


def catches_by(score: Score, beat: Fraction) -> int:
    """Count the catches up to an exact beat, that beat included."""
    period = score.pattern.period
    return sum(max(0, floor((beat - offset) / period) + 1 - periods_ago) for offset, periods_ago in score.catch_cells)


def beat_of_catch(score: Score, number: int) -> Fraction | None:
    """Return the exact beat of a catch; None in a pattern without catches. number: from 1."""
    cells, period = score.catch_cells, score.pattern.period
    if not cells or number < 1:
        return None
    whole_from = max(periods_ago for _, periods_ago in cells)
    for turn in range(whole_from):  # the first periods lack the catches of throws before the start
        offsets = [offset for offset, periods_ago in cells if periods_ago <= turn]
        if number <= len(offsets):
            return turn * period + offsets[number - 1]
        number -= len(offsets)
    turns, place = divmod(number - 1, len(cells))
    return (whole_from + turns) * period + cells[place][0]


def throws_per_hand(score: Score) -> Fraction:
    """Return the throws a beat of the hand that throws most, without held 2s."""
    swaps = score.pattern.swaps_hands
    thrown: dict[tuple[int, Hand], int] = {}
    for throw in score.pattern.throws:
        if not throw.empty and not score.is_held(throw):
            for hand in (throw.hand, throw.hand.other) if swaps else (throw.hand,):
                thrown[throw.juggler, hand] = thrown.get((throw.juggler, hand), 0) + 1
    return Fraction(max(thrown.values(), default=0), score.pattern.period * (2 if swaps else 1))


@dataclass(frozen=True, slots=True)
class Window:
    """A span of beats in which every object is in the air and all hands are empty."""

    start_beat: Fraction
    beats: Fraction


def all_up(score: Score) -> tuple[Window, ...]:
    """Return the all-up windows of one period of a running pattern, in the order of their beginnings.

    All up is the other meaning of flash.
    """
    period = score.pattern.period
    held: list[tuple[Fraction, Fraction]] = []
    for throw in score.pattern.throws:
        length = throw.value - score.flight(throw)
        if length >= period:
            return ()
        if not throw.empty:
            start = (throw.beat + score.flight(throw)) % period
            held.append((start, start + length))
    windows = []
    held_to = max((stop for _, stop in held), default=Fraction(0)) - period  # by what the period before caught
    for start, stop in sorted(held):
        if start > held_to:
            windows.append(Window(held_to % period, start - held_to))
        held_to = max(held_to, stop)
    return tuple(sorted(windows, key=lambda window: window.start_beat))


def all_up_spans(score: Score, start_beat: Fraction, stop_beat: Fraction | None) -> Iterator[Window]:
    """Yield the all-up windows of a run that begin before stop_beat and end at start_beat or later, in order.

    Beats are counted from the first throw. Windows begin once every object has left a hand.
    """
    period = score.pattern.period
    windows, first_beat = _all_up_and_first(score)
    if not windows:
        return
    turn = max(0, floor((start_beat - 2 * period) / period))
    while stop_beat is None or turn * period < stop_beat:
        for window in windows:
            start = turn * period + window.start_beat
            if start >= first_beat and start + window.beats >= start_beat and (stop_beat is None or start < stop_beat):
                yield Window(start, window.beats)
        turn += 1


@lru_cache(maxsize=16)
def _all_up_and_first(score: Score) -> tuple[tuple[Window, ...], Fraction]:
    """Return the windows of a period, and the beat on which the last object is first thrown."""
    windows = all_up(score)
    if not windows:
        return (), Fraction(0)
    first: dict[int, Fraction] = {}
    for event in score.events(0, score.pattern.highest + 1):
        if event.kind is EventKind.THROW:
            first.setdefault(event.thing, event.beat)
    return windows, max(first.values())
