"""The command log progress: bests, rates with their intervals, tempos and the learning curve, as text or as JSON."""

from __future__ import annotations

import argparse
from datetime import datetime
from typing import Any

from trainer.commands.asked import require_one_of, words_to_choice
from trainer.commands.terminal import tell, tell_json
from trainer.commands.words import add_json, add_pattern, parser_of
from trainer.errors import TrainerError
from trainer.files.places import places
from trainer.logbook.store import Logbook
from trainer.progress import wording
from trainer.progress.estimates import Rate
from trainer.progress.figure import FigureProgress, progress
from trainer.progress.learning import Curve, NoCurve
from trainer.progress.lines import calendar_lines, tempo_lines
from trainer.records.attempt import CountedBy

WIDTH = 78
IN_FULL = 3
"""So many figures are told in full; of more, only their numbers."""


def words() -> argparse.ArgumentParser:
    parser = parser_of("log progress", "How catches and tempo have grown: bests, rates, a learning curve, days.")
    add_pattern(parser, "*")
    add_figure(parser)
    add_json(parser, "print all figures as JSON")
    return parser


def run(asked: argparse.Namespace) -> int:
    found, count = read_progress(asked)
    if asked.json:
        tell_json([to_json(each) for each in found], ensure_ascii=False)
        return 0
    refuse_none(count, asked)
    for place, each in enumerate(found):
        tell(*([""] if place else []), *(page(each) if count <= IN_FULL else numbers(each)))
    if count > IN_FULL:
        tell("", "Name a pattern, or give --prop, --count or --juggler, to see curves, tempos and days.")
    return 0


def add_figure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--prop", metavar="PROP", help="only with this prop")
    parser.add_argument("--count", metavar="WAY", help="only counted this way: beat, taps or hand")
    parser.add_argument("--juggler", metavar="NAME", help="only of this juggler")


def read_progress(asked: argparse.Namespace, limit: int | None = None) -> tuple[tuple[FigureProgress, ...], int]:
    """The progress of the figures asked for, the one practised last first, at most `limit`; and how many there were."""
    pattern = words_to_choice(asked.pattern).pattern.text if asked.pattern else None
    counted_by = None if asked.count is None else require_one_of(asked.count, "--count", tuple(CountedBy))
    with Logbook.open_to_read(places().logbook) as book:
        found = [
            figure
            for figure in book.tried()
            if pattern in (None, figure.pattern)
            and counted_by in (None, figure.counted_by)
            and asked.prop in (None, figure.prop)
            and asked.juggler in (None, figure.juggler)
        ]
        return tuple(
            progress(figure, book.tallies(figure), book.tempos(figure), book.thresholds(figure))
            for figure in found[:limit]
        ), len(found)


def refuse_none(found: int, asked: argparse.Namespace) -> None:
    """TrainerError if there is nothing to tell of."""
    if not found:
        narrowed = any(each for each in (asked.pattern, asked.prop, asked.count, asked.juggler))
        raise TrainerError(
            "No tries of that were in the logbook; “throwbeat log progress” lists what there is."
            if narrowed
            else "No tries were in the logbook yet. Open “throwbeat” and make the first, or look at “throwbeat demo”."
        )


def now() -> datetime:
    """The time of day with its offset."""
    return datetime.now().astimezone()


def numbers(found: FigureProgress) -> list[str]:
    """The figure's numbers, with a heading."""
    return [wording.whose(found.figure), *(f"  {name:9} {text}" for name, text in wording.lines(found))]


def page(found: FigureProgress) -> list[str]:
    """All that is known of the figure."""
    held = [
        f"  week of {week.week}  {week.mean_bpm:.0f} beats a minute held ({wording.number(week.climbs, 'climb')})"
        for week in found.held
    ]
    return [
        *numbers(found),
        *(f"  {'learning' if not place else '':9} {said}" for place, said in enumerate(wording.curve(found.curve))),
        "",
        *(f"  {line}" for line in tempo_lines(found.tempos, WIDTH)),
        *(["", *held] if held else []),
        "",
        *(f"  {line}" for line in calendar_lines(dict(found.days), now().date(), WIDTH)),
    ]


def to_json(found: FigureProgress) -> dict[str, Any]:
    """The figure's progress in plain values; bests in catches, learning in catches a drop, tempos in beats a minute."""
    figure, total = found.figure, found.total
    return {
        "pattern": figure.pattern,
        "name": figure.name,
        "prop": figure.prop,
        "counted_by": figure.counted_by.value,
        "juggler": figure.juggler,
        "tries": total.tries,
        "catches": total.catches,
        "seconds": total.seconds,
        "best_catches": total.best,
        "best_day": found.best_day.isoformat(),
        "flash": _rate(found.flash),
        "qualify": _rate(found.qualify),
        "by_tempo": [
            {"from_bpm": step.from_bpm, "tries": step.total.tries, "best_catches": step.total.best,
             "flash": _rate(step.flash), "qualify": _rate(step.qualify)}
            for step in found.tempos
        ],
        "by_day": [
            {"day": day.isoformat(), "tries": of.tries, "catches": of.catches, "best_catches": of.best,
             "drops": of.drops, "flashes": of.flashes, "qualifies": of.qualifies, "seconds": of.seconds}
            for day, of in found.days
        ],
        "learning": _curve(found.curve),
        "held_by_week": [
            {"monday": week.week.isoformat(), "mean_bpm": week.mean_bpm, "lowest_bpm": week.lowest_bpm,
             "highest_bpm": week.highest_bpm, "climbs": week.climbs}
            for week in found.held
        ],
    }  # fmt: skip


def _rate(rate: Rate) -> dict[str, float]:
    return {"successes": rate.successes, "tries": rate.tries, "share": rate.share, "low": rate.low, "high": rate.high}


def _curve(curve: Curve | NoCurve) -> dict[str, Any]:
    stretches = [
        {"tries_so_far": each.practice, "catches_a_drop": each.mean, "tries": each.tries, "drops": each.drops}
        for each in curve.stretches
    ]
    if isinstance(curve, NoCurve):
        return {"none_because": curve.because, "stretches": stretches}
    low, high = curve.band(curve.ahead)
    return {
        "exponent": curve.line.slope,
        "exponent_low": curve.line.slope_low,
        "exponent_high": curve.line.slope_high,
        "now_catches_a_drop": curve.at(curve.tries),
        "forecast": {"tries": curve.ahead, "catches_a_drop": curve.at(curve.ahead), "low": low, "high": high},
        "stretches": stretches,
    }
