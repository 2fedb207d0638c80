"""The learning curve: catches over practice as a power law with its band, or the reason why there is none."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from math import exp, log
from typing import Final

from trainer.practice.estimates import Line, fit_line

MOST_STRETCHES: Final = 24
FEWEST_STRETCHES: Final = 8
FEWEST_TRIES: Final = 5  # in a stretch: the mean of fewer says little
ROUNDING: Final = 1e-9  # a power no larger is what adding up left over, differently in each Python
SHORTEST_DAYS: Final = 14  # from the first to the last: less is one good or bad week
WIDEST: Final = 5.0  # the band's upper end over its lower, at the newest stretch
AHEAD: Final = 1.5  # a forecast goes no further than half as much practice again


@dataclass(frozen=True, slots=True)
class Stretch:
    """Consecutive days of practice. practice: tries up to its middle, all told; mean: catches a try."""

    practice: float
    mean: float
    tries: int
    last_day: date


@dataclass(frozen=True, slots=True)
class NoCurve:
    """Why there is no curve, as the end of a sentence; the stretches are shown all the same."""

    because: str
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """Mean catches of a stretch = factor · practice ^ exponent, a straight line in the logarithms of both.

    Source of the law: increase over practice in consecutive catches "was best fit with a power law", Human Movement
    Science (2004), doi:10.1016/j.humov.2004.07.002. Its numbers are estimated here from the juggler's own tries.
    """

    line: Line
    stretches: tuple[Stretch, ...]
    tries: int

    def at(self, practice: float) -> float:
        """Catches to be expected after so many tries."""
        return exp(self.line.at(log(practice)))

    def band(self, practice: float) -> tuple[float, float]:
        """Between which catches the mean of one more stretch would lie, 95 times in 100."""
        middle, half = self.line.at(log(practice)), self.line.half_band(log(practice))
        return exp(middle - half), exp(middle + half)

    @property
    def ahead(self) -> int:
        """Tries, all told, up to which there is a forecast."""
        return round(self.tries * AHEAD)


def learning_curve(days: Iterable[tuple[date, int, int]]) -> Curve | NoCurve:
    """The curve of one figure. days: each with its tries (above 0) and catches, in the order of time."""
    practised = tuple(days)
    tries = sum(day_tries for _, day_tries, _ in practised)
    stretches = _stretches(practised, tries)
    reason = _too_little(practised, stretches)
    if reason:
        return NoCurve(reason, stretches)
    line = fit_line([log(each.practice) for each in stretches], [log(each.mean) for each in stretches])
    curve = Curve(line, stretches, tries)
    reason = _undeserved(curve)
    return NoCurve(reason, stretches) if reason else curve


def _stretches(days: tuple[tuple[date, int, int], ...], tries: int) -> tuple[Stretch, ...]:
    """The days in stretches of about as many tries each; longer ones where one would be without any catch."""
    least = max(FEWEST_TRIES, -(-tries // MOST_STRETCHES))
    while True:
        stretches = _cut(days, least)
        if all(stretch.mean for stretch in stretches) or len(stretches) <= 1:
            return stretches
        least *= 2


def _cut(days: tuple[tuple[date, int, int], ...], least: int) -> tuple[Stretch, ...]:
    """Stretches of at least so many tries; what is left over at the end belongs to the last."""
    groups: list[list[tuple[date, int, int]]] = [[]]
    for day in days:
        if sum(tries for _, tries, _ in groups[-1]) >= least:
            groups.append([])
        groups[-1].append(day)
    if len(groups) > 1 and sum(tries for _, tries, _ in groups[-1]) < least:
        rest = groups.pop()
        groups[-1] += rest
    stretches, before = [], 0
    for group in filter(None, groups):
        tries, catches = sum(day[1] for day in group), sum(day[2] for day in group)
        stretches.append(Stretch(before + (tries + 1) / 2, catches / tries, tries, group[-1][0]))
        before += tries
    return tuple(stretches)


def _too_little(days: tuple[tuple[date, int, int], ...], stretches: tuple[Stretch, ...]) -> str:
    """What is missing for a fit at all; empty if nothing is."""
    if not any(catches for _, _, catches in days):
        return "no catch was counted yet" if days else "there were no tries yet"
    if len(stretches) < FEWEST_STRETCHES:
        return (
            f"there were too few days with {FEWEST_TRIES} tries and a catch in them: "
            f"{len(stretches)} of the {FEWEST_STRETCHES} it takes"
        )
    span = (days[-1][0] - days[0][0]).days
    if span < SHORTEST_DAYS:
        return f"all tries lay within {span} days, and two weeks are the least to tell learning from a good week by"
    return ""


def _undeserved(curve: Curve) -> str:
    """Why what was fitted is no ground for a curve; empty if it is."""
    if curve.line.slope_high < -ROUNDING:
        return "the catches became fewer with practice, and the law is one of growth"
    if curve.line.slope_low <= ROUNDING:
        return "no growth could be told from chance"
    low, high = curve.band(curve.stretches[-1].practice)
    if high > WIDEST * low:
        return f"the stretches differed too much: the next could be anywhere from {low:.1f} to {high:.0f} catches"
    return ""
