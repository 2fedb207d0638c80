"""What the flight view costs: processor time of the whole trainer, and how soon a press is seen.

    python tests/bench/flight.py [seconds] [presses]

The trainer runs on a pseudo-terminal of 80 × 24 at its usual 30 frames/s, a cascade of seven in flight above its
coming throws; processor time is the process's own (Linux alone), so that other work on the machine hardly counts.
Each press is timed from the byte written to the first byte of the screen that answers it; the run is stopped for
that, as a moving screen would answer anyway.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench.practising import measure_cpu, row
from tests.live.terminal import Terminal
from tests.live.trainer import trainer

MOST_CPU_PERCENT = 12
MOST_SEEN_MS = 5.0


def started(pattern: str, shows: str) -> Terminal:
    """The trainer with a pattern, the practice screen showing the count or the flight."""
    home = Path(tempfile.mkdtemp())
    settings = f'practice_shows = "{shows}"\noutput = "silent"\ntour = false\n'
    (home / "settings.toml").write_text(settings, encoding="utf-8")
    return trainer(home, pattern)


def measure_run(pattern: str, shows: str, seconds: float) -> tuple[float, float]:
    """Percent of a core while armed, and in a run."""
    with started(pattern, shows) as terminal:
        terminal.wait_for("READY")
        time.sleep(2)
        armed = measure_cpu(terminal, seconds)
        terminal.write(b" ")
        terminal.wait_for("GO")
        running = measure_cpu(terminal, seconds)
        terminal.write(b"q")
        terminal.wait_ended()
    return armed, running


def measure_seen(presses: int) -> list[float]:
    """Milliseconds from a press of the pedal to the first byte that answers it, sorted."""
    found = []
    with started("7", "flight") as terminal:
        terminal.wait_for("READY")
        time.sleep(1)
        for _ in range(presses):
            terminal.write(b".")  # the picture stands still
            time.sleep(random.uniform(0.3, 0.4))
            terminal.forget()
            before = terminal.write(b" ")
            while not terminal.raw:
                time.sleep(0.0001)
            found.append(1000 * (time.monotonic() - before))
            time.sleep(0.3)
            terminal.write(b"g")  # no run came of it
            time.sleep(0.2)
        terminal.write(b"q")
        terminal.wait_ended()
    return sorted(found)


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    presses = int(sys.argv[2]) if len(sys.argv) > 2 else 100
    for shows in ("count", "flight"):
        armed, running = measure_run("7", shows, seconds)
        wanted = f"≤ {MOST_CPU_PERCENT} %" if shows == "flight" else ""
        row(f"7 cascade, {shows} and coming throws: ready", f"{armed:.1f} %")
        row(f"7 cascade, {shows} and coming throws: in a run", f"{running:.1f} %", wanted)
    seen = measure_seen(presses)
    figure = f"{statistics.median(seen):.1f} ms"
    row(f"a press seen (median of {presses})", figure, f"≤ {MOST_SEEN_MS} ms; worst {seen[-1]:.1f}")


if __name__ == "__main__":
    main()
