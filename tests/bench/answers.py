"""From a press to the sound that answers it: how long is a run still heard after the press that ends it?

    python tests/bench/answers.py [PRESSES] [--row NAME=CHECKOUT …]

The whole trainer plays through a sound server of its own. A run is begun and ended again and again, at moments of no
rhythm. Measured is the time from the press until the first frame on which nothing new can begin is heard: which frame
that is, the trainer tells when it stops; when it was heard, the recording tells. Printed: median and worst, in
milliseconds. Linux; needs PulseAudio.
"""

from __future__ import annotations

import argparse
import os
import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench.holding import OVERHEARD, Row, best_fit, clear, noted, read
from tests.live.soundserver import RATE_HZ, SoundServer
from tests.live.terminal import Terminal

SPACE, CTRL_Q = b" ", b"\x11"
TEMPO_BPM, SHORTEST_S, LONGEST_S, REST_S = 400, 1.2, 2.0, 1.0


def answers_ms(row: Row, presses: int) -> list[float]:
    """From each press that ended a run to its being heard."""
    server, chance, pressed_s = SoundServer(), random.Random(7), []
    server.start()
    rendered = Path("/dev/shm") / server.folder.name
    try:
        with tempfile.TemporaryDirectory() as made, server.recording() as recording:
            home = Path(made)
            (home / "settings.toml").write_text("tour = false\nrest_s = 0\n")
            environ = {
                **os.environ, **server.environ, "THROWBEAT_HOME": str(home),
                "PYTHONPATH": f"{row.checkout}:{OVERHEARD}", "OVERHEARD": str(rendered),
            }  # fmt: skip
            command = [sys.executable, "-m", "trainer.commands.line", "3", "--tempo", str(TEMPO_BPM), "--count-in", "1"]
            with Terminal(command, environ, 80, 24, home) as terminal:
                terminal.wait_for("READY", 30)
                time.sleep(3.0)
                for _ in range(presses):
                    terminal.write(SPACE)
                    time.sleep(chance.uniform(SHORTEST_S, LONGEST_S))
                    pressed_s.append(terminal.write(SPACE))
                    time.sleep(REST_S)
                terminal.write(CTRL_Q)
                assert terminal.wait_ended(20) == 0
            heard, zero_s = recording.heard(), recording.zero_s
        stops, stream = noted(rendered, "stops"), read(rendered)
        found = []
        for at_s in pressed_s:
            frame = int(stops["frames"][stops["at_s"] >= at_s][0])
            part = stream[frame - RATE_HZ : frame]  # the second before: clicks, so that it is found in the recording
            start = max(0, round((at_s - zero_s - 2.0) * RATE_HZ))
            heard_at = start + best_fit(heard[start : start + 4 * RATE_HZ], part) + RATE_HZ
            found.append(1000 * (zero_s + heard_at / RATE_HZ - at_s))
        return found
    finally:
        server.close()
        clear(rendered)


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("presses", type=int, nargs="?", default=50)
    asked.add_argument("--row", action="append", default=[])
    words = asked.parse_args()
    named = [each.partition("=") for each in words.row]
    for row in [Row(name, Path(path).resolve()) for name, _, path in named] or [Row("this", ROOT)]:
        found = answers_ms(row, words.presses)
        print(f"{row.name:<16} {len(found)} presses: median {statistics.median(found):.0f}, worst {max(found):.0f} ms")


if __name__ == "__main__":
    main()
