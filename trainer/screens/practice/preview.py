"""The preview: which beat is shown while nothing sounds, at a speed of one's own, or stopped at a beat.

During a run the transport says what beat it is. Before one there is no sound to be true to: the pattern goes on in
silence, by the clock, for somebody to be shown it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor

SPEEDS = (Fraction(1), Fraction(1, 2), Fraction(1, 4))
SPEED_WORDS = {Fraction(1): "", Fraction(1, 2): " at half speed", Fraction(1, 4): " at a quarter"}
GRAIN = 10**6
"""Beats are rounded to this part of one: nothing is heard that they have to fit exactly."""


@dataclass(frozen=True, slots=True)
class Preview:
    """Which beat is shown: it goes on from `beat` at since_s. stopped: it stays at `beat`."""

    since_s: float
    beat: Fraction
    tempo_bpm: Fraction
    speed: Fraction = SPEEDS[0]
    stopped: bool = False

    def beat_at(self, now_s: float) -> Fraction:
        """The beat to show at a second."""
        if self.stopped:
            return self.beat
        gone = (now_s - self.since_s) * float(self.tempo_bpm * self.speed) / 60
        return self.beat + Fraction(round(gone * GRAIN), GRAIN)

    def at_tempo(self, now_s: float, tempo_bpm: Fraction) -> Preview:
        """The preview at another tempo from now on; the beat shown now stays."""
        if tempo_bpm == self.tempo_bpm:
            return self
        return replace(self, since_s=now_s, beat=self.beat_at(now_s), tempo_bpm=tempo_bpm)

    def slower(self, now_s: float) -> Preview:
        """The preview at half its speed, after a quarter at full speed again; if stopped, it goes on at its speed."""
        speed = self.speed if self.stopped else SPEEDS[(SPEEDS.index(self.speed) + 1) % len(SPEEDS)]
        return replace(self, since_s=now_s, beat=self.beat_at(now_s), speed=speed, stopped=False)

    def stepped(self, now_s: float, beats: int, first_beat: Fraction) -> Preview:
        """The preview stopped at the next multiple of so many beats, or at the one before for beats below 0."""
        at = self.beat_at(now_s) / abs(beats)
        place = floor(at) + 1 if beats > 0 else ceil(at) - 1
        return replace(self, since_s=now_s, beat=max(first_beat, Fraction(place * abs(beats))), stopped=True)

    def words(self) -> str:
        """The caption: the speed, or the beat it is stopped at."""
        if not self.stopped:
            return f"preview{SPEED_WORDS[self.speed]}"
        return f"stopped at beat {self.beat + 1}" if self.beat >= 0 else "stopped before the start"
