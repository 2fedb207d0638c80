"""What presses measure: the delay of the sound, and the reaction time.

The delay is how far a juggler's own taps lie from the beats as the trainer believes they are heard. What is found is
the sound's unknown delay and the juggler's habit together (people tap a little ahead of a beat); set as latency, taps
and beats fall together for this juggler on this machine.

The reaction time is the time from a sound that comes without warning to the press of the pedal. Counted by the beat, a
run ended that long before the press. What is measured is a sound, foot and pedal; a drop has to be noticed as well, so
a juggler may put the figure a little higher.

Of each the middle of several presses is taken, as one slip or one moment of inattention says nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import median

TAPS_IGNORED = 4
"""So many first taps are not measured: the juggler still finds the beat."""

FEWEST_TAPS = 8
MAD_TO_SPREAD = 1.4826
"""Median absolute deviation × this = standard deviation of a normal spread (textbook constant, 1 / Φ⁻¹(3/4))."""

WANTED = 8
"""So many presses are measured."""

EARLIEST_S = 0.1
"""A press sooner than that after the sound was a guess: nobody hears and moves so quickly (the rule for false starts in
athletics, from memory)."""

LATEST_S = 1.5
"""A press later than that, or no press, counts as inattention."""

WAIT_S = (1.5, 4.5)
"""The sound comes at a chance moment between these two after the beat begins, so that nobody can foresee it."""

OUTLIER = 3.0
"""Presses further than so many spreads from the median are left out."""


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
        return Latency(*_middle_and_spread(counted), len(counted))


def wait_s(share: float) -> float:
    """How long to wait for the sound, by a random number from 0 to 1."""
    shortest, longest = WAIT_S
    return shortest + share * (longest - shortest)


@dataclass(frozen=True, slots=True)
class ReactionTime:
    """reaction_s: the middle. spread_s: of one press, robust. presses: how many count. left_out: outliers."""

    reaction_s: float
    spread_s: float
    presses: int
    left_out: int


@dataclass(frozen=True, slots=True)
class Reaction:
    """Presses after sounds. heard_s: when the sound was heard that is still to be answered; None if none is.

    times_s: from sound to press, of those that count. guesses: presses before the sound, or too soon after it.
    missed: sounds without a press in time.
    """

    heard_s: float | None = None
    times_s: tuple[float, ...] = ()
    guesses: int = 0
    missed: int = 0

    def sound(self, heard_s: float) -> Reaction:
        """Note a sound that was heard at a second."""
        return replace(self, heard_s=heard_s)

    def press(self, at_s: float) -> Reaction:
        """Note a press: the answer to the sound, or a guess."""
        if self.heard_s is None or at_s - self.heard_s < EARLIEST_S:
            return replace(self, heard_s=None, guesses=self.guesses + 1)
        if at_s - self.heard_s > LATEST_S:
            return self.step(at_s)
        return replace(self, heard_s=None, times_s=(*self.times_s, at_s - self.heard_s))

    def step(self, now_s: float) -> Reaction:
        """Note the time: a sound that was not answered in time is missed."""
        if self.heard_s is None or now_s - self.heard_s <= LATEST_S:
            return self
        return replace(self, heard_s=None, missed=self.missed + 1)

    def presses_left(self) -> int:
        """How many presses are still missing for a finding."""
        return max(0, WANTED - len(self.times_s))

    def finding(self) -> ReactionTime | None:
        """The reaction time by the presses so far; None while presses are missing."""
        if self.presses_left():
            return None
        middle, spread_s = _middle_and_spread(self.times_s)
        kept = tuple(each for each in self.times_s if abs(each - middle) <= OUTLIER * spread_s) or self.times_s
        middle, spread_s = _middle_and_spread(kept)
        return ReactionTime(middle, spread_s, len(kept), len(self.times_s) - len(kept))


def _middle_and_spread(times_s: tuple[float, ...]) -> tuple[float, float]:
    """The median, and the spread of one by the median absolute deviation."""
    middle = median(times_s)
    return middle, MAD_TO_SPREAD * median(abs(each - middle) for each in times_s)
