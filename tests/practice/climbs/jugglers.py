"""Simulated jugglers, and a climb carried out by one: for the tests and for tests/bench/climbs.py."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction
from math import exp, log, sqrt
from random import Random

from trainer.library.catalogue import Choice
from trainer.practice.climbs.climb import Climb
from trainer.practice.climbs.ladder import TempoLadder, TempoStep
from trainer.practice.guide import Aim, Guide
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.siteswap.families import parse_any

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
THREE = Choice(parse_any("3"))
LOGIT = log(sqrt(0.5) / (1 - sqrt(0.5)))
"""Of 70.7 %: where up after 2, down after 1 comes to rest (Levitt 1971)."""


@dataclass(frozen=True)
class Juggler:
    """Succeeds by a logistic curve in tempo: 70.7 % of the time at `middle` beats/min; scale: in beats/min.

    lapse: the share of tries lost at any tempo, as by a stumble.
    """

    middle: float
    scale: float
    lapse: float = 0.0

    def holds(self, tempo_bpm: float, chance: Random) -> bool:
        return chance.random() < (1 - self.lapse) / (1 + exp(min((tempo_bpm - self.middle) / self.scale - LOGIT, 700)))

    @property
    def held_707(self) -> float:
        """The tempo held 70.7 % of the time, the stumbles included."""
        return self.middle + self.scale * (LOGIT + log((1 - self.lapse) / sqrt(0.5) - 1))


def attempt_of(guide: Guide, catches: int | None, **fields: object) -> Attempt:
    """An attempt at the task of a guide."""
    task = guide.task
    assert task is not None
    assert task.choice is not None
    pattern = task.choice.pattern
    given: dict[str, object] = {
        "session_id": 1, "started_at": NOON, "pattern": pattern.text, "objects": pattern.objects,
        "tempo": task.tempo_bpm, "dwell": Fraction(2, 3), "flash_at": pattern.objects, "counted_by": CountedBy.BEAT,
        "qualify_at": 2 * pattern.objects, "catches": catches, "seconds": 2.0, "ended": Ended.DROP,
        "name": task.choice.entry.title if task.choice.entry else None,
    } | fields  # fmt: skip
    return Attempt(**given)  # type: ignore[arg-type]


def tempo_ladder(start: float, step: str | float, target: float | None = None) -> TempoLadder:
    """A ladder of the 3 cascade, each try aiming at 6 catches."""
    by = TempoStep(Fraction(0), Fraction(step[:-1]) / 100) if isinstance(step, str) else TempoStep(Fraction(step))
    return TempoLadder(THREE, Fraction(start), by, Aim(catches=6), None if target is None else Fraction(target))


def climbed(climb: Climb, juggler: Juggler, chance: Random, most: int = 400) -> Climb:
    """The climb to its end, or so many tries."""
    for _ in range(most):
        if climb.task is None:
            break
        held = juggler.holds(float(climb.rung.tempo_bpm), chance)
        climb = climb.after(attempt_of(climb, 6 if held else 2), 0.0)
    return climb
