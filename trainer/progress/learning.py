"""The learning curve: catches a drop over practice as a power law with its band, or the reason why there is none.

A try that was collected, or that ended at a goal or by the clock, shows only that a run lasts longer than that. So its
catches count, but its end is no drop. If each catch has the same chance of a miss, catches over drops is the likeliest
mean length of a run where some runs are cut short: B. Epstein & M. Sobel, Life Testing, J. Amer. Stat. Assoc. 48
(1953) 486–502.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from math import exp, log
from typing import Final, NamedTuple

from trainer.progress.estimates import FittedLine, fit_line

MOST_STRETCHES: Final = 24
FEWEST_STRETCHES: Final = 8
FEWEST_DROPS: Final = 5  # in a stretch: a mean over fewer says little
ROUNDING: Final = 1e-9  # an exponent no larger may come from rounding alone, which differs between Pythons
SHORTEST_DAYS: Final = 14  # from the first to the last day: fewer may be one good or bad week
WIDEST: Final = 5.0  # the band's upper end over its lower, at the newest stretch
AHEAD: Final = 1.5  # a forecast goes no further than half as much practice again


class PracticeDay(NamedTuple):
    """The sums of a day's tries of one figure."""

    day: date
    tries: int
    catches: int
    drops: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """Some days of practice in a row.

    practice: number of all tries up to its middle. mean: catches a drop.
    """

    practice: float
    mean: float
    tries: int
    drops: int
    last_day: date


@dataclass(frozen=True, slots=True)
class NoCurve:
    """The reason why there is no curve, as the end of a sentence, and the stretches."""

    because: str
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """The law: catches a drop = factor · practice ^ exponent, a straight line in the logarithms of both.

    Source of the law: increase over practice in consecutive catches "was best fit with a power law", Human Movement
    Science (2004), doi:10.1016/j.humov.2004.07.002. Its numbers are estimated here from the juggler's own tries.
    """

    line: FittedLine
    stretches: tuple[Stretch, ...]
    tries: int

    def at(self, practice: float) -> float:
        """Return the catches a drop to expect after some number of tries."""
        return exp(self.line.at(log(practice)))

    def band(self, practice: float) -> tuple[float, float]:
        """Return the bounds between which the catches a drop of one more stretch lie, 95 times in 100."""
        middle, half = self.line.at(log(practice)), self.line.half_band(log(practice))
        return exp(middle - half), exp(middle + half)

    @property
    def ahead(self) -> int:
        """The number of all tries up to which there is a forecast."""
        return round(self.tries * AHEAD)


def learning_curve(days: Iterable[PracticeDay]) -> Curve | NoCurve:
    """Return the learning curve of one figure, or why there is none. days: in order, each with a try."""
    practised = tuple(days)
    stretches = _stretches(practised)
    reason = _too_little(practised, stretches)
    if reason:
        return NoCurve(reason, stretches)
    line = fit_line([log(each.practice) for each in stretches], [log(each.mean) for each in stretches])
    curve = Curve(line, stretches, sum(day.tries for day in practised))
    reason = _undeserved(curve)
    return NoCurve(reason, stretches) if reason else curve


def _stretches(days: tuple[PracticeDay, ...]) -> tuple[Stretch, ...]:
    """Part the days into stretches with about as many drops each, and with a catch in each."""
    drops = sum(day.drops for day in days)
    if not drops:
        return ()
    least = max(FEWEST_DROPS, -(-drops // MOST_STRETCHES))
    while True:
        stretches = _cut(days, least)
        if all(stretch.mean for stretch in stretches) or len(stretches) <= 1:
            return stretches
        least *= 2


def _cut(days: tuple[PracticeDay, ...], least: int) -> tuple[Stretch, ...]:
    """Part the days into stretches of at least `least` drops; days left over belong to the last."""
    groups: list[list[PracticeDay]] = [[]]
    drops = 0  # in the last group
    for day in days:
        if drops >= least:
            groups.append([])
            drops = 0
        groups[-1].append(day)
        drops += day.drops
    if len(groups) > 1 and drops < least:
        rest = groups.pop()
        groups[-1] += rest
    stretches, before = [], 0
    for group in groups:
        tries, catches, drops = (sum(amounts) for amounts in zip(*(day[1:] for day in group), strict=True))
        stretches.append(Stretch(before + (tries + 1) / 2, catches / drops, tries, drops, group[-1].day))
        before += tries
    return tuple(stretches)


def _too_little(days: tuple[PracticeDay, ...], stretches: tuple[Stretch, ...]) -> str:
    """Say what is missing for a fit; empty if nothing is."""
    if not any(day.catches for day in days):
        return "no catch was counted yet" if days else "there were no tries yet"
    if not stretches:
        return "no try ended in a drop, and how long a run lasts is told by its drops"
    if len(stretches) < FEWEST_STRETCHES:
        return (
            f"there were too few days with {FEWEST_DROPS} drops and a catch in them: "
            f"{len(stretches)} of the {FEWEST_STRETCHES} it takes"
        )
    span = (days[-1].day - days[0].day).days
    if span < SHORTEST_DAYS:
        return f"all tries lay within {span} days, and two weeks are the least to tell learning from a good week by"
    return ""


def _undeserved(curve: Curve) -> str:
    """Say why a fitted curve must not be shown; empty if it may be."""
    if curve.line.slope_high < -ROUNDING:
        return "the catches became fewer with practice, and the law is one of growth"
    if curve.line.slope_low <= ROUNDING:
        return "no growth could be told from chance"
    low, high = curve.band(curve.stretches[-1].practice)
    if high > WIDEST * low:
        return f"the stretches differed too much: the next could be anywhere from {low:.1f} to {high:.0f} catches"
    return ""
