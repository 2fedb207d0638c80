"""Measures throwbeat against the plain ways of doing the same, in one run, and writes the table into README.md.

    python tests/bench/table.py

Ratios, as machines differ: both sides of each are taken one after the other, on one machine, in one run. The clicks
are played through a real sound server (PulseAudio with a sink that plays to nobody) and need simpleaudio, which runs
on Python 3.11 only; times are processor times.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench import clicks, rendering, search
from trainer.audio.kitfiles import load_kit
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.synth import Bank
from trainer.siteswap.enumeration import count_patterns
from trainer.siteswap.query import SearchQuery
from trainer.siteswap.search import find_patterns

BEGINS, ENDS = "<!-- bench -->", "<!-- /bench -->"
TEMPO_BPM, CLICKS = 240, 120
SECONDS = 600
QUERY = SearchQuery(5, 7, 9)
ONE_FRAME_MS = 1000 / RATE_HZ
BEST_OF = 3


def of_clicks() -> str:
    errors_ms = clicks.measure(TEMPO_BPM, CLICKS)
    ours, theirs = errors_ms[clicks.STREAM], errors_ms[clicks.SLEEPING]
    heard = len(theirs) + 1
    return (
        f"| a sleeping loop with a play call per click | {CLICKS} clicks at {TEMPO_BPM} beats/min: it spread "
        f"{theirs.std():.2f} ms, {np.abs(theirs).max():.1f} ms at worst, {CLICKS - heard} clicks missing; throwbeat "
        f"{_within_a_frame(ours)} |"
    )


def _within_a_frame(errors_ms: np.ndarray) -> str:
    worst = float(np.abs(errors_ms).max())
    return "not one frame off" if worst < ONE_FRAME_MS else f"{worst:.2f} ms at worst"


def of_search() -> str:
    filtered_s, about = search.filter_all_s(QUERY)
    listed_s = min(search.time_of(lambda: sum(1 for _ in find_patterns(QUERY))) for _ in range(BEST_OF))
    counted_s = min(search.time_of(lambda: count_patterns(QUERY)) for _ in range(BEST_OF))
    return (
        f"| filtering all texts of digits | the {count_patterns(QUERY)} patterns of 5 objects, period 7, highest 9: "
        f"listed {about}{filtered_s / listed_s:,.0f} times as fast, "
        f"counted {about}{filtered_s / counted_s:,.0f} times |"
    )


def of_rendering() -> str:
    bank = Bank(load_kit(rendering.SOUNDS / "kitchen.toml"), rendering.RATE_HZ)
    rendering.streamed(bank, 1, 8192)
    ours_s = min(rendering.timed(rendering.streamed, bank, SECONDS, 8192) for _ in range(BEST_OF))
    naive_s = min(rendering.timed(rendering.naive, bank, SECONDS, 0) for _ in range(BEST_OF))
    held_mb = SECONDS * rendering.RATE_HZ * 2 * 4 / 1e6
    return (
        f"| a plain numpy mixer, all in one array | 5 objects with catches, {SECONDS} s: {naive_s / ours_s:.1f} times "
        f"as fast ({SECONDS / ours_s:,.0f} times real time), in blocks instead of {held_mb:.0f} MB |"
    )


def main() -> None:
    rows = ["| against | |", "|---|---|", of_clicks(), of_search(), of_rendering()]
    print("\n".join(rows))
    readme = ROOT / "README.md"
    text = readme.read_text(encoding="utf-8")
    table = "\n".join([BEGINS, "", *rows, "", ENDS])
    readme.write_text(
        re.sub(f"{re.escape(BEGINS)}.*{re.escape(ENDS)}", lambda _: table, text, count=1, flags=re.DOTALL),
        encoding="utf-8",
    )


if __name__ == "__main__":
    main()
