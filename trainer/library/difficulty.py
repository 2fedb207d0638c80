"""Difficulty: how hard a pattern is, as a number of points and the parts that add up to it.

The weights are a rule of thumb of our own, made for sorting; they come from no study. Within a family more objects are
always harder. Patterns are compared at the tempo that they start with and a dwell ratio of 2/3.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import sqrt
from typing import Final

from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import Hand, Rhythm
from trainer.timing.flight import DEFAULT_DWELL, apex_m, default_tempo, flight_s

PARTS: Final[dict[str, tuple[float, float]]] = {
    "objects": (2.2, 1.0),  # objects for each juggler
    "hand speed": (1.5, 1.0),  # throws a second by each hand
    "height": (3.0, 0.5),  # metres up, the highest throw
    "spread": (1.0, 0.5),  # metres that the heights differ, as a standard deviation
    "zips": (0.8, 1.0),  # share of the throws that are a 1, handed straight across
    "sync": (0.5, 1.0),  # share of the beats that ask both hands at once
    "multiplex": (2.0, 1.0),  # share of the beats that ask one hand for several objects
    "hold": (-0.5, 1.0),  # share of the beats that are a held 2, a rest for that hand
    "uneven hands": (1.0, 1.0),  # share of the work that one hand has more than the other
    "passes": (1.5, 1.0),  # share of the throws that go to another juggler
    "arms": (1.5, 1.0),  # share of the arms' work that is a path of their own
    "body throws": (3.0, 1.0),  # share of the beats that ask for a throw or a turn of the body
}
"""Part → points for one unit, and the power with which points grow. The comment behind them tells the unit.

Heights have the power 1/2, as the speed of the throw has.
"""

ARMS: Final = {"": 0.0, "reverse": 0.4, "mess": 1.0}


@dataclass(frozen=True, slots=True)
class DifficultyPart:
    """One part of a difficulty, by its name in PARTS."""

    name: str
    points: float


@dataclass(frozen=True, slots=True)
class Difficulty:
    """The points of a pattern, and the parts that add up to them, without those of 0."""

    points: float
    parts: tuple[DifficultyPart, ...]


def to_difficulty(pattern: Pattern, body_share: float = 0.0) -> Difficulty:
    """Return how hard a pattern is. body_share: share of the beats with a cue for the body."""
    measures = _measure(pattern) | {"body throws": body_share}
    parts = tuple(
        DifficultyPart(name, points * measures[name] ** power)
        for name, (points, power) in PARTS.items()
        if measures[name]
    )
    return Difficulty(sum(part.points for part in parts), parts)


def _measure(pattern: Pattern) -> dict[str, float]:
    tempo_bpm = default_tempo(pattern.highest, DEFAULT_DWELL)
    thrown = [throw for throw in pattern.throws if not throw.empty and not throw.held]
    counts = Counter(throw.value for throw in thrown)
    apexes = {value: apex_m(flight_s(value, DEFAULT_DWELL, tempo_bpm)) for value in counts}
    hands = 2 * pattern.jugglers
    work: Counter[Hand] = Counter()
    for throw in thrown:
        work[throw.hand] += throw.value
    total_work = sum(work.values()) or 1
    slots = Counter((throw.beat, throw.juggler, throw.hand) for throw in pattern.throws if not throw.empty)
    beats_of_hands = len({(throw.beat, throw.juggler, throw.hand) for throw in pattern.throws})
    share = 1 / max(1, len(thrown))
    return {
        "objects": pattern.objects / pattern.jugglers,
        "hand speed": len(thrown) / pattern.period * float(tempo_bpm) / 60 / hands,
        "height": max(apexes.values(), default=0.0),
        "spread": _deviation(apexes, counts),
        "zips": counts[1] * share,
        "sync": float(pattern.rhythm is Rhythm.SYNC),
        "multiplex": sum(count > 1 for count in slots.values()) / beats_of_hands,
        "hold": sum(throw.held for throw in pattern.throws) / beats_of_hands,
        "uneven hands": 0.0 if pattern.symmetric else abs(work[Hand.RIGHT] - work[Hand.LEFT]) / total_work,
        "passes": sum(throw.passed for throw in thrown) * share,
        "arms": ARMS[pattern.style],
    }


def _deviation(apexes: dict[int, float], counts: Counter[int]) -> float:
    """Return the standard deviation of the heights of all throws."""
    total = sum(counts.values())
    if not total:
        return 0.0
    mean = sum(apexes[value] * count for value, count in counts.items()) / total
    return sqrt(sum(count * (apexes[value] - mean) ** 2 for value, count in counts.items()) / total)
