"""Arrangement: where the jugglers of a pattern stand in the picture, and how far apart their hands look.

The picture is seen from far away and level with the hands. So heights are true for every juggler, and only widths
shrink. A single juggler is seen from behind, with the right hand on the right.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, copysign, cos, pi, radians, sin

BESIDE_M, BEHIND_M, ACROSS_M, BACKS_M = 1.3, 1.6, 2.0, 0.9
"""Distances from one juggler to the next (from memory; a comfortable pass goes about two metres)."""

LEAST_WIDTH = 0.35
"""Least share of their distance at which two hands are drawn, so that they can be told apart."""

RING_M = {2: ACROSS_M / 2, 3: 1.2, 4: 1.7, 5: 2.3, 6: 2.6}
RING_LOOK = {2: -35.0, 3: 30.0, 4: 18.4, 5: 18.0, 6: 10.9}
"""Jugglers in a ring → its radius, and the angle in degrees of a view in which nobody hides another."""

Ground = tuple[float, float, float]
"""A juggler on the ground: metres to the right, metres away, and where he faces in degrees (0 away, 90 right)."""


@dataclass(frozen=True, slots=True)
class JugglerPlace:
    """A juggler in the picture.

    x_m: of the body. width: share of their distance at which the hands are seen; negative from the front.
    """

    x_m: float = 0.0
    width: float = 1.0


def arrange(jugglers: int, arrangement: str = "") -> tuple[JugglerPlace, ...]:
    """Return the place of each of 1 to 6 jugglers.

    arrangement: as library entries name it; in any other they stand in a ring and face its middle.
    """
    if jugglers == 1:
        return (JugglerPlace(),)
    grounds, look = _ARRANGED.get(arrangement, _ring)(jugglers)
    return tuple(_see(ground, radians(look)) for ground in grounds)


def _see(ground: Ground, look: float) -> JugglerPlace:
    right_m, away_m, faces = ground
    width = cos(radians(faces) + look)
    return JugglerPlace(right_m * cos(look) + away_m * sin(look), copysign(max(abs(width), LEAST_WIDTH), width))


def _ring(jugglers: int) -> tuple[list[Ground], float]:
    """Place them in a ring, the first on the left, all facing the middle."""
    radius_m = RING_M[jugglers]
    angles = [pi + 2 * pi * number / jugglers for number in range(jugglers)]
    grounds = [(radius_m * cos(at), radius_m * sin(at), atan2(-cos(at), -sin(at)) * 180 / pi) for at in angles]
    return grounds, RING_LOOK[jugglers]


def _side_by_side(jugglers: int) -> tuple[list[Ground], float]:
    return [(BESIDE_M * (number - (jugglers - 1) / 2), 0.0, 0.0) for number in range(jugglers)], 0.0


def _one_behind_the_other(jugglers: int) -> tuple[list[Ground], float]:
    """Place the first in front; the view is from behind and to the left."""
    return [(0.0, BEHIND_M * ((jugglers - 1) / 2 - number), 0.0) for number in range(jugglers)], 45.0


def _back_to_back(jugglers: int) -> tuple[list[Ground], float]:
    grounds, look = _ring(jugglers)
    shrink = BACKS_M / ACROSS_M if jugglers == 2 else 1.0
    return [(right * shrink, away * shrink, faces + 180) for right, away, faces in grounds], look


def _feed(jugglers: int) -> tuple[list[Ground], float]:
    """Place the first facing all the others, who stand side by side; the more they are, the farther away."""
    away_m = ACROSS_M / 2
    others = [(away_m, BESIDE_M * ((jugglers - 2) / 2 - number), -90.0) for number in range(jugglers - 1)]
    return [(-away_m - BESIDE_M / 2 * max(0, jugglers - 3), 0.0, 90.0), *others], -35.0


def _line(jugglers: int) -> tuple[list[Ground], float]:
    """Place them in a line, the last facing all the others."""
    grounds = [(BEHIND_M * (number - (jugglers - 1) / 2), 0.0, 90.0) for number in range(jugglers)]
    grounds[-1] = (*grounds[-1][:2], -90.0)
    return grounds, -35.0


_ARRANGED: dict[str, Callable[[int], tuple[list[Ground], float]]] = {
    "side by side": _side_by_side,
    "one behind the other": _one_behind_the_other,
    "back to back": _back_to_back,
    "feed": _feed,
    "line": _line,
}
