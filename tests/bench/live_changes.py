"""Live play with the tempo changing every few seconds: is every click in its place?

    python tests/bench/live_changes.py [minutes]      30 unless told otherwise

The whole trainer plays through a real sound server (PulseAudio, a sink that plays to nobody) while its screen moves;
keys change the tempo every two to six seconds. What the server heard is compared, frame by frame, with what the
tempo map says should have been heard. Needs pulseaudio and pulseaudio-utils.
"""

from __future__ import annotations

import json
import os
import random
import sys
import tempfile
import time
from fractions import Fraction
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.live.soundserver import SoundServer
from tests.live.terminal import Terminal
from tests.live.trainer import expected_performance, find_offset
from trainer.audio.outputs import RATE_HZ
from trainer.audio.performance import Performance
from trainer.audio.wav import to_int16
from trainer.config import Settings
from trainer.timing.tempo import Segment, TempoMap

PATTERN, TEMPO_BPM = "531", 200
KEYS = (b"\x1b[A", b"\x1b[A", b"\x1b[B", b"\x1b[B", b"d", b"h", b"?", b"\x1b[C")
CHUNK_S = 10

PROGRAM = """
import json, os, sys, threading, time
sys.argv = ["throwbeat", os.environ["PATTERN"], "--tempo", os.environ["TEMPO"]]
from trainer.audio import transport
from trainer.audio.performance import Performance
seen = {}
made = transport.Transport.__init__
def init(self, rate_hz):
    made(self, rate_hz)
    def watch():
        while True:
            if isinstance(self.scene, Performance):
                seen["last"] = self.scene
            time.sleep(0.05)
    threading.Thread(target=watch, daemon=True).start()
transport.Transport.__init__ = init
from trainer.cli import main
status = main()
last = seen["last"]
json.dump({
    "origin": str(last.origin_s), "stop": last.stop_frame,
    "segments": [[str(s.beat), str(s.second), str(s.tempo_bpm)] for s in last.tempo.segments],
}, open(os.environ["TOLD"], "w"))
sys.exit(status)
"""


def play(minutes: float, server: SoundServer, told: Path) -> np.ndarray:
    """What the server heard: int16 (frames, 2)."""
    home = Path(tempfile.mkdtemp())
    environ = {
        **os.environ, **server.environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT),
        "PATTERN": PATTERN, "TEMPO": str(TEMPO_BPM), "TOLD": str(told),
    }  # fmt: skip
    chance = random.Random(3)
    doubled = 0
    with Terminal([sys.executable, "-c", PROGRAM], environ, 100, 30) as terminal, server.recording() as recording:
        terminal.wait_for("READY")
        time.sleep(1.5)
        terminal.write(b" ")
        until_s = time.monotonic() + 60 * minutes
        while time.monotonic() < until_s:
            time.sleep(chance.uniform(2, 6))
            key = chance.choice(KEYS)
            if key in (b"d", b"h"):  # stay within an octave either way
                step = 1 if key == b"d" else -1
                if abs(doubled + step) > 1:
                    continue
                doubled += step
            terminal.write(key)
            if key == b"?":
                time.sleep(0.5)
                terminal.write(b"\x1b")
        time.sleep(1.0)  # an Esc and a key close behind it would be one key with Alt
        terminal.write(b" ")
        time.sleep(1.5)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0, terminal.text[-2000:]
        return recording.heard()


def main() -> None:
    minutes = float(sys.argv[1]) if len(sys.argv) > 1 else 30.0
    server = SoundServer()
    server.start()
    told = Path(tempfile.mkdtemp()) / "told.json"
    try:
        heard = play(minutes, server, told)
    finally:
        server.close()
    run = json.loads(told.read_text())
    segments = tuple(Segment(*(Fraction(part) for part in row)) for row in run["segments"])
    first = expected_performance(PATTERN, TEMPO_BPM)
    played = Performance(
        first.score, TempoMap(segments), first.bank, Fraction(run["origin"]), 4, first.goals, stop_frame=run["stop"]
    )
    start = played.frame_at(played.first_beat)
    gain = np.float32(Settings().volume)
    offset = find_offset(heard, to_int16(played.render(start, 4 * RATE_HZ) * gain)) - start
    wrong = frames = 0
    for at in range(start, run["stop"], CHUNK_S * RATE_HZ):
        count = min(CHUNK_S * RATE_HZ, run["stop"] - at)
        wanted = to_int16(played.render(at, count) * gain)
        got = heard[at + offset : at + offset + count]
        wrong += int((got != wanted).any(axis=1).sum())
        frames += count
    beats = int(played.beat_at(run["stop"]))
    print(
        f"{frames / RATE_HZ / 60:.1f} minutes, {beats} beats, {len(segments) - 1} tempo changes: "
        f"{wrong} of {frames} frames differ from the score's"
    )
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
