"""Counting: which catch falls on which beat, and how many make a flash and a qualify."""

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
    """Catches in a round, and those that make a flash and a qualify.

    flash = max(objects, catches in one round); qualify = 2 × flash (common practice; the published rules of
    the International Jugglers' Association likewise ask twice as many catches as objects of a qualifying run).
    """

    round: int
    flash: int
    qualify: int

    @classmethod
    def of(cls, score: Score) -> Goals:
        rounds_of_throws = score.pattern.round // score.pattern.period
        in_round = len(score.catch_cells) * rounds_of_throws
        flash = max(score.pattern.objects, in_round)
        return cls(in_round, flash, 2 * flash)

    def reached(self, catches: int) -> tuple[str, ...]:
        """The names of the goals that so many catches have reached."""
        named = (("flash", self.flash), ("qualify", self.qualify))
        return tuple(name for name, needed in named if needed and catches >= needed)


def catches_by(score: Score, beat: Fraction) -> int:
    """How many catches have been made by an exact beat, that beat's own included."""
    period = score.pattern.period
    return sum(max(0, floor((beat - offset) / period) + 1 - rounds_ago) for offset, rounds_ago in score.catch_cells)


def beat_of_catch(score: Score, number: int) -> Fraction | None:
    """The exact beat of a catch, counted from 1; None in a pattern that has none."""
    period = score.pattern.period
    cells = score.catch_cells
    if not cells or number < 1:
        return None
    turn = number // len(cells)
    while True:
        before = catches_by(score, Fraction(turn * period)) - sum(
            1 for offset, rounds_ago in cells if offset == 0 and rounds_ago <= turn
        )
        live = [offset for offset, rounds_ago in cells if rounds_ago <= turn]
        if before < number <= before + len(live):
            return turn * period + live[number - before - 1]
        turn += 1 if number > before else -1


def throws_per_hand(score: Score) -> Fraction:
    """Throws a beat of the hand that throws most, held 2s left out; with a tempo that is the pace of the hand."""
    swaps = score.pattern.swaps_hands
    thrown: dict[tuple[int, Hand], int] = {}
    for throw in score.pattern.throws:
        if not throw.empty and not score.is_held(throw):
            for hand in (throw.hand, throw.hand.other) if swaps else (throw.hand,):
                thrown[throw.juggler, hand] = thrown.get((throw.juggler, hand), 0) + 1
    return Fraction(max(thrown.values(), default=0), score.pattern.period * (2 if swaps else 1))


@dataclass(frozen=True, slots=True)
class Window:
    """A span in which every object is in the air and all hands are empty; both in beats."""

    start_beat: Fraction
    beats: Fraction


def all_up(score: Score) -> tuple[Window, ...]:
    """The all-up windows of one period once the pattern runs: the other meaning of flash."""
    period = score.pattern.period
    held: list[tuple[Fraction, Fraction]] = []
    for throw in score.pattern.throws:
        length = throw.value - score.flight(throw)
        if length >= period:
            return ()
        if not throw.empty:
            start = (throw.beat + score.flight(throw)) % period
            held += [(start, start + length), (start - period, start + length - period)]
    windows = []
    covered_to = Fraction(0)
    for start, stop in sorted(held):
        if start > covered_to:
            windows.append((covered_to, start))
        covered_to = max(covered_to, stop)
    if covered_to < period:
        windows.append((covered_to, Fraction(period)))
    return _join_round_the_end(windows, period) if held else ()


def all_up_spans(score: Score, start_beat: Fraction, stop_beat: Fraction | None) -> Iterator[Window]:
    """The all-up windows of a run in their order that begin before stop_beat and end at start_beat or later.

    Beats are those of the run. What would begin before every object has left a hand for the first time is none yet.
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
    """The windows of a period, and the beat by which every object has left a hand: within the highest value."""
    windows = all_up(score)
    if not windows:
        return (), Fraction(0)
    first: dict[int, Fraction] = {}
    for event in score.events(0, score.pattern.highest + 1):
        if event.kind is EventKind.THROW:
            first.setdefault(event.thing, event.beat)
    return windows, max(first.values())


def _join_round_the_end(windows: list[tuple[Fraction, Fraction]], period: int) -> tuple[Window, ...]:
    """A window that ends with the period and goes on at the start of the next is one."""
    if len(windows) > 1 and windows[0][0] == 0 and windows[-1][1] == period:
        first = windows.pop(0)
        windows[-1] = (windows[-1][0], period + first[1])
    return tuple(Window(start, stop - start) for start, stop in windows)
