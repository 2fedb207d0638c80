"""What the practising trainer costs: share of a core, time to the first usable screen, growth of memory.

    python tests/bench/practising.py [minutes]

The whole trainer runs on a pseudo-terminal of 80 × 24 with the screen moving at its usual 30 frames/s; its processor
time and memory are read from /proc (Linux alone). Sound goes to the device there is, else the stream runs silent.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.live.terminal import Terminal
from tests.live.trainer import trainer

STARTS = 7
RUN_S = 20.0
"""Memory is read after each run of so long, as a juggler's runs begin and end."""

MOST_CPU_PERCENT = 15
MOST_START_S = 0.5


def cpu_s(pid: int) -> float:
    """Processor seconds a process has used, its threads' included."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def rss_kib(pid: int) -> int:
    """Memory a process holds in RAM."""
    line = next(row for row in Path(f"/proc/{pid}/status").read_text().splitlines() if row.startswith("VmRSS"))
    return int(line.split()[1])


def measure_start(words: tuple[str, ...], shown: str) -> float:
    """Seconds from starting the program to its screen being usable."""
    home = Path(tempfile.mkdtemp())
    begun_s = time.monotonic()
    with trainer(home, *words) as terminal:
        seconds = terminal.wait_for(shown) - begun_s
        terminal.write(b"q")
        terminal.wait_ended()
    return seconds


def measure_cpu(terminal: Terminal, seconds: float) -> float:
    """Percent of one core over some seconds."""
    before, begun_s = cpu_s(terminal.process.pid), time.monotonic()
    time.sleep(seconds)
    return 100 * (cpu_s(terminal.process.pid) - before) / (time.monotonic() - begun_s)


def play(terminal: Terminal, minutes: float) -> list[int]:
    """Run after run, so many minutes; the memory at rest after each, in KiB."""
    memory = []
    until_s = time.monotonic() + minutes * 60
    while time.monotonic() < until_s:
        terminal.write(b" ")
        time.sleep(RUN_S)
        terminal.write(b" ")
        time.sleep(3.5)
        memory.append(rss_kib(terminal.process.pid))
    return memory


def row(what: str, figure: str, wanted: str = "") -> None:
    print(f"{what:<52}{figure:>18}  {wanted}")


def main() -> None:
    minutes = float(sys.argv[1]) if len(sys.argv) > 1 else 3.0
    for what, words, shown in (("with a pattern", ("531",), "READY"), ("with the list", (), "It works")):
        measure_start(words, shown)  # the first one compiles and fills the caches
        starts = [measure_start(words, shown) for _ in range(STARTS)]
        figure = f"{statistics.median(starts):.3f} s"
        row(f"first usable screen {what} (median of {STARTS})", figure, f"≤ {MOST_START_S} s; worst {max(starts):.3f}")
    with trainer(Path(tempfile.mkdtemp()), "531", "--tempo", "240") as terminal:
        terminal.wait_for("READY")
        time.sleep(2)
        row("waiting, share of one core", f"{measure_cpu(terminal, 10):.1f} %")
        terminal.write(b" ")
        terminal.wait_for("GO")
        row("running 531 at 240, share of one core", f"{measure_cpu(terminal, 20):.1f} %", f"≤ {MOST_CPU_PERCENT} %")
        terminal.write(b" ")
        time.sleep(4)
        memory = play(terminal, minutes)
        terminal.write(b"q")
        terminal.wait_ended()
    later = memory[len(memory) // 3 :]
    row(f"memory at first rest, after {minutes:g} min of play", f"{memory[0]} {memory[-1]} KiB")
    if len(later) > 1:
        per_hour = (later[-1] - later[0]) / ((len(later) - 1) * (RUN_S + 3.5)) * 3600
        row("growth over the last two thirds", f"{later[-1] - later[0]} KiB", f"{per_hour:+.0f} KiB an hour")


if __name__ == "__main__":
    main()
