"""From exec to the first picture, beside `import textual.app` in the same run; the practice and the list of patterns.

Run by hand: `python tests/bench/start.py [ROUNDS]`. Modules are compiled before, as an installed trainer's are. Seconds
of the wall and of the processor (all threads of the process), medians, and how often textual's own time they are.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.live.trainer import trainer

Spent = tuple[float, float]
"""Seconds of the wall, and of the processor."""

FIRST = {"list": ((), "cascade"), "practice": (("531",), "READY")}
"""What is started → its words, and a text of its first picture."""


def main(rounds: int = 15) -> None:
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        home = Path(folder)
        (home / "settings.toml").write_text("tour = false\n", encoding="utf-8")
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = str(home / "compiled")
        ways: dict[str, Callable[[], Spent]] = {"textual": import_textual}
        for name, (words, text) in FIRST.items():
            ways[name] = lambda words=words, text=text: start(home, words, text)
        for way in ways.values():
            way()  # compiles, and makes the logbook
        found = {name: [] for name in ways}  # type: dict[str, list[Spent]]
        for _ in range(rounds):
            for name, way in ways.items():
                found[name].append(way())
        wall_s, processor_s = (median(column) for column in zip(*found["textual"], strict=True))
        for name, spent in found.items():
            wall, processor = (median(column) for column in zip(*spent, strict=True))
            print(
                f"{name:10} wall {wall:5.2f} s, {wall / wall_s:4.2f} times; "
                f"processor {processor:5.3f} s, {processor / processor_s:4.2f} times"
            )


def import_textual() -> Spent:
    at_s, before = time.monotonic(), getrusage(RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", "import textual.app"], check=True)
    after = getrusage(RUSAGE_CHILDREN)
    return time.monotonic() - at_s, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def start(home: Path, words: tuple[str, ...], text: str) -> Spent:
    at_s = time.monotonic()
    with trainer(home, *words) as terminal:
        seen_s = terminal.wait_for(text, within_s=30)
        threads = Path(f"/proc/{terminal.process.pid}/task").glob("*/schedstat")
        return seen_s - at_s, sum(int(each.read_text().split()[0]) for each in threads) / 1e9


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
