"""How long the list of patterns takes to follow a keypress, with thousands of entries in the library.

    python tests/bench/picker.py [entries]      5,000 unless told otherwise

The trainer runs on a pseudo-terminal with a folder of made-up entries beside the bundled ones; a key is pressed, and
the time to the last byte of the redrawing is taken from outside.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from itertools import islice
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.live.terminal import Terminal
from trainer.siteswap.query import SearchQuery
from trainer.siteswap.search import find_patterns

QUIET_S = 0.25
TYPED = ("c", "a", "s", "5", "3", "1", "m", "e", "o", "7", "4", "b")
WORDS = ("bridge", "meadow", "carousel", "harbour", "lantern", "orchard", "mill", "brook")


def write_entries(folder: Path, entries: int) -> None:
    """So many made-up entries, with invented names."""
    folder.mkdir(parents=True)
    lines = ['category = "siteswap"\n']
    for number, text in enumerate(islice(find_patterns(SearchQuery(5, 8, highest=9)), entries)):
        name = f"{WORDS[number % len(WORDS)]} {WORDS[number // 8 % len(WORDS)]} {number}"
        lines.append(
            f'[[pattern]]\nnames = ["{name}"]\npattern = "{text}"\nheight_m = 1.0\nhow = "Made up for measuring."\n'
        )
    part = 1 + 2000
    for at in range(1, len(lines), part):
        (folder / f"made-up-{at}.toml").write_text("\n".join([lines[0], *lines[at : at + part]]), encoding="utf-8")


def redraw_s(terminal: Terminal, key: bytes) -> float:
    """Seconds from the key to the last byte sent because of it."""
    terminal.forget()
    length = 0
    begun_s = last_s = terminal.write(key)
    while time.monotonic() < last_s + QUIET_S:
        if len(terminal.raw) != length:
            length, last_s = len(terminal.raw), time.monotonic()
        time.sleep(0.0005)
    return last_s - begun_s


def main() -> None:
    entries = int(sys.argv[1]) if len(sys.argv) > 1 else 5000
    home = Path(tempfile.mkdtemp())
    write_entries(home / "patterns", entries)
    (home / "settings.toml").write_text("tour = false\n", encoding="utf-8")  # it would stand before the list
    environ = {**os.environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT)}
    with Terminal([sys.executable, "-m", "trainer.commands.line"], environ, 100, 30) as terminal:
        terminal.wait_for("leave", 30)
        time.sleep(3)
        terminal.write(b"x\x7f")  # the first key makes the index
        time.sleep(2)
        taken = []
        for _ in range(4):
            for key in TYPED:
                taken.append(redraw_s(terminal, key.encode()))
                taken.append(redraw_s(terminal, b"\x7f"))
        terminal.write(b"q")
        terminal.wait_ended()
    ms = sorted(1000 * seconds for seconds in taken)
    print(
        f"{entries} entries, {len(ms)} keys: to the last byte median {median(ms):.0f} ms, "
        f"90 % within {ms[int(len(ms) * 0.9)]:.0f} ms, most {ms[-1]:.0f} ms"
    )


if __name__ == "__main__":
    main()
