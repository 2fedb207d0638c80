"""Kills practising trainers with SIGKILL at random moments: nothing announced as saved is missing, no row is half.

    python tests/live/kill_nine.py [KILLS]

Each is a process of its own with a whole session (pedal, run, counting, player, tries, logbook) on an output and a
clock moved by hand, so that it begins and ends some hundred tries a second; all write to one logbook. What a try comes
to is announced once the session says it is saved. After each kill the file is opened, checked and compared.
"""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))  # so that it also runs in a checkout that is not installed

from trainer.logbook.migrations import TOTALS
from trainer.logbook.store import Logbook
from trainer.records.attempt import Ended

PRACTISING = """
import itertools, sys
from pathlib import Path
from tests.session.hall import MORNING, Hall
from trainer.logbook.store import Logbook

hall = Hall(Path("."), "531", logbook=Logbook.open(Path(sys.argv[1]), wait_s=60, now=MORNING))
for number in itertools.count():
    hall.press(hall.now_s + 0.1)
    hall.to(hall.now_s + 1.5 + number % 3 / 4)
    if number % 7 == 3:
        hall.session.give_up(hall.now_s)
    else:
        hall.press(hall.now_s)
    hall.to(hall.now_s + 2.6)
    last = hall.tries.attempts[-1]
    if not hall.tries.unsaved:
        print(last.id, last.catches, last.ended, flush=True)
"""
LONGEST_WAIT_S = 0.25


@dataclass
class Findings:
    """What was announced by its number, and what was counted."""

    announced: dict[int, tuple[int | None, str]] = field(default_factory=dict)
    kills: int = 0
    given_up: int = 0


def kill_one(path: Path, chance: random.Random, findings: Findings) -> None:
    """Let one practise for a while, kill it, and check all that was ever announced."""
    child = subprocess.Popen([sys.executable, "-c", PRACTISING, str(path)], cwd=ROOT, stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    lines = [child.stdout.readline() for _ in range(chance.randint(0, 2))]
    time.sleep(chance.uniform(0, LONGEST_WAIT_S))
    child.kill()
    lines += child.stdout.read().splitlines(keepends=True)
    child.wait()
    child.stdout.close()
    for line in lines:
        if line.endswith("\n"):
            number, catches, ended = line.split()
            findings.announced[int(number)] = (None if catches == "None" else int(catches), ended)
    findings.kills += 1
    with Logbook.open(path, wait_s=10) as book:
        check(book, findings)


def check(book: Logbook, findings: Findings) -> None:
    """AssertionError if anything announced is missing, or anything there is not whole."""
    assert book.problems() == ()
    found = {attempt.id: (attempt.catches, str(attempt.ended)) for attempt in book.attempts()}
    missing = {number: what for number, what in findings.announced.items() if found.get(number) != what}
    assert missing == {}, missing
    assert book.read_one("SELECT COUNT(*) FROM attempts WHERE ended IS NULL") == 0
    anew = f"{TOTALS} WHERE ended IS NOT NULL AND removed = 0 GROUP BY figure_id, day, tempo"
    assert [tuple(row) for row in book.read("SELECT * FROM days")] == [tuple(row) for row in book.read(anew)]
    cut_off = [number for number, what in found.items() if what == (None, str(Ended.GIVEN_UP))]
    findings.given_up = len(cut_off)
    assert findings.given_up <= findings.kills, "at most one try is cut off by a kill"


def main() -> None:
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    chance, findings = random.Random(9), Findings()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "logbook.sqlite"
        for _ in range(kills):
            kill_one(path, chance, findings)
    print(f"{findings.kills} kills: {len(findings.announced)} tries announced as saved, all there; every check passed;")
    print(f"{findings.given_up} tries were cut off and are in the logbook as given up")


if __name__ == "__main__":
    main()
