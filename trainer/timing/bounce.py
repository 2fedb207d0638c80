"""Bounces: how to throw at the floor so that the whole flight lasts as long as the pattern wants.

No air drag, no spin. The hand is H above the floor; a ball that meets the floor at speed w leaves it at e·w
(e: coefficient of restitution, about 0.85 to 0.9 for a lively ball on a hard floor, from memory).
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
    """How the ball is sent to the floor: tossed up first and let fall, or thrown straight down."""

    LIFT = "lift"
    FORCE = "force"


class Caught(StrEnum):
    """On which part of its way back the ball is caught."""

    RISING = "rising"
    FALLING = "falling"


@dataclass(frozen=True, slots=True)
class Bounce:
    """One way to make a bounce last as long as wanted.

    release_m_s: speed leaving the hand, up positive. floor_s: seconds from release to the floor. floor_m_s,
    rebound_m_s: speeds just before and after the floor. top_m: highest point after the floor, above the hand.
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
        drop = sqrt(max(0.0, self.rebound_m_s**2 - 2 * GRAVITY_M_S2 * self._hand_m))
        sign = 1 if self.caught is Caught.FALLING else -1
        return (self.rebound_m_s + sign * drop) / GRAVITY_M_S2

    @property
    def _hand_m(self) -> float:
        return self.rebound_m_s**2 / (2 * GRAVITY_M_S2) - self.top_m

    @property
    def flight_s(self) -> float:
        """Seconds from hand to hand."""
        return self.floor_s + self.back_s


def throw_at_floor(release_m_s: float, hand_m: float, restitution: float, caught: Caught) -> Bounce | None:
    """What becomes of a release speed (up positive, m/s) from a hand so high (m); None if it never comes back up."""
    floor_m_s = sqrt(release_m_s**2 + 2 * GRAVITY_M_S2 * hand_m)
    rebound_m_s = restitution * floor_m_s
    top_m = rebound_m_s**2 / (2 * GRAVITY_M_S2) - hand_m
    if top_m < 0:
        return None
    floor_s = (release_m_s + floor_m_s) / GRAVITY_M_S2
    return Bounce(release_m_s, floor_s, floor_m_s, rebound_m_s, caught, top_m)


def least_release_m_s(hand_m: float, restitution: float) -> float:
    """The slowest release, up or down, after which the ball comes back to the hand."""
    return sqrt(2 * GRAVITY_M_S2 * hand_m * (1 / restitution**2 - 1))


def flight_to_bounce(way: BounceStyle, flight_s: float, hand_m: float, restitution: float) -> Bounce:
    """The gentlest bounce whose whole flight lasts flight_s seconds.

    hand_m: height of the hands above the floor, above 0. restitution: above 0, at most 1. Raises TempoError where
    there is none, saying which of tempo, ball and hand height to change.
    """
    if not (hand_m > 0 and 0 < restitution <= 1):
        raise TempoError("A bounce needs hands above the floor and a coefficient of restitution above 0, up to 1.")
    sign = 1 if way is BounceStyle.LIFT else -1
    least = least_release_m_s(hand_m, restitution) * (1 + 1e-12)
    found = []
    for caught in Caught:
        speed = _first_root(
            lambda speed, caught=caught: _length_s(sign * speed, hand_m, restitution, caught) - flight_s,  # type: ignore[misc]
            least,
        )
        if speed is not None:
            found.append((speed, caught))
    if not found:
        raise TempoError(_advice(way, flight_s, hand_m, restitution, least))
    speed, caught = min(found)
    bounce = throw_at_floor(sign * speed, hand_m, restitution, caught)
    assert bounce is not None
    return bounce


def _length_s(release_m_s: float, hand_m: float, restitution: float, caught: Caught) -> float:
    bounce = throw_at_floor(release_m_s, hand_m, restitution, caught)
    return bounce.flight_s if bounce is not None else float("inf")


def _first_root(off: Callable[[float], float], least: float) -> float | None:
    """The least speed at which `off` is 0, from `least` on, found between two neighbours of a fine scan."""
    step = (FASTEST_M_S - least) / SCAN_STEPS
    low, at_low = least, off(least)
    for index in range(1, SCAN_STEPS + 1):
        high = least + index * step
        at_high = off(high)
        if at_low == 0:
            return low
        if at_low * at_high <= 0:
            for _ in range(BISECTIONS):
                middle = (low + high) / 2
                if off(low) * off(middle) <= 0:
                    high = middle
                else:
                    low = middle
            return (low + high) / 2
        low, at_low = high, at_high
    return None


def _advice(way: BounceStyle, flight_s: float, hand_m: float, restitution: float, least: float) -> str:
    """What to change: a lift takes at least so long, and nothing is quicker than the hardest force."""
    shortest_s = _length_s(least, hand_m, restitution, Caught.FALLING)
    if way is BounceStyle.LIFT and flight_s < shortest_s:
        return (
            f"A lift bounce from {hand_m:g} m takes {shortest_s:.2f} s or more with a ball of restitution "
            f"{restitution:g}, and {flight_s:.2f} s were wanted: slow down, lower the hands, take a livelier ball, "
            f"or throw down (force)."
        )
    return (
        f"No {way} bounce from {hand_m:g} m lasts {flight_s:.2f} s with a ball of restitution {restitution:g}: "
        f"change the tempo, or raise or lower the hands."
    )
