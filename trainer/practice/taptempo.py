"""Tap tempo: a tempo from taps, the mean of the last intervals without those that are far from the median."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from statistics import median_low

FEWEST_TAPS = 4
MOST_TAPS = 12
NEW_START_S = 2.5
"""A pause this long begins a new series of taps."""

OUT_OF_LINE = 0.35
"""An interval that differs from the median by more than this share of it is left out as a slip."""


@dataclass(frozen=True, slots=True)
class TapTempo:
    """The taps so far, in seconds, oldest first."""

    taps_s: tuple[float, ...] = ()

    def tap(self, at_s: float) -> TapTempo:
        """Add a tap; taps before a long pause are forgotten."""
        if self.taps_s and not 0 < at_s - self.taps_s[-1] < NEW_START_S:
            return TapTempo((at_s,))
        return TapTempo((*self.taps_s, at_s)[-MOST_TAPS:])

    def tempo_bpm(self) -> Fraction | None:
        """Beats a minute to the whole number, one beat a tap; None before FEWEST_TAPS of them.

        A tap that was missed leaves an interval about twice as long: it is out of line, and left out. The median is
        one of the intervals, so that something is in line even where half of them are of another tempo.
        """
        if len(self.taps_s) < FEWEST_TAPS:
            return None
        intervals = [after - before for before, after in zip(self.taps_s, self.taps_s[1:], strict=False)]
        middle = median_low(intervals)
        in_line = [length for length in intervals if abs(length - middle) <= OUT_OF_LINE * middle]
        return Fraction(round(60 * len(in_line) / sum(in_line)))
