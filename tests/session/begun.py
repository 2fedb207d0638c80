"""A hall in which a run is under way, and the catches that are due in it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from tests.session.hall import Hall
from trainer.config import Settings

THROWN = {
    # pattern → period in beats, and (beat, value) of each throw that leaves a hand; written down by hand
    "3": (1, [(0, 3)]),
    "531": (3, [(0, 5), (1, 3), (2, 1)]),
    "(4,4)": (2, [(0, 4), (0, 4)]),
    "(4x,2x)": (2, [(0, 4), (0, 2)]),
    "[43]23": (3, [(0, 4), (0, 3), (2, 3)]),
    "<3p 3|3p 3>": (2, [(0, 3), (1, 3), (0, 3), (1, 3)]),
}
DWELL = Fraction(2, 3)
REACTION_S = 0.3
BOUNCES_S = (0.004, 0.009)


def catches_due(pattern: str, beat: float) -> int:
    """Catches up to a beat: model, catch at t + n − r · min(n, 2), and again each period."""
    period, throws = THROWN[pattern]
    first = [at + value - DWELL * min(value, 2) for at, value in throws]
    return sum(int((Fraction(beat) - each) // period) + 1 for each in first if each <= beat)


def begun(
    folder: Path, pattern: str = "3", tempo_bpm: int = 240, settings: Settings | None = None
) -> tuple[Hall, float]:
    """A hall in which a run was started at 1 s, and the second its first throw is heard."""
    hall = Hall(folder, pattern, tempo_bpm, settings)
    hall.press(1.0)
    return hall, hall.first_beat_s(1.0)
