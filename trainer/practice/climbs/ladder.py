"""Ladders: the rungs of a climb, either one pattern at rising tempos or one family with rising numbers of objects."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.practice.guide import Aim, goal_to_aim
from trainer.records.courses import ClimbKind
from trainer.siteswap.families import FAMILIES, Family, Impossible
from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import HIGHEST_VALUE, value_to_digit
from trainer.timing import flight
from trainer.timing.counting import Goals, throws_per_hand
from trainer.timing.score import Score
from trainer.timing.tempo import FASTEST_BPM, SLOWEST_BPM, format_number, require_tempo

DEEPEST = Fraction(1, 4)
"""A tempo climb goes down to no less than this share of its start, and by no more than MOST_RUNGS rungs."""

GRAIN = 10
"""Tempos reached by percent steps are rounded to this part of a beat per minute, so that people can say them."""

PLAIN = "plain"
"""The family of cascades and fountains, which has every number of objects."""

MOST_RUNGS = 400

ToScore = Callable[[Choice], Score]
"""Gives the score of a pattern as the settings have it."""


@dataclass(frozen=True, slots=True)
class Rung:
    """One rung: a pattern, its tempo, and what a try there aims at."""

    choice: Choice
    tempo_bpm: Fraction
    aim: Aim


@dataclass(frozen=True, slots=True)
class TempoStep:
    """How far a tempo climb steps: amount, in beats per minute, or of_tempo, a share of the tempo."""

    amount: Fraction
    of_tempo: Fraction = Fraction(0)

    def __str__(self) -> str:
        return f"{format_number(self.of_tempo * 100)}%" if self.of_tempo else format_number(self.amount)


def text_to_step(text: str) -> TempoStep:
    """A step as typed: “5” beats per minute or “3%”. Raises TrainerError for anything else."""
    found = re.fullmatch(r"\s*(\d{1,4}(?:[.,]\d{1,3})?)\s*(%?)\s*", text)
    amount = Fraction(found[1].replace(",", ".")) if found else Fraction(0)
    if found is None or not 0 < amount <= (50 if found[2] else 500):
        raise TrainerError(f"“{text.strip()}” was no step of a climb. Write beats per minute such as 5, or such as 3%.")
    return TempoStep(Fraction(0), amount / 100) if found[2] else TempoStep(amount)


@dataclass(frozen=True)
class TempoLadder:
    """One pattern, quicker from rung to rung. target_bpm: the tempo of the last rung, None for no last one."""

    choice: Choice
    start_bpm: Fraction
    step: TempoStep
    aim: Aim
    target_bpm: Fraction | None = None
    kind: ClimbKind = ClimbKind.TEMPO

    def __post_init__(self) -> None:
        require_tempo(self.start_bpm)
        if self.target_bpm is not None and require_tempo(self.target_bpm) <= self.start_bpm:
            raise TrainerError(
                f"The target of {format_number(self.target_bpm)} beats/min was not above the start of "
                f"{format_number(self.start_bpm)}. A climb goes up: start lower, or aim higher."
            )
        if self._tempo(MOST_RUNGS) < (self.target_bpm or 0):
            raise TrainerError(f"Steps of {self.step} make more than {MOST_RUNGS} rungs. Choose larger ones.")

    @cached_property
    def first(self) -> int:
        """The number of the lowest rung."""
        lowest_bpm = max(SLOWEST_BPM, self.start_bpm * DEEPEST)
        numbers = range(0, -MOST_RUNGS, -1)
        return next((number for number in numbers if self._tempo(number - 1) < lowest_bpm), -MOST_RUNGS)

    @cached_property
    def last(self) -> int | None:
        """The number of the highest rung, which has the target; None for no highest."""
        target_bpm = self.target_bpm or FASTEST_BPM
        return next((number for number in range(MOST_RUNGS + 1) if self._tempo(number) >= target_bpm), None)

    def rung(self, number: int) -> Rung:
        """The rung with a number."""
        return Rung(self.choice, min(self._tempo(number), self.target_bpm or FASTEST_BPM), self.aim)

    def label(self, number: int) -> str:
        """A short name of a rung: its tempo."""
        return format_number(self.rung(number).tempo_bpm)

    def _tempo(self, number: int) -> Fraction:
        if not self.step.of_tempo:
            return self.start_bpm + number * self.step.amount
        exact = float(self.start_bpm) * float(1 + self.step.of_tempo) ** number
        return Fraction(round(exact * GRAIN), GRAIN) if number else self.start_bpm


@dataclass(frozen=True)
class ObjectLadder:
    """One family, an object or two more from rung to rung: those numbers of objects that there are."""

    rungs: tuple[Rung, ...]
    kind: ClimbKind = ClimbKind.OBJECTS
    first: int = 0

    @property
    def last(self) -> int:
        """The number of the highest rung."""
        return len(self.rungs) - 1

    def rung(self, number: int) -> Rung:
        """The rung with a number."""
        return self.rungs[number]

    def label(self, number: int) -> str:
        """A short name of a rung: its number of objects."""
        return str(self.rungs[number].choice.pattern.objects)


Ladder = TempoLadder | ObjectLadder
"""Rungs by their number; a climb starts on rung 0."""


class RungBy(StrEnum):
    """What stays the same from rung to rung of an object climb, and gives each its tempo."""

    TEMPO = "tempo"
    HEIGHT = "height"
    HAND = "hand"


def family_of(choice: Choice) -> str | None:
    """The family a pattern is of: PLAIN for a cascade or fountain, a name of families.FAMILIES, None for none.

    What is bounced, carried in a style or on the run is of none: the other numbers of objects would be tossed.
    """
    pattern = choice.pattern
    if pattern.style or (choice.entry is not None and not choice.entry.is_plain):
        return None
    if pattern.objects <= HIGHEST_VALUE and pattern == parse(value_to_digit(pattern.objects)):
        return PLAIN
    return next((family.names[0] for family in FAMILIES if _is_member(pattern, family)), None)


def _is_member(pattern: Pattern, family: Family) -> bool:
    body = family.body(pattern.objects)
    return not isinstance(body, Impossible) and "?" not in body and parse(body).throws == pattern.throws


def members(family: str, fewest: int, most: int, to_choice: Callable[[str], Choice]) -> tuple[Choice, ...]:
    """The patterns that a family has from the fewest objects to the most, each once."""
    bodies = {each.names[0]: each.body for each in FAMILIES}
    found: dict[str, Choice] = {}
    for objects in range(max(1, fewest), min(most, HIGHEST_VALUE) + 1):
        body = "" if family == PLAIN else bodies[family](objects)
        if isinstance(body, Impossible) or "?" in body:
            continue
        try:
            choice = to_choice(body or f"{objects} {'cascade' if objects % 2 else 'fountain'}")
        except NotationError:  # throws above the highest value there is
            continue
        found.setdefault(choice.pattern.text, choice)
    return tuple(found.values())


def object_ladder(
    patterns: tuple[Choice, ...], start_bpm: Fraction, rung_by: RungBy, goal: str, to_score: ToScore
) -> ObjectLadder:
    """The rungs of an object climb, a pattern each; the first has its tempo given, the others by what stays the same.

    height: the highest throw goes as high as on the first rung. hand: each hand makes as many throws a second as
    there (the busier hand, held 2s left out), our reading of hand speed: the path of a hand is about as long for
    every throw, so its speed goes with their number. For cascades and fountains that is the same tempo.
    """
    if not patterns:
        raise TrainerError("There is no rung to climb: no pattern of this family has so many objects.")
    require_tempo(start_bpm)
    first = to_score(patterns[0])
    rungs = []
    for choice in patterns:
        score = to_score(choice)
        tempo_bpm = _rung_tempo(score, first, start_bpm, rung_by)
        rungs.append(Rung(choice, tempo_bpm, goal_to_aim(goal, Goals.of(score))))
    return ObjectLadder(tuple(rungs))


def _rung_tempo(score: Score, first: Score, start_bpm: Fraction, rung_by: RungBy) -> Fraction:
    if rung_by is RungBy.TEMPO:
        return start_bpm
    if rung_by is RungBy.HAND:
        ratio = throws_per_hand(first) / (throws_per_hand(score) or 1)
    else:  # as long in the air is as high
        ratio = flight.flight_beats(score.pattern.highest, score.dwell) / flight.flight_beats(
            first.pattern.highest, first.dwell
        )
    return Fraction(min(max(round(start_bpm * ratio), int(SLOWEST_BPM)), int(FASTEST_BPM)))
