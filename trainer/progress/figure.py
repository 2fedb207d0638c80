"""Progress of one figure: its totals by tempo, day and week, its rates and curve, and the calendar of practice."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import Final

from trainer.progress.estimates import Rate, wilson
from trainer.progress.learning import Curve, NoCurve, PracticeDay, learning_curve
from trainer.records.totals import Figure, Tally, Total, add_up

TEMPO_STEP: Final = 10  # beats per minute: width of a step of tempos
MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
LEVELS: Final = 4  # of practice in the calendar, above "no practice"

COUNTED: Final = {
    "beat": "counted by the beat",
    "taps": "counted by taps",
    "hand": "counted by hand",
}
"""How a figure's catches were counted → how that is said beside it."""

DayThreshold = tuple[date, float]
"""A day, and the held tempo in beats per minute that a climb of that day found."""


@dataclass(frozen=True, slots=True)
class AtTempo:
    """The tries from one tempo, in beats per minute, up to `TEMPO_STEP` above it, which is excluded."""

    from_bpm: int
    total: Total
    flash: Rate
    qualify: Rate


@dataclass(frozen=True, slots=True)
class HeldTempo:
    """The held tempos, in beats per minute, that a week's climbs found. week: its Monday."""

    week: date
    mean_bpm: float
    lowest_bpm: float
    highest_bpm: float
    climbs: int


@dataclass(frozen=True, slots=True)
class FigureProgress:
    """All progress of one figure. best_day: the day on which its best was first reached."""

    figure: Figure
    total: Total
    best_day: date
    flash: Rate
    qualify: Rate
    days: tuple[tuple[date, Total], ...]
    tempos: tuple[AtTempo, ...]
    curve: Curve | NoCurve
    held: tuple[HeldTempo, ...] = ()


def progress(
    figure: Figure, tallies: Iterable[Tally], tempos: Mapping[Fraction, Total], thresholds: Iterable[DayThreshold] = ()
) -> FigureProgress:
    """Return a figure's progress.

    tallies: may include those of other figures. tempos: the figure's totals by beats per minute. thresholds: of its
    climbs. Raises ValueError without a tally of that figure.
    """
    own = [tally for tally in tallies if tally.figure == figure]
    if not own:
        raise ValueError(f"no tries of {figure.title}")
    total, days = add_up(own), by_day(own)
    return FigureProgress(
        figure=figure,
        total=total,
        best_day=next(day for day, of in days.items() if of.best == total.best),
        flash=wilson(total.flashes, total.tries),
        qualify=wilson(total.qualifies, total.tries),
        days=tuple(days.items()),
        tempos=by_tempo(tempos),
        curve=learning_curve(PracticeDay(day, of.tries, of.catches, of.drops) for day, of in days.items()),
        held=held_by_week(thresholds),
    )


def by_day(tallies: Iterable[Tally]) -> dict[date, Total]:
    """Return a total for each day with tries, oldest first."""
    found: dict[date, Total] = {}
    for tally in tallies:
        found[tally.day] = found[tally.day] + tally.total if tally.day in found else tally.total
    return dict(sorted(found.items()))


def by_tempo(tempos: Mapping[Fraction, Total]) -> tuple[AtTempo, ...]:
    """Return a total for each step of tempo with tries, slowest first."""
    found: dict[int, Total] = {}
    for tempo, total in tempos.items():
        from_bpm = tempo // Fraction(TEMPO_STEP) * TEMPO_STEP
        found[from_bpm] = found.get(from_bpm, Total()) + total
    return tuple(
        AtTempo(from_bpm, of, wilson(of.flashes, of.tries), wilson(of.qualifies, of.tries))
        for from_bpm, of in sorted(found.items())
    )


def held_by_week(thresholds: Iterable[DayThreshold]) -> tuple[HeldTempo, ...]:
    """Return the thresholds of climbs by week, oldest first."""
    weeks: dict[date, list[float]] = {}
    for day, tempo_bpm in thresholds:
        weeks.setdefault(monday(day), []).append(tempo_bpm)
    return tuple(
        HeldTempo(week, sum(found) / len(found), min(found), max(found), len(found))
        for week, found in sorted(weeks.items())
    )


def monday(day: date) -> date:
    """Return the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


@dataclass(frozen=True, slots=True)
class Week:
    """A week of the calendar.

    levels: Monday to Sunday, from 0 (no practice) to `LEVELS` (most); None for a day to come.
    """

    monday: date
    levels: tuple[int | None, ...]

    @property
    def heading(self) -> str:
        """The name of the month if this is the first week that begins in it; otherwise empty."""
        return MONTHS[self.monday.month - 1] if self.monday.day <= len(self.levels) else ""


def calendar(days: Mapping[date, Total], today: date, weeks: int) -> tuple[Week, ...]:
    """Return the last `weeks` weeks up to and with the one of `today`, oldest first.

    A day's level is the quarter, among all days with practice in these weeks, that its number of tries falls in.
    """
    first = monday(today) - timedelta(weeks=weeks - 1)
    counts = sorted(total.tries for day, total in days.items() if first <= day <= today)

    def level(day: date) -> int | None:
        if day > today:
            return None
        tries = days[day].tries if day in days else 0
        fewer = bisect_left(counts, tries)
        return 1 + fewer * LEVELS // len(counts) if tries else 0

    mondays = (first + timedelta(weeks=number) for number in range(weeks))
    return tuple(Week(start, tuple(level(start + timedelta(days=n)) for n in range(7))) for start in mondays)
