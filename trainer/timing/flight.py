"""Flight: how long a throw is in the air and in the hand, how high it goes, and at which tempo a pattern starts.

Without air drag; throws and catches are at one height. Heights are in metres, times in exact beats or in seconds.
"""

from __future__ import annotations

from fractions import Fraction
from math import sqrt

from trainer.timing.tempo import FASTEST_BPM, TempoError, format_number, text_to_fraction

GRAVITY_M_S2 = 9.80665
DEFAULT_DWELL = Fraction(2, 3)
"""Share of a hand's cycle in which it holds an object.

Source: Kalvan, How Many Objects Can Be Juggled, 1997 (near 2/3);
Shannon, Scientific Aspects of Juggling, in Collected Papers, IEEE Press 1993 (0.59 to 0.67)."""

USUAL_APEX_M = {3: 0.4, 4: 0.6, 5: 1.0, 6: 1.3, 7: 1.7, 8: 2.1, 9: 2.4}
"""Throw value → usual height in a cascade or fountain (common practice, from memory)."""


def require_dwell(dwell: Fraction) -> Fraction:
    """Return the dwell ratio. Raises TempoError unless it lies between 0 and 1, ends excluded."""
    if not 0 < dwell < 1:
        raise TempoError(
            f"A dwell ratio of {format_number(dwell)} was asked for; choose one between 0 and 1, such as 2/3."
        )
    return dwell


def text_to_dwell(text: str) -> Fraction:
    """Read a typed dwell ratio. Raises TempoError for no number and for one that is not between 0 and 1."""
    return require_dwell(text_to_fraction(text, "a dwell ratio"))


def dwell_beats(value: int, dwell: Fraction) -> Fraction:
    """Return the beats that an object rests in the hand that catches it: r · min(n, 2) for a throw of value n.

    For n ≥ 2 this is Shannon's uniform juggle with a hand cycle of 2 beats. A 1 has half that dwell, so that it has
    a flight: our choice.
    """
    return dwell * min(value, 2)


def flight_beats(value: int, dwell: Fraction) -> Fraction:
    """Return the beats in the air: F(n) = n − r · min(n, 2). Source: Shannon, (F + D) H = (V + D) N, solved for F."""
    return value - dwell_beats(value, dwell)


def flight_s(value: int, dwell: Fraction, tempo_bpm: Fraction) -> float:
    """Return the seconds in the air at a tempo."""
    return float(flight_beats(value, dwell) * 60 / tempo_bpm)


def apex_m(seconds: float) -> float:
    """Return the height above the hands of a flight of some seconds: h = g t² / 8."""
    return GRAVITY_M_S2 * seconds**2 / 8


def apex_to_flight_s(height_m: float) -> float:
    """Return the seconds in the air of a throw of some height."""
    return sqrt(8 * height_m / GRAVITY_M_S2)


def apex_to_tempo(value: int, dwell: Fraction, height_m: float) -> float:
    """Return the beats per minute at which a throw of `value` goes so high: under a ceiling, the slowest tempo."""
    return float(flight_beats(value, dwell)) * 60 / apex_to_flight_s(height_m)


def apex_to_dwell(value: int, tempo_bpm: Fraction, height_m: float) -> float | None:
    """Return the dwell ratio with which a throw of `value` goes so high at a tempo; None for none between 0 and 1."""
    beats = apex_to_flight_s(height_m) * float(tempo_bpm) / 60
    dwell = (value - beats) / min(value, 2) if value else 0.0
    return dwell if 0 < dwell < 1 else None


def default_tempo(highest: int, dwell: Fraction, height_m: float | None = None) -> Fraction:
    """Return the whole number of beats per minute at which a pattern starts unless told otherwise.

    Its highest throw then goes as high as a library entry says (height_m), or else as high as in the cascade or
    fountain (common practice, from memory). Without height_m, values above 9 take the tempo of 9 and values below 3
    that of 3.
    """
    value = highest if height_m is not None and highest > 0 else min(max(highest, 3), 9)
    height = USUAL_APEX_M[value] if height_m is None else height_m
    return Fraction(min(max(round(apex_to_tempo(value, dwell, height)), 1), int(FASTEST_BPM)))
