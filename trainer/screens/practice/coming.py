"""The throws of the coming beats as lanes, one for each hand; nothing here draws."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from trainer.library.entries import Cue
from trainer.siteswap.throws import Hand, Rhythm, value_to_digit
from trainer.timing.score import Event, EventKind, Score

THROWN = (EventKind.THROW, EventKind.HOLD, EventKind.GAP, EventKind.ENTRY)


CROSSES = {Hand.RIGHT: "╲", Hand.LEFT: "╱"}
"""The sign of a crossing throw: into the lane below, or into the one above."""

SAME, STAYS, PASSED, EMPTY = "∩", "▁", "»", "·"
TOLD = {"╲": "╲╱ crosses", SAME: f"{SAME} same hand", STAYS: f"{STAYS} stays", EMPTY: f"{EMPTY} empty"}
"""Sign → what it says, in the order in which it is told; passes beside them, by the number of jugglers."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What a hand does on one beat, as siteswap. drawn: the value and a sign for the kind, of each object.

    faint: nothing, or an object that stays.
    """

    text: str
    faint: bool
    drawn: str


@dataclass(frozen=True, slots=True)
class Lane:
    """The coming beats of one hand of one juggler, now first. side: right or left."""

    label: str
    side: str
    cells: tuple[Cell, ...]


def coming_lanes(score: Score, beat: Fraction | None, beats: int) -> tuple[Lane, ...]:
    """A lane for each hand, as many beats long as asked: from the beat heard now on, or from the first."""
    pattern = score.pattern
    step = pattern.beat_step
    now = 0 if beat is None else floor(beat / step) * step
    stop = now + beats * step
    throws: dict[tuple[int, Hand, int], list[Cell]] = {}
    for event in score.events(now, stop):
        if event.kind in THROWN and event.hand is not None:
            text = value_to_digit(event.value)
            if event.throw >= 0:
                text = pattern.throw_to_text(pattern.throws[event.throw])
            key = (event.juggler, event.hand, (int(event.beat) - now) // step)
            faint = event.kind in (EventKind.HOLD, EventKind.GAP)
            throws.setdefault(key, []).append(Cell(text, faint, _drawn(event, score)))
    lanes = []
    for juggler in range(pattern.jugglers):
        for hand, side in ((Hand.RIGHT, "right"), (Hand.LEFT, "left")):
            row = tuple(_joined(throws.get((juggler, hand, place), ())) for place in range(beats))
            who = side.upper() if pattern.jugglers == 1 else f"{juggler + 1} {side[0].upper()}"
            lanes.append(Lane(who, side, row))
    return tuple(lanes)


def next_cue(cues: tuple[Cue, ...], score: Score, beat: Fraction | None) -> str:
    """The cue whose beat of the round comes next, or is now; before a run the first. Empty if there is none."""
    if not cues:
        return ""
    length = score.pattern.round
    now = 0 if beat is None else floor(beat)
    return str(min(cues, key=lambda cue: (cue.at - 1 - now) % length))


def signs_told(score: Score) -> str:
    """The signs that a pattern's throws have, each with what it says, as one line."""
    pattern = score.pattern
    drawn = "".join(cell.drawn for lane in coming_lanes(score, None, pattern.period + 1) for cell in lane.cells)
    told = [words for sign, words in TOLD.items() if sign in drawn.replace("╱", "╲")]
    if PASSED in drawn:
        told.append(f"{PASSED} passed" if pattern.jugglers == 2 else f"{PASSED}2 passed to 2")
    return "   ".join(told)


def widest_cell(score: Score) -> int:
    """The most characters that one hand's beat is drawn with, at any time."""
    lanes = coming_lanes(score, Fraction(0), score.pattern.period // score.pattern.beat_step * 2)
    return max(len(cell.drawn) for lane in lanes for cell in lane.cells)


def _drawn(event: Event, score: Score) -> str:
    """The value of a throw and a sign for its kind."""
    assert event.hand is not None
    digit = value_to_digit(event.value)
    if event.kind is EventKind.GAP:
        return EMPTY
    if event.kind is EventKind.HOLD:
        return digit + STAYS
    if event.throw < 0:  # of the entry: in async the value says whether it crosses
        odd = score.pattern.rhythm is Rhythm.ASYNC and event.value % 2
        return digit + (CROSSES[event.hand] if odd else "")
    throw = score.pattern.throws[event.throw]
    if throw.passed:
        return digit + PASSED + (str(throw.to_juggler + 1) if score.pattern.jugglers > 2 else "")
    return digit + (CROSSES[event.hand] if throw.crosses else SAME)


def _joined(throws: Sequence[Cell]) -> Cell:
    """The throws of one hand on one beat as one cell; an empty and faint one for none."""
    text, drawn = "".join(each.text for each in throws), "".join(each.drawn for each in throws)
    return Cell(text, all(each.faint for each in throws), drawn)
