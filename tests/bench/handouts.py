"""Prints how many times faster than real time the whole command renders each kind of file, and its memory.

Run: python tests/bench/handouts.py [SECONDS]. 5 objects at 172 beats/min, throws and catches heard, in a process of
its own each time: its start, the reading of kit and library and the writing to the disk are all counted. Memory is
the most the process held (resident), for a minute and for the whole length.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
WORDS = ("render", "5", "--hear", "both", "--tempo", "172", "--force")
FILES = (
    ("x.wav", ()),
    ("x.wav", ("--bits", "24", "--rate", "48000")),
    ("x.mid", ()),
    ("x.vtt", ()),
    ("x.srt", ()),
    ("x.csv", ()),
    ("x.json", ()),
)


def rendered(path: Path, seconds: int, options: tuple[str, ...]) -> tuple[float, float, float]:
    """(seconds of the clock, seconds of processor, most MB held) of one command."""
    began = time.perf_counter()
    child = os.fork()
    if child == 0:
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        words = [
            sys.executable,
            "-m",
            "trainer.commands.line",
            *WORDS,
            "--seconds",
            str(seconds),
            "--out",
            str(path),
            *options,
        ]
        os.execve(sys.executable, words, {**os.environ, "PYTHONPATH": str(ROOT), "THROWBEAT_HOME": str(path.parent)})
    _, status, used = os.wait4(child, 0)
    if status != 0:
        raise SystemExit(f"{path.name} was not rendered.")
    return time.perf_counter() - began, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def main() -> None:
    """Print the table."""
    seconds = int(sys.argv[1]) if len(sys.argv) > 1 else 3600
    print(f"5 objects, throws and catches, {seconds} s of sound, the whole command")
    print(
        f"{'file':32} {'x real time':>11} {'by processor':>13} {'MB, 60 s':>9} {f'MB, {seconds} s':>10} {'file, MB':>9}"
    )
    with tempfile.TemporaryDirectory() as folder:
        for name, options in FILES:
            path = Path(folder) / name
            _, _, short_mb = rendered(path, 60, options)
            clock_s, cpu_s, long_mb = min(rendered(path, seconds, options) for _ in range(2))
            print(
                f"{' '.join((name, *options)):32} {seconds / clock_s:11.0f} {seconds / cpu_s:13.0f}"
                f" {short_mb:9.1f} {long_mb:10.1f} {path.stat().st_size / 1e6:9.1f}"
            )


if __name__ == "__main__":
    main()
