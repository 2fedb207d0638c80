"""What a pattern asks for beside its throws, as lines for the practice screen: the time of empty hands, the feet."""

from __future__ import annotations

from fractions import Fraction

from trainer.audio.hearing import SHORTEST_ALL_UP_BEATS
from trainer.timing.carrying import Carriage
from trainer.timing.counting import all_up
from trainer.timing.score import Score
from trainer.timing.tempo import format_number


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
