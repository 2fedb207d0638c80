"""A picture of one figure's progress to share, as SVG: its numbers, its learning curve and its days of practice.

It can be read without colour: the forecast is dashed, and a day of more practice is a larger square.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from html import escape
from textwrap import wrap
from typing import Final

from trainer.files.texts import one_line
from trainer.progress import wording
from trainer.progress.figure import COUNTED, LEVELS, FigureProgress, calendar
from trainer.progress.learning import Curve, NoCurve
from trainer.progress.ticks import ticks

WIDTH: Final = 1200
HEIGHT: Final = 940
PAPER, INK, FAINT, GRID = "#faf8f3", "#22262b", "#5d646c", "#d9d5cb"
LINE, BAND, DOT, DAY = "#1f5f8b", "#c9dceb", "#b3541e", "#3f7d4e"
FONT: Final = "DejaVu Sans"
FAMILY: Final = f"{FONT}, Verdana, sans-serif"

LEFT, RIGHT, TOP, BOTTOM = 110, 1150, 290, 610
"""The edges of the curve's part, in units of the picture."""

CALENDAR_TOP: Final = 758
CELL: Final = 19
WEEKS: Final = 53
LONGEST_TITLE: Final = 44
LONGEST_LINE: Final = 108
BAND_POINTS: Final = 60

At = Callable[[float, float], tuple[float, float]]
"""Tries and catches → a place in the picture."""


def picture(progress: FigureProgress, today: date) -> str:
    """Return the picture as SVG text."""
    foot = _text(50, HEIGHT - 20, "made with throwbeat", 15, f'fill="{FAINT}"')
    body = "\n".join((*_head(progress), *_curve(progress), *_days(progress, today), foot))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'font-family="{FAMILY}" fill="{INK}">\n<title>{_clean(wording.heading(progress.figure))}</title>\n'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{PAPER}"/>\n{body}\n</svg>\n'
    )


def _clean(text: str) -> str:
    return escape(one_line(text))


def _text(x: float, y: float, text: str, size: int, more: str = "") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}" {more}>{_clean(text)}</text>'


def _head(progress: FigureProgress) -> Iterator[str]:
    figure, total = progress.figure, progress.total
    title = figure.title if len(figure.title) <= LONGEST_TITLE else figure.title[: LONGEST_TITLE - 1] + "…"
    yield _text(50, 78, title, 42, 'font-weight="bold"')
    text = "" if figure.title == figure.pattern else figure.pattern
    rests_on = filter(None, (text, figure.prop, COUNTED[figure.counted_by], figure.juggler))
    yield _text(50, 114, " · ".join(map(wording.shortened, rests_on)), 20, f'fill="{FAINT}"')
    numbers = (
        (f"{total.best:,}", "catches at best", f"first on {progress.best_day}"),
        (f"{100 * progress.flash.share:.0f} %", "flashed", _interval(progress.flash.low, progress.flash.high)),
        (f"{100 * progress.qualify.share:.0f} %", "qualified", _interval(progress.qualify.low, progress.qualify.high)),
        (f"{total.tries:,}", "tries", f"on {wording.number(len(progress.days), 'day')}"),
    )
    for place, (large, label, below) in enumerate(numbers):
        x = 50 + 285 * place
        yield _text(x, 180, large, 46, 'font-weight="bold"')
        yield _text(x, 207, label, 18)
        yield _text(x, 230, below, 16, f'fill="{FAINT}"')


def _interval(low: float, high: float) -> str:
    return f"between {100 * low:.0f} and {100 * high:.0f} % (95 %)"


def _curve(progress: FigureProgress) -> Iterator[str]:
    curve = progress.curve
    last = curve.ahead if isinstance(curve, Curve) else progress.total.tries
    most = max([stretch.mean for stretch in curve.stretches] + [1.0])
    if isinstance(curve, Curve):
        most = max(most, curve.band(last)[1])

    def at(practice: float, mean: float) -> tuple[float, float]:
        return LEFT + (RIGHT - LEFT) * practice / last, BOTTOM - (BOTTOM - TOP) * mean / (1.08 * most)

    for tick in ticks(0, 1.08 * most, 6):
        x, y = at(0, tick)
        yield f'<path d="M{x:.1f} {y:.1f}H{RIGHT}" stroke="{GRID}"/>'
        yield _text(x - 12, y + 6, f"{tick:,g}", 16, f'text-anchor="end" fill="{FAINT}"')
    for tick in ticks(0, last, min(9, 1 + last)):  # whole tries
        yield _text(at(tick, 0)[0], BOTTOM + 24, f"{tick:,.0f}", 16, f'text-anchor="middle" fill="{FAINT}"')
    yield _text(50, TOP - 14, "catches a drop, in a stretch of days", 16, f'fill="{FAINT}"')
    yield _text(RIGHT, BOTTOM + 52, "tries so far", 16, f'text-anchor="end" fill="{FAINT}"')
    if isinstance(curve, Curve):
        yield from _fitted(curve, at)
    for stretch in curve.stretches:
        x, y = at(stretch.practice, stretch.mean)
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5.5" fill="{DOT}"/>'
    said = "line: the power law that fits; dashed: a forecast; around it: where 95 of 100 stretches lie"
    if isinstance(curve, NoCurve):
        (said,) = wording.curve(curve)
    for row, line in enumerate(wrap(said, LONGEST_LINE)):
        yield _text(50, BOTTOM + 52 + 21 * row, line, 16)


def _fitted(curve: Curve, at: At) -> Iterator[str]:
    """Yield the band, the line up to the latest try, and the dashed forecast."""
    first = curve.stretches[0].practice
    xs = [first * (curve.ahead / first) ** (step / BAND_POINTS) for step in range(BAND_POINTS + 1)]
    edge = [at(x, curve.band(x)[1]) for x in xs] + [at(x, curve.band(x)[0]) for x in reversed(xs)]
    yield f'<path d="{_path(edge)}Z" fill="{BAND}" fill-opacity="0.7"/>'
    so_far = [x for x in xs if x < curve.tries] + [float(curve.tries)]
    to_come = [float(curve.tries)] + [x for x in xs if x > curve.tries]
    for part, dashes in ((so_far, ""), (to_come, ' stroke-dasharray="10 8"')):
        points = [at(x, curve.at(x)) for x in part]
        yield f'<path d="{_path(points)}" fill="none" stroke="{LINE}" stroke-width="3.5"{dashes}/>'


def _path(points: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def _days(progress: FigureProgress, today: date) -> Iterator[str]:
    weeks = calendar(dict(progress.days), today, WEEKS)
    yield _text(50, CALENDAR_TOP - 32, "days of practice", 16, f'fill="{FAINT}"')
    yield _text(RIGHT, CALENDAR_TOP - 32, "the larger, the more tries", 16, f'text-anchor="end" fill="{FAINT}"')
    for row, name in ((0, "Mon"), (3, "Thu"), (6, "Sun")):
        yield _text(50, CALENDAR_TOP + CELL * (row + 0.75), name, 13, f'fill="{FAINT}"')
    for column, week in enumerate(weeks):
        x = LEFT + CELL * column + CELL / 2
        if week.heading:
            yield _text(x - CELL / 2, CALENDAR_TOP - 8, week.heading, 13, f'fill="{FAINT}"')
        for row, level in enumerate(week.levels):
            if level is not None:
                yield _square(x, CALENDAR_TOP + CELL * row + CELL / 2, level)


def _square(x: float, y: float, level: int) -> str:
    side = (CELL - 3) * level / LEVELS if level else 3.0
    fill = DAY if level else GRID
    return f'<rect x="{x - side / 2:.1f}" y="{y - side / 2:.1f}" width="{side:.1f}" height="{side:.1f}" fill="{fill}"/>'
