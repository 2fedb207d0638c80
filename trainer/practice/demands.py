"""What a pattern asks of the body at a tempo, and which of the juggler's own limits that passes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.timing import flight
from trainer.timing.counting import throws_per_hand
from trainer.timing.score import Score


@dataclass(frozen=True, slots=True)
class Demands:
    """What a rung asks of the body. height_m: of the highest throw above the hands. throws_per_s: of a hand."""

    height_m: float
    throws_per_s: float

    def passed(self, ceiling_m: float | None, most_throws_per_s: float | None) -> tuple[str, ...]:
        """The limits that are passed, a word each; None stands for no limit."""
        too_high = ceiling_m is not None and self.height_m > ceiling_m
        too_quick = most_throws_per_s is not None and self.throws_per_s > most_throws_per_s
        return tuple(word for word, is_passed in (("ceiling", too_high), ("throws/s", too_quick)) if is_passed)

    def warnings(self, ceiling_m: float | None, most_throws_per_s: float | None) -> tuple[str, ...]:
        """The limits that are passed, a line each."""
        lines = {
            "ceiling": f"above your ceiling of {ceiling_m or 0:g} m",
            "throws/s": f"above your {most_throws_per_s or 0:g} throws/s a hand",
        }
        return tuple(lines[each] for each in self.passed(ceiling_m, most_throws_per_s))


def rung_demands(score: Score, tempo_bpm: Fraction) -> Demands:
    """Height (m) and throws a second of the busier hand at a tempo."""
    highest = score.pattern.highest
    height_m = flight.apex_m(flight.flight_s(highest, score.dwell, tempo_bpm)) if highest else 0.0
    return Demands(height_m, float(throws_per_hand(score) * tempo_bpm / 60))
