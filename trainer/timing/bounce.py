"""Bounces: how to throw at the floor so that the flight from hand to hand lasts as long as the pattern wants.

Without air drag and spin. A ball that meets the floor at speed w leaves it at e·w (e: coefficient of restitution,
about 0.85 to 0.9 for a lively ball on a hard floor, from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt

from trainer.timing.flight import GRAVITY_M_S2
from trainer.timing.tempo import TempoError

FASTEST_M_S = 40.0
SCAN_STEPS = 4000
BISECTIONS = 60


class BounceStyle(StrEnum):
    """How the ball gets to the floor: tossed up and let fall (lift), or thrown straight down (force)."""

    LIFT = "lift"
    FORCE = "force"


class Caught(StrEnum):
    """Whether the ball is caught while it rises from the floor or while it falls again."""

    RISING = "rising"
    FALLING = "falling"


@dataclass(frozen=True, slots=True)
class Bounce:
    """The flight of one ball from hand to floor to hand.

    release_m_s: speed at which it leaves the hand, up positive. floor_s: seconds from release to the floor.
    floor_m_s, rebound_m_s: speeds just before and after the floor. top_m: highest point after the floor, above the
    hand.
    """

    release_m_s: float
    floor_s: float
    floor_m_s: float
    rebound_m_s: float
    caught: Caught
    top_m: float

    @property
    def back_s(self) -> float:
        """Seconds from the floor to the catch."""
        at_hand_m_s = sqrt(2 * GRAVITY_M_S2 * self.top_m)
        sign = 1 if self.caught is Caught.FALLING else -1
        return (self.rebound_m_s + sign * at_hand_m_s) / GRAVITY_M_S2

    @property
    def flight_s(self) -> float:
        """Seconds from hand to hand."""
        return self.floor_s + self.back_s


def throw_at_floor(release_m_s: float, hand_m: float, restitution: float, caught: Caught) -> Bounce | None:
    """Return the bounce that a release speed (m/s, up positive) gives from a hand so high (m).

    None if the ball does not come back up to the hand.
    """
    floor_m_s = sqrt(release_m_s**2 + 2 * GRAVITY_M_S2 * hand_m)
    rebound_m_s = restitution * floor_m_s
    top_m = rebound_m_s**2 / (2 * GRAVITY_M_S2) - hand_m
    if top_m < 0:
        return None
    floor_s = (release_m_s + floor_m_s) / GRAVITY_M_S2
    return Bounce(release_m_s, floor_s, floor_m_s, rebound_m_s, caught, top_m)


def least_release_m_s(hand_m: float, restitution: float) -> float:
    """Return the slowest release, up or down, after which the ball comes back to the hand."""
    return sqrt(2 * GRAVITY_M_S2 * hand_m * (1 / restitution**2 - 1))


def flight_to_bounce(style: BounceStyle, flight_s: float, hand_m: float, restitution: float) -> Bounce:
    """Find the bounce with the slowest release whose flight lasts flight_s seconds.

    hand_m: height of the hands above the floor, above 0. restitution: above 0, at most 1. Raises TempoError where
    there is none; its message says which of tempo, ball and hand height to change.
    """
    if not (hand_m > 0 and 0 < restitution <= 1):
        raise TempoError("A bounce needs hands above the floor and a coefficient of restitution above 0, up to 1.")
    sign = 1 if style is BounceStyle.LIFT else -1
    least = least_release_m_s(hand_m, restitution) * (1 + 1e-12)
    found = []
    for caught in Caught:

        def excess_s(speed: float, caught: Caught = caught) -> float:
            return _length_s(sign * speed, hand_m, restitution, caught) - flight_s

        speed = _first_root(excess_s, least)
        if speed is not None:
            found.append((speed, caught))
    if not found:
        raise TempoError(_advice(style, flight_s, hand_m, restitution, least))
    speed, caught = min(found)
    bounce = throw_at_floor(sign * speed, hand_m, restitution, caught)
    assert bounce is not None
    return bounce


def _length_s(release_m_s: float, hand_m: float, restitution: float, caught: Caught) -> float:
    bounce = throw_at_floor(release_m_s, hand_m, restitution, caught)
    return bounce.flight_s if bounce is not None else float("inf")


def _first_root(excess: Callable[[float], float], least: float) -> float | None:
    """Find the least speed from `least` on at which the excess is 0: a scan finds the interval, halving the speed."""
    step = (FASTEST_M_S - least) / SCAN_STEPS
    low, at_low = least, excess(least)
    for index in range(1, SCAN_STEPS + 1):
        high = least + index * step
        at_high = excess(high)
        if at_low == 0:
            return low
        if at_low * at_high <= 0:
            for _ in range(BISECTIONS):
                middle = (low + high) / 2
                if at_low * excess(middle) <= 0:
                    high = middle
                else:
                    low = middle
            return (low + high) / 2
        low, at_low = high, at_high
    return None


def _advice(style: BounceStyle, flight_s: float, hand_m: float, restitution: float, least: float) -> str:
    """Say why there is no bounce, and what to change."""
    shortest_s = _length_s(least, hand_m, restitution, Caught.FALLING)
    if style is BounceStyle.LIFT and flight_s < shortest_s:
        return (
            f"A lift bounce from {hand_m:g} m takes {shortest_s:.2f} s or more with a ball of restitution "
            f"{restitution:g}, and {flight_s:.2f} s were wanted: slow down, lower the hands, take a livelier ball, "
            f"or throw down (force)."
        )
    return (
        f"No {style} bounce from {hand_m:g} m lasts {flight_s:.2f} s with a ball of restitution {restitution:g}: "
        f"change the tempo, or raise or lower the hands."
    )
