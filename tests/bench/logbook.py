"""Measures a logbook of many attempts: open, list, add, file size. Run: python tests/bench/logbook.py [N]"""

from __future__ import annotations

import random
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))  # so that it also runs in a checkout that is not installed

from trainer.logbook.records import Attempt, log_json
from trainer.logbook.store import Logbook

BEGAN = datetime(2020, 1, 1, tzinfo=UTC)
PATTERNS = ("3", "4", "5", "441", "531", "(4,4)", "[43]23", "97531")


def filled(path: Path, count: int) -> None:
    """Made-up attempts of a juggler who gets better, in one transaction: it is not the filling that is measured."""
    chance = random.Random(1)
    with Logbook.open(path) as book:
        plain = Attempt(
            session_id=book.begin_session(BEGAN), started_at=BEGAN, pattern="3", objects=3, tempo=Fraction(172),
            dwell=Fraction(2, 3), flash_at=3, qualify_at=6, catches=0, seconds=1.0, ended="drop",  # type: ignore[arg-type]
            juggler="Invented Person",
        )  # fmt: skip
        book.add_all(
            replace(
                plain,
                started_at=BEGAN + timedelta(minutes=number),
                # Nine in ten attempts are of one pattern: the worst for working out bests.
                pattern="3" if chance.random() < 0.9 else chance.choice(PATTERNS),
                catches=int(chance.expovariate(1 / (5 + number / 1000))),
            )
            for number in range(count)
        )


def milliseconds(act: Callable[[], object], times: int) -> tuple[float, float]:
    """Median and worst of `times` runs."""
    taken = []
    for _ in range(times):
        began = time.perf_counter()
        act()
        taken.append((time.perf_counter() - began) * 1000)
    return statistics.median(taken), max(taken)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "logbook.sqlite"
        filled(path, count)
        print(f"{count:,} attempts, {path.stat().st_size / 1e6:.1f} MB, SQLite {sqlite3.sqlite_version}")
        with Logbook.open(path) as book, Logbook.open_to_read(path) as reader:
            one = book.attempts(limit=1)[0]
            rows: dict[str, tuple[Callable[[], object], int]] = {
                "open to write": (lambda: Logbook.open(path).close(), 10),
                "open to read": (lambda: Logbook.open_to_read(path).close(), 10),
                "add one attempt": (lambda: book.add(one), 100),
                "list the last 50": (lambda: reader.attempts(limit=50), 20),
                "list one session": (lambda: reader.attempts(session_id=2), 20),
                "best of one figure": (lambda: reader.best_catches("3", "balls", "beat"), 20),
                "list one rare pattern": (lambda: reader.attempts("97531"), 5),
                "list everything": (lambda: reader.attempts(), 3),
                "rows for JSON": (lambda: log_json(reader.attempts(limit=1000)), 3),
                "check the whole file": (lambda: reader.problems(), 3),
            }
            for name, (act, times) in rows.items():
                median, worst = milliseconds(act, times)
                print(f"{name:<24} median {median:9.2f} ms   worst {worst:9.2f} ms")


if __name__ == "__main__":
    main()
