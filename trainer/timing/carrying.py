"""Carriage: what a pattern has besides its throws, the floor that they bounce off and the feet that run."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.timing import flight
from trainer.timing.bounce import Bounce, BounceStyle, flight_to_bounce
from trainer.timing.score import Score
from trainer.timing.tempo import TempoError

FLOOR_GRAIN = 10**6
"""Parts of a beat to which the seconds of a floor hit are rounded, as a score needs exact beats."""

HAND_HEIGHT_M = 1.0
RESTITUTION = 0.9
"""Coefficient of restitution of a lively rubber ball on a hard floor (from memory)."""


@dataclass(frozen=True, slots=True)
class Carriage:
    """How a pattern is carried: tossed or bounced, standing or running.

    bounce: None for tossing. hand_m, restitution: as for flight_to_bounce. throws_per_step: None for standing; a tempo
    of T beats a minute and k throws a step make S = T / k steps a minute.
    """

    bounce: BounceStyle | None = None
    hand_m: float = HAND_HEIGHT_M
    restitution: float = RESTITUTION
    throws_per_step: Fraction | None = None

    def bounces(self, score: Score, tempo_bpm: Fraction) -> dict[int, Bounce]:
        """Return throw value → its bounce, for the values that can be bounced; the others are tossed."""
        found: dict[int, Bounce] = {}
        if self.bounce is None:
            return found
        for value in sorted({throw.value for throw in score.pattern.throws if score.flight(throw) > 0}):
            try:
                found[value] = flight_to_bounce(
                    self.bounce, flight.flight_s(value, score.dwell, tempo_bpm), self.hand_m, self.restitution
                )
            except TempoError:
                continue  # `trouble` tells of the highest throw
        return found

    def apply(self, score: Score, tempo_bpm: Fraction) -> Score:
        """Return the score with its floor hits and steps at a tempo; apply it again when tempo or dwell change."""
        hits = tuple(
            (value, Fraction(round(bounce.floor_s * float(tempo_bpm) / 60 * FLOOR_GRAIN), FLOOR_GRAIN))
            for value, bounce in self.bounces(score, tempo_bpm).items()
        )
        return replace(score, floor_beats=hits, step_beats=self.throws_per_step)

    def trouble(self, score: Score, tempo_bpm: Fraction) -> str:
        """Say why the highest throw cannot be bounced at a tempo and what to change; empty if it can."""
        if self.bounce is None or not score.pattern.highest:
            return ""
        try:
            length_s = flight.flight_s(score.pattern.highest, score.dwell, tempo_bpm)
            flight_to_bounce(self.bounce, length_s, self.hand_m, self.restitution)
        except TempoError as error:
            return str(error)
        return ""

    def steps_a_minute(self, tempo_bpm: Fraction) -> Fraction | None:
        """Return the cadence of the feet at a tempo; None for standing."""
        return tempo_bpm / self.throws_per_step if self.throws_per_step else None

    def pace_km_h(self, tempo_bpm: Fraction, stride_m: float) -> float | None:
        """Return the speed of the run with steps of stride_m metres; None for standing."""
        cadence = self.steps_a_minute(tempo_bpm)
        return float(cadence) * stride_m * 60 / 1000 if cadence is not None else None
