"""The command find: patterns as they are found, one a line or as JSON, or only how many there are."""

from __future__ import annotations

import argparse
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from math import inf
from types import FrameType

from trainer.commands.words import add_json, parser_of
from trainer.siteswap.query import Only, SearchQuery, text_to_bounded, texts_to_query
from trainer.siteswap.search import survey
from trainer.siteswap.throws import Rhythm

MOST_LISTED = 999_999
STOPPED = 1
PATIENCE_S = 3.0
"""Seconds without a pattern after which a person is told that the search goes on."""


def words() -> argparse.ArgumentParser:
    parser = parser_of("find", "All patterns of so many objects and beats, each once, as they are found.")
    parser.add_argument("--objects", required=True, metavar="N", help="how many objects")
    parser.add_argument("--period", required=True, metavar="P", help="after how many beats they repeat")
    parser.add_argument("--highest", metavar="H", help="no throw above this value")
    parser.add_argument("--lowest", metavar="L", help="no throw below this value")
    parser.add_argument("--ground", action="store_true", help="only those a cascade or fountain goes straight into")
    parser.add_argument("--prime", action="store_true", help="only those that don't fall into shorter patterns")
    parser.add_argument("--no-zip", action="store_true", help="without the quick throw straight across: 1, in sync 2x")
    parser.add_argument("--contains", metavar="VALUES", help="throws they must have, such as 5,1")
    parser.add_argument("--limit", metavar="K", help="stop after this many")
    parser.add_argument("--count", action="store_true", help="only how many there are")
    parser.add_argument("--sync", action="store_true", help="both hands throw together, every second beat")
    add_json(parser)
    return parser


def run(asked: argparse.Namespace) -> int:
    query = to_query(asked)
    limit = None if asked.limit is None else text_to_bounded(asked.limit, "limit", 1, MOST_LISTED)
    if asked.count:
        return _print_count(query, limit, asked)
    with _asked_to_stop() as stop:
        return _print_all(query, limit, stop, _Json() if asked.json else _Lines())


def to_query(asked: argparse.Namespace) -> SearchQuery:
    """What the options ask for. Raises SearchError."""
    wanted = {Only.GROUND: asked.ground, Only.PRIME: asked.prime, Only.NO_ZIP: asked.no_zip}
    return texts_to_query(
        asked.objects,
        asked.period,
        asked.highest or "",
        asked.lowest or "",
        asked.contains or "",
        [only for only, is_wanted in wanted.items() if is_wanted],
        Rhythm.SYNC if asked.sync else Rhythm.ASYNC,
    )


def _print_count(query: SearchQuery, limit: int | None, asked: argparse.Namespace) -> int:
    from trainer.siteswap.enumeration import count_patterns

    count = count_patterns(query)
    count = count if limit is None else min(count, limit)
    print(f'{{"count": {count}}}' if asked.json else count)
    return 0


@dataclass
class Stop:
    """Whether a user has asked to stop."""

    asked: bool = False


@contextmanager
def _asked_to_stop() -> Iterator[Stop]:
    """Let the first Ctrl-C ask, so that what is being written is written to its end; a second one interrupts."""
    stop = Stop()
    before = signal.getsignal(signal.SIGINT)

    def ask(_signal: int, _frame: FrameType | None) -> None:
        stop.asked = True
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, ask)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)


class _Lines:
    """Prints a pattern a line; how the search ended goes to standard error."""

    def begin(self) -> None:
        pass

    def add(self, text: str, number: int) -> None:
        print(text, flush=True)

    def wait(self) -> None:
        if sys.stderr.isatty():
            print("Nothing found yet; still searching. Ctrl-C stops.", file=sys.stderr)

    def end(self, count: int, stop: Stop) -> None:
        if not count and not stop.asked:
            print("There is no such pattern.", file=sys.stderr)
        elif sys.stdout.isatty() and not stop.asked:
            print(f"{count:,} pattern{'s' if count != 1 else ''}", file=sys.stderr)


class _Json:
    """Prints one JSON object, pattern by pattern; if the search is stopped, it is whole and says that it was."""

    def begin(self) -> None:
        print('{"patterns": [', end="", flush=True)

    def add(self, text: str, number: int) -> None:
        print(f'{"," if number > 1 else ""}\n  "{text}"', end="", flush=True)

    def wait(self) -> None:
        pass

    def end(self, count: int, stop: Stop) -> None:
        stopped = ', "stopped": true' if stop.asked else ""
        print(f'\n], "count": {count}{stopped}}}', flush=True)


def _print_all(query: SearchQuery, limit: int | None, stop: Stop, page: _Lines | _Json) -> int:
    count = 0
    patience_until_s = time.monotonic() + PATIENCE_S
    page.begin()
    for text in survey(query):
        if stop.asked:
            break
        if text is not None:
            count += 1
            page.add(text, count)
            if count == limit:
                break
        elif not count and time.monotonic() > patience_until_s:
            patience_until_s = inf
            page.wait()
    page.end(count, stop)
    if stop.asked:
        print(f"throwbeat: Stopped; {count:,} found so far.", file=sys.stderr)
        return STOPPED
    return 0
