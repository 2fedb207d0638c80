"""The command find: patterns as they are found, one a line or as JSON, or only how many there are."""

from __future__ import annotations

import argparse
import signal
import sys
import time
from collections.abc import Callable, Iterator
from itertools import islice
from math import inf
from threading import Event
from types import FrameType

from trainer.commands.bar import handling
from trainer.commands.terminal import complain, tell, warn
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
    stop = Event()

    def ask(_signal: int, _frame: FrameType | None) -> None:
        stop.set()
        signal.signal(signal.SIGINT, signal.default_int_handler)

    # The first Ctrl-C asks, so that what is being written is written to its end; a second one interrupts.
    with handling({signal.SIGINT: ask}):
        count = (_print_json if asked.json else _print_lines)(query, limit, stop)
    if stop.is_set():
        complain(f"Stopped; {count:,} found so far.")
        return STOPPED
    return 0


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
    tell(f'{{"count": {count}}}' if asked.json else count)
    return 0


def _found(query: SearchQuery, stop: Event, wait: Callable[[], None]) -> Iterator[str]:
    """The patterns until the user asks to stop. wait: called once if nothing is found for long."""
    patience_until_s = time.monotonic() + PATIENCE_S
    for text in survey(query):
        if stop.is_set():
            return
        if text is not None:
            patience_until_s = inf
            yield text
        elif time.monotonic() > patience_until_s:
            patience_until_s = inf
            wait()


def _print_lines(query: SearchQuery, limit: int | None, stop: Event) -> int:
    """Print a pattern a line, and to standard error how the search ended; how many there were."""
    count = 0
    for text in islice(_found(query, stop, _say_to_wait), limit):
        count += 1
        tell(text)
    if not count and not stop.is_set():
        warn("There is no such pattern.")
    elif sys.stdout.isatty() and not stop.is_set():
        warn(f"{count:,} pattern{'s' if count != 1 else ''}")
    return count


def _say_to_wait() -> None:
    if sys.stderr.isatty():
        warn("Nothing found yet; still searching. Ctrl-C stops.")


def _print_json(query: SearchQuery, limit: int | None, stop: Event) -> int:
    """Print one JSON object, pattern by pattern, which is whole and says so if the search is stopped; how many."""
    count = 0
    tell('{"patterns": [', end="")
    for text in islice(_found(query, stop, lambda: None), limit):
        count += 1
        tell("," if count > 1 else "")
        tell(f'  "{text}"', end="")
    stopped = ', "stopped": true' if stop.is_set() else ""
    tell("", f'], "count": {count}{stopped}}}')
    return count
