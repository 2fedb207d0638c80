"""Calibration: how far a juggler's own taps lie from the beats as the trainer believes they are heard.

What is found is the sound's unknown delay and the juggler's habit together (people tap a little ahead of a beat);
set as latency, taps and beats fall together for this juggler on this machine.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import median

TAPS_IGNORED = 4
"""So many first taps are not measured: the juggler still finds the beat."""

FEWEST_TAPS = 8
MAD_TO_SPREAD = 1.4826
"""Median absolute deviation × this = standard deviation of a normal spread (textbook constant, 1 / Φ⁻¹(3/4))."""


@dataclass(frozen=True, slots=True)
class Latency:
    """offset_s: median of tap − beat, positive for taps behind. spread_s: of one tap, robust. taps: how many count."""

    offset_s: float
    spread_s: float
    taps: int


@dataclass(frozen=True, slots=True)
class Calibration:
    """Taps to a steady beat. first_beat_s: when beat 0 is believed to be heard. beat_s: seconds a beat."""

    first_beat_s: float
    beat_s: float
    offsets_s: tuple[float, ...] = ()

    def tap(self, at_s: float) -> Calibration:
        """Add a tap, measured against the beat nearest to it."""
        beats = (at_s - self.first_beat_s) / self.beat_s
        return replace(self, offsets_s=(*self.offsets_s, (beats - round(beats)) * self.beat_s))

    def taps_left(self) -> int:
        """How many taps are still missing for a finding."""
        return max(0, TAPS_IGNORED + FEWEST_TAPS - len(self.offsets_s))

    def finding(self) -> Latency | None:
        """The latency by the taps so far; None while taps are missing."""
        if self.taps_left():
            return None
        counted = self.offsets_s[TAPS_IGNORED:]
        middle = median(counted)
        spread_s = MAD_TO_SPREAD * median(abs(offset - middle) for offset in counted)
        return Latency(middle, spread_s, len(counted))
