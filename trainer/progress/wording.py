"""Progress in words, for the screen, the command and the picture alike."""

from __future__ import annotations

from trainer.progress.estimates import Rate
from trainer.progress.figure import COUNTED, FigureProgress
from trainer.progress.learning import Curve, NoCurve
from trainer.records.totals import Figure

LONGEST_NAME = 200


def heading(figure: Figure) -> str:
    """Name a figure: pattern, prop, way of counting and juggler."""
    parts = (pattern(figure), figure.prop, COUNTED[figure.counted_by], figure.juggler)
    return " · ".join(shortened(part) for part in parts if part)


def whose(figure: Figure) -> str:
    """Name the pattern and the juggler of a figure."""
    return " · ".join(shortened(part) for part in (pattern(figure), figure.juggler) if part)


def shortened(name: str) -> str:
    """A name as a line tells it: an older logbook may hold one that is longer than any line."""
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1]}…"


def pattern(figure: Figure) -> str:
    """Name a pattern, with its text where that differs."""
    return figure.title if figure.title == figure.pattern else f"{figure.title} ({figure.pattern})"


def number(count: int, one: str, many: str = "") -> str:
    """Write a count with its noun, as in “1 day” or “2,070 days”. many: the plural, if it is not one + s."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def tries(count: int) -> str:
    return number(count, "try", "tries")


def share(rate: Rate) -> str:
    """Write a rate and its interval in whole percents."""
    return f"{100 * rate.share:.0f} % ({100 * rate.low:.0f} to {100 * rate.high:.0f} %)"


def catches(mean: float) -> str:
    """Write a mean of catches, below 10 with one decimal."""
    return f"{mean:.1f}" if mean < 10 else f"{mean:.0f}"


def curve(found: Curve | NoCurve) -> tuple[str, ...]:
    """Say in sentences what a learning curve shows, or why there is none."""
    if isinstance(found, NoCurve):
        return (f"No curve and no forecast, because {found.because}.",)
    line = found.line
    low, high = found.band(found.ahead)
    return (
        f"Catches grow with practice to the power {line.slope:.2f} ({line.slope_low:.2f} to {line.slope_high:.2f}); "
        f"now {catches(found.at(found.tries))} catches a drop.",
        f"After {tries(found.ahead - found.tries)} more, if it goes on like this: "
        f"{catches(found.at(found.ahead))} ({catches(low)} to {catches(high)}).",
    )


def lines(progress: FigureProgress) -> tuple[tuple[str, str], ...]:
    """Return the figure's numbers, each with its label."""
    total, figure = progress.total, progress.figure
    return (
        ("rests on", f"{figure.prop}, {COUNTED[figure.counted_by]}"),
        ("best", f"{number(total.best, 'catch', 'catches')}, first on {progress.best_day}"),
        ("flash", f"{share(progress.flash)} of {tries(total.tries)}"),
        ("qualify", share(progress.qualify)),
        ("practice", f"{number(len(progress.days), 'day')} since {progress.days[0][0]}"),
    )
