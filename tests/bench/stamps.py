"""How late a press is stamped: from the byte written into a terminal to the time the session is told.

    python tests/bench/stamps.py [presses] [count|flight]

The whole trainer runs on a pseudo-terminal with a run under way, its screen moving; each press of the pedal
is written from outside, and the stamp that reaches the session is compared with the moment of writing.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.live.terminal import Terminal

PROGRAM = """
import os, sys
sys.argv = ["throwbeat", "531", "--count", "taps", "--tempo", "240"]
from trainer import session
told = session.Session.press
log = os.open(os.environ["STAMPS"], os.O_WRONLY | os.O_CREAT, 0o600)
def press(self, at_s, *more):
    os.write(log, f"{at_s!r}\\n".encode())
    told(self, at_s, *more)
session.Session.press = press
from trainer.commands.line import main
sys.exit(main())
"""


def measure(presses: int, shows: str) -> list[float]:
    """Seconds from writing to stamp, for each press, sorted."""
    home = Path(tempfile.mkdtemp())
    stamps = home / "stamps"
    (home / "settings.toml").write_text(f'practice_shows = "{shows}"\ntour = false\n', encoding="utf-8")
    environ = {**os.environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT), "STAMPS": str(stamps)}
    written = []
    with Terminal([sys.executable, "-c", PROGRAM], environ, 100, 30) as terminal:
        terminal.wait_for("READY")
        time.sleep(1.0)
        for _ in range(presses):
            written.append(terminal.write(b" "))
            time.sleep(random.uniform(0.12, 0.4))
        terminal.write(b"q")
        status = terminal.wait_ended()
        assert status == 0, terminal.text[-2000:]
    told = [float(line) for line in stamps.read_text().split()]
    assert len(told) == len(written), (len(told), len(written))
    return sorted(after - before for before, after in zip(written, told, strict=True))


def main() -> None:
    late = measure(int(sys.argv[1]) if len(sys.argv) > 1 else 300, sys.argv[2] if len(sys.argv) > 2 else "count")
    ms = [1000 * seconds for seconds in late]
    median, late, most = ms[len(ms) // 2], ms[int(len(ms) * 0.99)], ms[-1]
    print(f"{len(ms)} presses: median {median:.2f} ms, p99 {late:.2f} ms, most {most:.2f} ms")


if __name__ == "__main__":
    main()
