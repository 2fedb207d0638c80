"""What a pattern asks of hands and feet at a tempo, and which of the juggler's own limits that passes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.audio.hearing import SHORTEST_ALL_UP_BEATS
from trainer.config import Settings
from trainer.timing import flight
from trainer.timing.carrying import Carriage
from trainer.timing.counting import all_up, throws_per_hand
from trainer.timing.score import Score
from trainer.timing.tempo import format_number


@dataclass(frozen=True, slots=True)
class Demands:
    """What a rung asks of the body. height_m: of the highest throw above the hands. throws_per_s: of a hand."""

    height_m: float
    throws_per_s: float

    def passed(self, settings: Settings) -> dict[str, str]:
        """The limits in the settings that are passed: each limit in a word, with a line about it."""
        ceiling_m, most_throws_per_s = settings.ceiling_m, settings.throws_per_s
        found = {}
        if ceiling_m is not None and self.height_m > ceiling_m:
            found["ceiling"] = f"above your ceiling of {ceiling_m:g} m"
        if most_throws_per_s is not None and self.throws_per_s > most_throws_per_s:
            found["throws/s"] = f"above your {most_throws_per_s:g} throws/s a hand"
        return found


def rung_demands(score: Score, tempo_bpm: Fraction) -> Demands:
    """Height (m) and throws a second of the busier hand at a tempo."""
    highest = score.pattern.highest
    height_m = flight.apex_m(flight.flight_s(highest, score.dwell, tempo_bpm)) if highest else 0.0
    return Demands(height_m, float(throws_per_hand(score) * tempo_bpm / 60))


def all_up_line(score: Score, tempo_bpm: Fraction) -> str:
    """How long all hands are empty at a time, at most; empty where that is never for a beat."""
    longest = max((window.beats for window in all_up(score)), default=Fraction(0))
    if longest < SHORTEST_ALL_UP_BEATS:
        return ""
    return f"hands empty for {float(longest * 60 / tempo_bpm):.2f} s"


def feet_line(carriage: Carriage, tempo_bpm: Fraction, stride_m: float) -> str:
    """Cadence and pace of juggling on the run; empty for standing."""
    cadence = carriage.steps_a_minute(tempo_bpm)
    pace = carriage.pace_km_h(tempo_bpm, stride_m)
    if cadence is None or not pace:
        return ""
    minutes, seconds = divmod(round(3600 / pace), 60)
    return f"{format_number(cadence)} steps/min, {pace:.1f} km/h, {minutes}:{seconds:02}/km"
