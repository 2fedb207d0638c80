"""Tempo: on which second and which frame a beat falls, exactly, through any number of tempo changes."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor

from trainer.errors import TrainerError

SLOWEST_BPM = Fraction(1)
FASTEST_BPM = Fraction(2000)
HALF = Fraction(1, 2)
LONGEST_NUMBER = 24
"""Most characters of a typed number."""

LARGEST_NUMBER = 1e12


class TempoError(TrainerError):
    """A tempo, a dwell ratio or another number that cannot be practised."""


def second_to_frame(second: Fraction, rate_hz: int) -> int:
    """Return the frame of an exact second, rounded half up. Nothing else makes a frame of a time."""
    return floor(second * rate_hz + HALF)


def require_tempo(tempo_bpm: Fraction) -> Fraction:
    """Return the tempo. Raises TempoError outside the range that can be practised."""
    if not SLOWEST_BPM <= tempo_bpm <= FASTEST_BPM:
        raise TempoError(
            f"A tempo of {format_number(tempo_bpm)} beats/min was asked for; "
            f"choose one from {SLOWEST_BPM} to {FASTEST_BPM}."
        )
    return tempo_bpm


def text_to_fraction(text: str, what: str) -> Fraction:
    """Read an exact number such as 172, 172.5 or 2/3. Raises TempoError, whose message names `what` it was for."""
    short = text.strip()
    try:
        if len(short) > LONGEST_NUMBER or abs(float(short.split("/")[0])) > LARGEST_NUMBER:
            raise ValueError
        return Fraction(short)
    except (ValueError, ZeroDivisionError):
        shown = short if len(short) <= LONGEST_NUMBER else short[:LONGEST_NUMBER] + "…"
        given = f"“{shown}”" if short else "Nothing"
        raise TempoError(f"{given} was given as {what}; type a number such as 172, 172.5 or 2/3.") from None


def text_to_tempo(text: str) -> Fraction:
    """Read a typed tempo in beats per minute. Raises TempoError for no number and for one out of range."""
    return require_tempo(text_to_fraction(text, "a tempo"))


def format_number(value: Fraction) -> str:
    """Write a number with up to three decimals, or with a power of ten if it is very large or small."""
    if abs(value) >= 10**12 or 0 < abs(value) < Fraction(1, 1000):
        return f"{Decimal(value.numerator) / Decimal(value.denominator):.3g}"
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.3f}".rstrip("0").rstrip(".")


def to_number(exact: Fraction) -> int | float:
    """Return the number as JSON has it: whole if it is whole."""
    return int(exact) if exact.denominator == 1 else float(exact)


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of one tempo that begins at a beat on a second."""

    beat: Fraction
    second: Fraction
    tempo_bpm: Fraction

    def second_at(self, beat: Fraction) -> Fraction:
        return self.second + (beat - self.beat) * 60 / self.tempo_bpm

    def beat_at(self, second: Fraction) -> Fraction:
        return self.beat + (second - self.second) * self.tempo_bpm / 60


@dataclass(frozen=True, slots=True)
class TempoMap:
    """The map from beats to seconds and back: piecewise linear, continuous and exact.

    In a map made by `steady` beat 0 falls on second 0, so a count-in has negative beats and seconds.
    """

    segments: tuple[Segment, ...]

    @classmethod
    def steady(cls, tempo_bpm: Fraction, first_beat: int = 0) -> TempoMap:
        """Return the map of one tempo, for beats from first_beat on. Raises TempoError for a tempo out of range."""
        first = Fraction(first_beat)
        return cls((Segment(first, first * 60 / require_tempo(tempo_bpm), tempo_bpm),))

    def with_tempo(self, beat: Fraction, tempo_bpm: Fraction) -> TempoMap:
        """Return the same map up to a beat, with another tempo from there on, in the place of all later changes.

        No beat up to `beat` moves. Raises TempoError for a tempo out of range.
        """
        kept = tuple(segment for segment in self.segments if segment.beat < beat)
        if not kept:  # beats before the first segment are of its tempo, so one of that tempo must stay
            tempo_before = self.segments[0].tempo_bpm
            kept = (Segment(beat - 1, self.second_at(beat - 1), tempo_before),)
        turn = Segment(beat, self.second_at(beat), require_tempo(tempo_bpm))
        return TempoMap((*kept, turn))

    def second_at(self, beat: Fraction) -> Fraction:
        """Return the exact second of a beat."""
        return self._segment_of_beat(beat).second_at(beat)

    def beat_at(self, second: Fraction) -> Fraction:
        """Return the exact beat at a second."""
        index = bisect_right(self.segments, second, key=lambda segment: segment.second) - 1
        return self.segments[max(index, 0)].beat_at(second)

    def tempo_at(self, beat: Fraction) -> Fraction:
        """Return the beats per minute from a beat on."""
        return self._segment_of_beat(beat).tempo_bpm

    def frame_at(self, beat: Fraction, rate_hz: int) -> int:
        """Return the frame of a beat, counted from second 0 and rounded half up."""
        return second_to_frame(self.second_at(beat), rate_hz)

    def _segment_of_beat(self, beat: Fraction) -> Segment:
        index = bisect_right(self.segments, beat, key=lambda segment: segment.beat) - 1
        return self.segments[max(index, 0)]
