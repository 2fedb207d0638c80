"""The command link: the shortest throws from one pattern to another and back, for a learner or as JSON."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from trainer.commands.asked import words_to_choice
from trainer.commands.terminal import tell, tell_json
from trainer.commands.words import add_json, parser_of
from trainer.siteswap.links import (
    LinkError,
    Point,
    Route,
    all_points,
    find_route,
    require_linkable,
    start_points,
    stretch_to_text,
)
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.query import text_to_bounded
from trainer.siteswap.throws import HIGHEST_VALUE, Rhythm

WIDTH = 80
LONGEST_TITLE = 24
BAR = " | "
COUNTED = {Rhythm.ASYNC: ("throw", "throws"), Rhythm.SYNC: ("pair of throws", "pairs of throws")}


@dataclass(frozen=True, slots=True)
class Bridge:
    """Two patterns and the ways between them."""

    one: Pattern
    other: Pattern
    into: Route
    back: Route

    @property
    def pieces(self) -> tuple[str, str, str, str]:
        """One after another, each in siteswap: a stretch of the one, the link, a stretch of the other, the link back.

        A stretch is a period or more, from where the pattern is joined to where it is left.
        """
        return (
            _stretch(self.one, self.back.joins_at, self.into.leaves_at),
            self.into.text,
            _stretch(self.other, self.into.joins_at, self.back.leaves_at),
            self.back.text,
        )


def _stretch(pattern: Pattern, joined_at: int, left_at: int) -> str:
    return stretch_to_text(pattern, joined_at, left_at + pattern.period * (1 if left_at >= joined_at else 2))


def words() -> argparse.ArgumentParser:
    parser = parser_of("link", "The shortest throws from the end of one pattern to the start of another, and back.")
    parser.add_argument("start", metavar="FROM", help="a name or a siteswap; a name of several words in quotes")
    parser.add_argument("goal", metavar="TO", help="a name or a siteswap")
    parser.add_argument("--highest", metavar="H", help="no throw of the links above this value")
    parser.add_argument("--any-point", action="store_true", help="leave and join at any beat, wherever it is shortest")
    add_json(parser, "print the links as JSON; beats counted from 0")
    return parser


def run(asked: argparse.Namespace) -> int:
    highest = HIGHEST_VALUE
    if asked.highest is not None:
        highest = text_to_bounded(asked.highest, "highest throw", 0, HIGHEST_VALUE)
    one, other = (words_to_choice([words]).pattern for words in (asked.start, asked.goal))
    require_linkable(one, other)
    points = all_points if asked.any_point else start_points
    into, back = _both_ways(one, other, points, highest)
    if into is None or back is None:
        start, goal = (one, other) if into is None else (other, one)
        said = f"No throws up to {highest} lead from {_cut(start.text)} to {_cut(goal.text)}"
        higher = range(highest + 1, HIGHEST_VALUE + 1)
        enough = next((bound for bound in higher if all(_both_ways(one, other, points, bound))), None)
        raise LinkError(f"{said}; choose --highest {enough}." if enough else f"{said}.")
    bridge = Bridge(one, other, into, back)
    if asked.json:
        tell_json(to_json(bridge, asked), ensure_ascii=False)
    else:
        tell(*to_lines(bridge))
    return 0


def _both_ways(
    one: Pattern, other: Pattern, points: Callable[[Pattern], tuple[Point, ...]], highest: int
) -> tuple[Route | None, Route | None]:
    here, there = points(one), points(other)
    return find_route(one, other, here, there, highest), find_route(other, one, there, here, highest)


def to_json(bridge: Bridge, asked: argparse.Namespace) -> dict[str, Any]:
    """The links as texts, empty where none are needed; with --any-point the beats, from 0, they leave and join at."""
    told = {
        "from": bridge.one.text,
        "to": bridge.other.text,
        "into": bridge.into.text,
        "into_beats": bridge.into.beats,
        "back": bridge.back.text,
        "back_beats": bridge.back.beats,
    }
    if not asked.any_point:
        return told
    return told | {
        "into_leaves_at": bridge.into.leaves_at,
        "into_joins_at": bridge.into.joins_at,
        "back_leaves_at": bridge.back.leaves_at,
        "back_joins_at": bridge.back.joins_at,
    }


def to_lines(bridge: Bridge) -> list[str]:
    """The page: how many throws, which, and what all of it looks like in a row; no line wider than WIDTH."""
    one, other = bridge.one, bridge.other
    things = "1 object" if one.objects == 1 else f"{one.objects} objects"
    names = [_cut(one.text), _cut(other.text)]
    lines = [
        f"Between {names[0]} and {names[1]}, {things}",
        "",
        *_way_lines(f"{names[0]} → {names[1]}", bridge.into, one, other),
        *_way_lines(f"{names[1]} → {names[0]}", bridge.back, other, one),
        "",
        "In a row, from one bar to the next:",
        *_row(bridge),
        "",
        *_told(bridge),
    ]
    return [line for text in lines for line in textwrap.wrap(text, WIDTH, subsequent_indent="      ") or [""]]


def _way_lines(title: str, way: Route, start: Pattern, goal: Pattern) -> list[str]:
    """One way: its throws, then where it leaves and joins if that is not at the ends of rounds."""
    if way.beats:
        count = way.beats // start.beat_step
        one, several = COUNTED[start.rhythm]
        lines = [f"{title}   {count} {one if count == 1 else several}: {way.text}"]
    else:
        lines = [f"{title}   no throws needed: go straight on"]
    if way.leaves_at or way.joins_at:
        lines.append(f"      leave {_where(start, way.leaves_at)}, join {_where(goal, way.joins_at)}")
    return lines


def _where(pattern: Pattern, beat: int) -> str:
    if beat == 0:
        return f"{_cut(pattern.text)} between two rounds"
    return f"{_cut(pattern.text)} before beat {beat + 1}, the {stretch_to_text(pattern, beat, beat + 1)}"


def _row(bridge: Bridge) -> list[str]:
    """The one, the link, the other, the link back, the one again; a link of no throws is left out."""
    first, into, second, back = bridge.pieces
    return textwrap.wrap(
        BAR.join(piece for piece in (first, into, second, back, first) if piece),
        WIDTH,
        initial_indent="  ",
        subsequent_indent="  ",
        break_on_hyphens=False,
    )


def _told(bridge: Bridge) -> list[str]:
    """What a learner has to know to throw it."""
    whole = "".join(bridge.pieces)
    links = bridge.into.text + bridge.back.text
    lines = ["Stay in either pattern for as many rounds as you like before you throw the link."]
    if "0" in links:
        lines.append("A 0 in a link is a hand that stays empty for that beat.")
    if bridge.one.rhythm is Rhythm.ASYNC and bridge.into.beats % 2:
        lines.append(f"The hands take turns all the way: after {bridge.into.text} the other hand begins.")
    if any(pattern.style for pattern in (bridge.one, bridge.other)):
        lines.append("A link says what is thrown, not how the arms are carried meanwhile.")
    if len(whole) <= WIDTH // 2 and bridge.one.text != bridge.other.text:
        quoted = f'"{whole}"' if not whole.isalnum() else whole
        lines.append(f"All of it is one pattern too: throwbeat {quoted}")
    return lines


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST_TITLE else f"{text[: LONGEST_TITLE - 1]}…"
