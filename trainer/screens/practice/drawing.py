"""Drawing: a motion at a beat as dots on a sheet, heights to scale, with a scale in metres beside it.

Objects are told apart by their shapes of a few dots.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, floor

from trainer.screens.parts.dots import DotSheet, Offsets
from trainer.timing.motion import IN_THE_AIR, Motion, Spot

BLANK, FAINT, RIGHT, LEFT, WARN, FIRST_THING = range(6)
"""Inks by number. Objects take those from FIRST_THING on."""

THING_INKS = 4
SCALE_COLUMNS = 8
CAPTION_ROWS = 1
"""Rows above the picture that are kept free for its caption."""

WIDEST = {1: 3.0}
"""Jugglers → how much wider than high a metre may be drawn: it keeps the arcs of one juggler apart."""

STEPS_M = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
REACHES = ((48, 2), (96, 3), (160, 4))
LARGEST_REACH = 5
CROWD = 7
"""So many objects are drawn one size smaller."""

Test = Callable[[int, int, int], bool]
"""Whether the dot so far right and down of the middle belongs to the shape of that reach."""

SHAPES: dict[str, Test] = {
    "disc": lambda x, y, r: x * x + y * y <= r * r + r // 2,
    "ring": lambda x, y, r: (r - 0.9) ** 2 < x * x + y * y <= r * r + r // 2,
    "cross": lambda x, y, r: abs(abs(x) - abs(y)) <= r // 4,
    "triangle": lambda x, y, r: abs(x) <= (y + r + 1) // 2,
    "bars": lambda x, y, r: abs(x) >= r - (r - 1) // 2,
    "plus": lambda x, y, r: min(abs(x), abs(y)) <= r // 4,
    "steps": lambda x, y, r: abs(y) >= r - (r - 1) // 2,
    "wedge": lambda x, y, r: abs(x) <= (r + 1 - y) // 2,
    "frame": lambda x, y, r: max(abs(x), abs(y)) >= r - r // 4,
    "hourglass": lambda x, y, r: abs(x) <= abs(y),
    "diamond": lambda x, y, r: r - r // 4 <= abs(x) + abs(y) <= r,
    "block": lambda x, y, r: True,
}
"""What every shape looks like within a square of r dots to each side; those alike stand far from each other."""


@lru_cache(maxsize=256)
def shape_of(thing: int, reach: int) -> Offsets:
    """The dots of the shape of an object, by its number; from the thirteenth on they come again."""
    test = tuple(SHAPES.values())[thing % len(SHAPES)]
    span = range(-reach, reach + 1)
    return tuple((x, y) for y in span for x in span if test(x, y, reach))


@lru_cache(maxsize=16)
def cup(reach: int) -> Offsets:
    """A hand, open to above, that an object of that reach just fits into."""
    floor = tuple((x, reach + 2) for x in range(-reach, reach + 1))
    return (*floor, (-reach - 1, reach + 1), (reach + 1, reach + 1), (-reach - 2, reach), (reach + 2, reach))


@dataclass(frozen=True, slots=True)
class Fit:
    """From metres to dots. x, y: the dot of the middle of the picture, at the height of the hands.

    across, up: dots a metre. reach: of the shapes, in dots. top_m: the highest height shown.
    """

    x: float
    y: float
    across: float
    up: float
    reach: int
    top_m: float

    @classmethod
    def of(cls, motion: Motion, columns: int, rows: int) -> Fit:
        """The fit that shows all from the floor, or the elbows, to the highest throw in so many columns and rows."""
        left_m, right_m, bottom_m, highest_m = motion.box
        reach = next((reach for dots, reach in REACHES if 4 * rows < dots), LARGEST_REACH)
        reach = max(2, reach - (motion.score.pattern.objects >= CROWD))
        step_m = next((step for step in STEPS_M if highest_m <= 10 * step), STEPS_M[-1])
        top_m = max(ceil(highest_m / step_m - 1e-6) * step_m, 0.2)
        above = 4 * CAPTION_ROWS + reach
        up = (4 * rows - above - reach - 3) / (top_m - bottom_m)
        room = 2 * (columns - SCALE_COLUMNS) - 2 * (reach + 3)
        across = min(max(room, 8) / (right_m - left_m), up * WIDEST.get(len(motion.places), 2.0))
        middle = 2 * SCALE_COLUMNS + (columns - SCALE_COLUMNS)
        return cls(middle - (left_m + right_m) / 2 * across, above + top_m * up, across, up, reach, top_m)

    def to_dot(self, spot: Spot) -> tuple[int, int]:
        """The dot nearest to a spot, counted from the left and from the top."""
        return floor(self.x + spot.x_m * self.across + 0.5), floor(self.y - spot.y_m * self.up + 0.5)

    def step_m(self) -> float:
        """Metres from one mark of the scale to the next: at least three rows."""
        return next((step for step in STEPS_M if step * self.up >= 12), STEPS_M[-1])


def draw_still(motion: Motion, fit: Fit, columns: int, rows: int, ceiling_m: float | None = None) -> DotSheet:
    """Draw what does not move: the scale, the floor of a bounce, the ceiling if there is one, the jugglers' numbers."""
    sheet = DotSheet(columns, rows)
    step_m, first, right = fit.step_m(), 2 * SCALE_COLUMNS, 2 * columns - 1
    lowest = -int(motion.hand_m / step_m + 1e-6) if motion.bounces else 0
    for number in range(lowest, int(fit.top_m / step_m + 1e-6) + 1):
        y = fit.to_dot(Spot(0, number * step_m))[1]
        sheet.line((first - 4, y), (first - 2, y), FAINT)
        text = f"{number * step_m:g} m".replace("-", "−") if number else "hands"
        sheet.write_under(SCALE_COLUMNS - 2 - len(text), y >> 2, text, FAINT)
    if motion.bounces:
        y = fit.to_dot(Spot(0, -motion.hand_m))[1] + fit.reach
        sheet.line((first - 4, y), (right, y), FAINT)
        sheet.write_under(0, y >> 2, "floor", FAINT)
    if ceiling_m is not None and ceiling_m <= fit.top_m:
        y = fit.to_dot(Spot(0, ceiling_m))[1]
        sheet.line((first, y), (right, y), WARN, every=3)
        sheet.write_under(columns - 8, min(rows - 1, (y >> 2) + 1), "ceiling", WARN)
    if len(motion.places) > 1:
        for number, place in enumerate(motion.places, start=1):
            sheet.write_under(fit.to_dot(Spot(place.x_m, 0))[0] >> 1, rows - 1, str(number), FAINT)
    return sheet


def draw_moving(sheet: DotSheet, motion: Motion, fit: Fit, beat: float) -> None:
    """Draw the arms, the hands with their letters and how many objects they hold, and every object in its shape."""
    things, hands, reach = motion.things(beat), motion.hands(beat), fit.reach
    for elbow, hand in zip(motion.elbows, hands, strict=True):
        x, y = fit.to_dot(hand)
        ink = LEFT if hand.hand % 2 else RIGHT
        sheet.line(fit.to_dot(elbow), (x, y + reach + 2), ink, every=2)
        sheet.stamp(cup(reach), x, y, ink)
    for thing, spot in enumerate(things):
        sheet.stamp(shape_of(thing, reach), *fit.to_dot(spot), ink=FIRST_THING + thing % THING_INKS)
    for hand in hands:
        x, y = fit.to_dot(hand)
        held = sum(spot.hand == hand.hand for spot in things)
        text = ("L" if hand.hand % 2 else "R") + (str(held) if held > 1 else "")
        sheet.write_over(x >> 1, (y + reach + 4) >> 2, text, LEFT if hand.hand % 2 else RIGHT)
    if len(things) > len(SHAPES):
        for thing, spot in enumerate(things):
            if spot.hand == IN_THE_AIR:
                x, y = fit.to_dot(spot)
                sheet.write_over((x + reach + 2) >> 1, y >> 2, str(thing + 1), FIRST_THING + thing % THING_INKS)
