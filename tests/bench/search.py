"""How long does a search take? Throw by throw, counted by formula, and filtering every text of digits.

Run: python tests/bench/search.py
The filter tries every row of values up to the highest with the right sum, by the same permutation test that makes a
row a pattern; where that would take minutes it is timed on a part and scaled up (marked ~).
"""

import sys
import time
from collections.abc import Callable
from itertools import islice, product
from math import nan
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from trainer.siteswap.enumeration import count_patterns
from trainer.siteswap.query import Only, SearchQuery
from trainer.siteswap.search import find_patterns
from trainer.siteswap.throws import Rhythm

MOST_TRIED = 2_000_000
GROUND, PRIME = frozenset({Only.GROUND}), frozenset({Only.PRIME})
QUERIES = [
    ("3 objects, period 5, highest 7", SearchQuery(3, 5, 7)),
    ("5 objects, period 7, highest 9", SearchQuery(5, 7, 9)),
    ("5 objects, period 7, any height", SearchQuery(5, 7)),
    ("  with a 5 and a 1, highest 9", SearchQuery(5, 7, 9, contains=(5, 1))),
    ("  ground, highest 9", SearchQuery(5, 7, 9, only=GROUND)),
    ("  prime, highest 9", SearchQuery(5, 7, 9, only=PRIME)),
    ("7 objects, period 8, highest 11", SearchQuery(7, 8, 11)),
    ("sync, 4 objects, period 6, highest 8", SearchQuery(4, 6, 8, rhythm=Rhythm.SYNC)),
    ("sync, 5 objects, period 8, highest 8", SearchQuery(5, 8, 8, rhythm=Rhythm.SYNC)),
]


def time_of(work: Callable[[], object]) -> float:
    begun_s = time.process_time()
    work()
    return time.process_time() - begun_s


def filter_all_s(query: SearchQuery) -> tuple[float, str]:
    """Seconds to try every text of an async query, one rotation each kept; and a ~ if that was scaled up."""
    period, values = query.period, range(query.top + 1)
    rows = len(values) ** period
    tried = min(rows, MOST_TRIED)

    def work() -> None:
        for row in islice(product(values, repeat=period), tried):
            if (
                sum(row) == query.objects * period
                and len({(at + value) % period for at, value in enumerate(row)}) == period
            ):
                max(row[cut:] + row[:cut] for cut in range(period))

    return time_of(work) * rows / tried, "~" if tried < rows else ""


def main() -> None:
    print(f"{'':38}{'patterns':>9}{'first':>10}{'all':>10}{'count':>10}{'filter all texts':>19}")
    for name, query in QUERIES:
        first_s = time_of(lambda query=query: next(find_patterns(query)))
        all_s = time_of(lambda query=query: sum(1 for _ in find_patterns(query)))
        count_s = time_of(lambda query=query: count_patterns(query))
        times = "".join(f"{seconds * 1000:7.1f} ms" for seconds in (first_s, all_s, count_s))
        filtered_s, about = filter_all_s(query) if query.rhythm is Rhythm.ASYNC else (nan, "")
        print(f"{name:38}{count_patterns(query):9}{times}{f'{about}{filtered_s:.3g} s':>19}")


if __name__ == "__main__":
    main()
