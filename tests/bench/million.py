"""Measures a logbook of a million made-up attempts: its size, the list, the filter, the figures, opening, migrating.

    python tests/bench/million.py [ATTEMPTS] [FOLDER]      FOLDER: keep the logbook there, and use the one that is there

Each figure is the median of several calls and the worst of them, in milliseconds of processor time: what else the
machine does is not counted.
"""

from __future__ import annotations

import random
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))  # so that it also runs in a checkout that is not installed

from trainer.logbook.filters import EVERYTHING, Filter, Sort
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit
from trainer.siteswap.grammar import parse

BEGAN = datetime(2014, 1, 1, 17, 0, tzinfo=timezone(timedelta(hours=1)))
DAYS = 4000
PATTERNS = (
    "3", "4", "5", "6", "7", "441", "531", "51", "423", "55500", "504", "534", "633", "552", "5551", "7531", "97531",
    "744", "66661", "(4,4)", "(6x,4)*", "(4,2x)*", "[43]23", "[54]24", "645", "756", "771", "5241", "52512", "450",
)  # fmt: skip
TRIED = {pattern: parse(pattern) for pattern in PATTERNS}
NAMES = {"3": "3 cascade", "4": "4 fountain", "5": "5 cascade", "51": "3 shower", "423": "W", "(4,2x)*": "box"}
PROPS = ("balls", "clubs", "rings", "Bälle")
JUGGLERS = (None, "Invented Ada", "Invented Ζωή")
WORDS = ("windy", "tired", "good", "new", "hall", "garden", "late", "early", "warm", "cold", "left", "calm", "again")
TYPED = ("5", "c", "cascade", "clubs 97531", "Ζωή 5", "windy", "e", "tempo changed to 1", "zzz", "Ada c", "531 le",
    "Ada w", "good h")  # fmt: skip


def attempts(count: int, session_ids: list[int]) -> Iterator[Attempt]:
    """Made-up attempts of three people who get better. Half of them are of one figure: the worst for lists."""
    chance = random.Random(1)
    plain = Attempt(
        session_id=1, started_at=BEGAN, pattern="3", objects=3, tempo=Fraction(172), dwell=Fraction(2, 3), flash_at=3,
        qualify_at=6, catches=0, seconds=1.0, ended=Ended.DROP,
    )  # fmt: skip
    for number in range(count):
        day = number * DAYS // count
        pattern = "3" if chance.random() < 0.5 else chance.choice(PATTERNS)
        usual = pattern == "3" or chance.random() < 0.7
        counted_by = CountedBy.BEAT if usual else chance.choice(list(CountedBy))
        notes = chance.random()
        yield replace(
            plain,
            session_id=session_ids[day],
            started_at=BEGAN + timedelta(days=day, seconds=round(chance.random() * 9000, 6)),
            pattern=TRIED[pattern].text,
            name=NAMES.get(pattern),
            objects=TRIED[pattern].objects,
            prop=PROPS[0] if usual else chance.choice(PROPS),
            juggler=None if usual else chance.choice(JUGGLERS),
            counted_by=counted_by,
            taps_unit=TapsUnit.CATCH if counted_by is CountedBy.TAPS else None,
            tempo=Fraction(150 + 5 * chance.randrange(20)) if chance.random() < 0.9 else Fraction(515, 3),
            catches=int(chance.expovariate(1 / (5 + day / 100))),
            seconds=round(chance.expovariate(1 / 8), 6),
            ended=chance.choice(list(Ended)),
            # One in twenty has a note: half of them the same few, as the trainer writes them, half of them typed in.
            note="" if notes > 0.05 else f"tempo changed to {150 + 5 * chance.randrange(20)}" if notes > 0.025
            else " ".join(chance.choices(WORDS, k=6)),
        )  # fmt: skip


def made(path: Path, count: int) -> None:
    with Logbook.open(path) as book:
        with book.at_once():
            session_ids = [book.begin_session(BEGAN + timedelta(days=day)) for day in range(DAYS)]
        book.add_all(attempts(count, session_ids))


def milliseconds(act: Callable[[], object], times: int) -> tuple[float, float]:
    """Median and worst of `times` calls."""
    taken = []
    for _ in range(times):
        began_s = time.thread_time()  # not the backup that goes on beside it
        act()
        taken.append((time.thread_time() - began_s) * 1000)
    return statistics.median(taken), max(taken)


def typed(path: Path, text: str, sort: Sort) -> float:
    """The milliseconds that the worst key of a text typed into the filter takes, without drawing."""
    taken = []
    with Logbook.open_to_read(path) as book:
        book.count()
        book.read_texts()
        for end in range(1, len(text) + 1):
            wanted = Filter(text=text[:end])
            began_s = time.thread_time()
            book.page(wanted, sort)
            book.count(wanted)
            taken.append((time.thread_time() - began_s) * 1000)
    return max(taken)


def old_version(path: Path, count: int) -> None:
    """A logbook of version 1 with as many attempts, for migrating."""
    from trainer.logbook.migrations import APPLICATION_ID, MIGRATIONS

    db = sqlite3.connect(path)
    for statement in MIGRATIONS[0]:
        db.execute(statement)
    db.execute("INSERT INTO props (name) VALUES ('balls')")
    db.execute("INSERT INTO sessions (started_at, started_utc_s) VALUES ('2014-01-01T17:00:00+01:00', 1388592000.0)")
    db.executemany(
        """INSERT INTO attempts (session_id, prop_id, started_at, started_utc_s, pattern, name, objects, tempo, dwell,
        counted_by, catches, seconds, ended, flash_at, qualify_at, hiccups, note, fair)
        VALUES (1, 1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 3, 6, 0, ?, 1)""",
        (
            (each.started_at.isoformat(), each.started_at.timestamp(), each.pattern, each.name, each.objects,
             str(each.tempo), str(each.dwell), each.counted_by, each.catches, each.seconds, each.ended, each.note)
            for each in attempts(count, [1] * DAYS)
        ),
    )  # fmt: skip
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute("PRAGMA user_version = 1")
    db.commit()
    db.close()


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    with nullcontext(sys.argv[2]) if len(sys.argv) > 2 else tempfile.TemporaryDirectory() as folder:
        path, old = Path(folder) / "logbook.sqlite", Path(folder) / "version-1.sqlite"
        if not path.exists():
            began_s = time.process_time()
            made(path, count)
            print(f"written in {time.process_time() - began_s:.0f} s of processor time")
        with Logbook.open(path) as book, Logbook.open_to_read(path) as reader:
            count = reader.count()
            size = path.stat().st_size
            print(f"{count:,} attempts, {len(reader.standings())} figures, SQLite {sqlite3.sqlite_version}")
            print(f"{size / 1e6:.1f} MB, {size / count:.0f} bytes an attempt")
            largest = max(reader.standings(), key=lambda standing: standing.attempts).figure
            one = replace(reader.attempts(limit=1)[0], uid=None)
            middle = reader.page(Filter(until=date(2019, 6, 1)), limit=1).end
            rows: dict[str, tuple[Callable[[], object], int]] = {
                "open to write": (lambda: Logbook.open(path).close(), 10),
                "open to read": (lambda: Logbook.open_to_read(path).close(), 10),
                "open and first page": (lambda: first_page(path), 10),
                "add one attempt": (lambda: book.add(one), 50),
                **{f"a page: {sort.name.lower()}": (lambda sort=sort: reader.page(EVERYTHING, sort), 5)
                   for sort in Sort},
                "a page in the middle": (lambda: reader.page(EVERYTHING, after=middle), 20),
                "filter one figure, by catches": (lambda: reader.page(Filter(pattern="3"), Sort.CATCHES), 5),
                "filter a year": (lambda: reader.page(Filter(since=date(2016, 1, 1), until=date(2016, 12, 31))), 10),
                "how figures stand": (lambda: reader.standings(), 5),
                "the calendar": (lambda: reader.practised(), 5),
                "tallies of the largest figure": (lambda: reader.tallies(largest), 5),
                "tempos of the largest figure": (lambda: reader.tempos(largest), 5),
                "best of one figure": (lambda: reader.best_catches(largest), 20),
                "what is qualified": (lambda: reader.qualified(), 5),
                "check the whole file": (lambda: reader.problems(), 1),
            }  # fmt: skip
            for name, (act, times) in rows.items():
                median, worst = milliseconds(act, times)
                print(f"{name:<32} median {median:9.2f} ms   worst {worst:9.2f} ms", flush=True)
            for text in TYPED:
                worst_of = ", ".join(f"{sort.name.lower()} {typed(path, text, sort):.1f}" for sort in Sort)
                print(f"worst key of {text!r:<20} ms: {worst_of}", flush=True)
        if not old.exists():
            old_version(old, count)
        else:
            return
        median, _ = milliseconds(lambda: Logbook.open(old).close(), 1)
        print(f"version 1 brought up to date in {median / 1000:.1f} s")


def first_page(path: Path) -> None:
    with Logbook.open_to_read(path) as book:
        book.page()
        book.count()


if __name__ == "__main__":
    main()
