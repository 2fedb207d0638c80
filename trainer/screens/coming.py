"""What comes next: the throws of the coming beats, laid out in a lane for each hand. Pure, no screen needed."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import floor

from trainer.explanation import throw_to_text
from trainer.library.entries import Cue
from trainer.siteswap.throws import Hand, value_to_digit
from trainer.timing.score import Kind, Score

THROWN = (Kind.THROW, Kind.HOLD, Kind.GAP, Kind.ENTRY)


@dataclass(frozen=True, slots=True)
class Cell:
    """What a hand does on one beat; faint: nothing, or an object that stays."""

    text: str = ""
    faint: bool = True


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
    cells: dict[tuple[int, Hand, int], list[tuple[str, bool]]] = {}
    for event in score.events(now, stop):
        if event.kind in THROWN and event.hand is not None:
            text = value_to_digit(event.value)
            if event.throw >= 0:
                text = throw_to_text(pattern.throws[event.throw], pattern)
            key = (event.juggler, event.hand, (int(event.beat) - now) // step)
            cells.setdefault(key, []).append((text, event.kind in (Kind.HOLD, Kind.GAP)))
    lanes = []
    for juggler in range(pattern.jugglers):
        for hand, side in ((Hand.RIGHT, "right"), (Hand.LEFT, "left")):
            row = tuple(_to_cell(cells.get((juggler, hand, place), ())) for place in range(beats))
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


def _to_cell(throws: list[tuple[str, bool]] | tuple[()]) -> Cell:
    if not throws:
        return Cell()
    text = "".join(text for text, _ in throws)
    return Cell(text, all(faint for _, faint in throws))
