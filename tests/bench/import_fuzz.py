"""Imports spoilt files, ten thousand unless told otherwise: each is read, or refused with line and field.

    python tests/bench/import_fuzz.py [FILES]

Half of them are CSV, half JSON, exported from a made-up logbook and spoilt (tests/logbook/mutating.py). After each the
logbook is compared with what it was: never may a part of a refused file be in it.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))  # so that it also runs in a checkout that is not installed

from tests.bench.million import BEGAN, attempts
from tests.logbook.mutating import mutated
from trainer.logbook.errors import LogbookError
from trainer.logbook.exchange import exported, import_file
from trainer.logbook.store import Logbook

COUNTED = ("attempts", "sessions", "climbs", "plan_runs", "corrections", "days")


def state(book: Logbook) -> list[int]:
    return [book.read_one(f"SELECT COUNT(*) FROM {table}") for table in COUNTED]


def main() -> None:
    files = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    chance, told = random.Random(10_000), Counter[str]()
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "source.sqlite"
        with Logbook.open(source) as book:
            book.begin_session(BEGAN)
            book.add_all(attempts(12, [1] * 4001))
            book.correct(3, corrected_at=BEGAN, catches=99)
            whole = {ending: "".join(exported(book, ending)).encode() for ending in (".csv", ".json")}
        began_s = time.process_time()
        target = Path(folder) / "target.sqlite"
        with Logbook.open(target) as book:
            for number in range(files):
                ending = (".csv", ".json")[number % 2]
                path = Path(folder) / f"spoilt{ending}"
                path.write_bytes(mutated(whole[ending], chance))
                before, refused = state(book), None
                try:
                    done = import_file(book, path, ending).attempts
                except LogbookError as error:
                    refused, done = error, 0
                if refused is not None:
                    assert refused.line is not None, refused
                    assert state(book) == before, refused
                    told["refused, with a line and a field" if refused.field else "refused, with a line"] += 1
                    told[f"  {re.sub('“.*”', '“…”', refused.message)[:60]}"] += 1
                else:
                    assert state(book)[0] == before[0] + done
                    told["read"] += 1
            assert book.problems() == ()
        print(f"{files} files in {time.process_time() - began_s:.0f} s of processor time")
        for what, count in sorted(told.items(), key=lambda item: (item[0].startswith(" "), -item[1])):
            if not what.startswith("  ") or count > files / 200:
                print(f"{count:7} {what}")


if __name__ == "__main__":
    main()
