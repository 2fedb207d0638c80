"""Live play with the tempo changing every few seconds: is every click in its place?

    python tests/bench/live_changes.py [minutes]      30 unless told otherwise

The whole trainer plays through a real sound server (PulseAudio, a sink that plays to nobody) while its screen moves;
keys change the tempo every two to six seconds. What the server heard is compared, frame by frame, with what the
tempo map says should have been heard. Where they part, it says when and by how much, when the trainer itself noticed
that the sound came late, how long its memory's collector held it up, and when the machine stood still: a process that
only sleeps woke late. Needs pulseaudio and pulseaudio-utils.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from pathlib import Path

import numpy as np
from scipy.signal import fftconvolve, find_peaks

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.live.soundserver import SoundServer
from tests.live.terminal import Terminal
from tests.live.trainer import expected_performance, find_offset
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.performance import Performance
from trainer.audio.wav import to_int16
from trainer.config import Settings
from trainer.timing.tempo import Segment, TempoMap

PATTERN, TEMPO_BPM = "531", 200
KEYS = (b"\x1b[A", b"\x1b[A", b"\x1b[B", b"\x1b[B", b"d", b"h", b"?", b"\x1b[C")
CHUNK_S = 10
BEGUN_BY_S = 30
LONGEST_SLIP_S = 2
WELL = 0.5
LATE_S = 0.03
"""A sleeper that wakes so much later than asked tells of a machine that stood still."""

SLEEPER = f"""
import sys, time
while True:
    before = time.monotonic()
    time.sleep(0.005)
    late = time.monotonic() - before - 0.005
    if late > {LATE_S}:
        print(before, late, flush=True)
"""

PROGRAM = """
import gc, json, os, sys, threading, time
sys.argv = ["throwbeat", os.environ["PATTERN"], "--tempo", os.environ["TEMPO"]]
from trainer.audio import transport
from trainer.audio.outputs.frameclock import FrameClock
from trainer.audio.performance import Performance
seen, late = {}, []
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
noted = FrameClock.note
def note(self, frames, at_s):
    before, last_s = self.hiccups, self._last_s
    noted(self, frames, at_s)
    if self.hiccups > before:
        late.append([self.frames - frames, at_s, at_s - last_s])
FrameClock.note = note
held = []
def collecting(phase, what):
    if phase == "start":
        held.append(time.monotonic())
    else:
        held[-1] = time.monotonic() - held[-1]
        held[:] = [max(held)]
gc.callbacks.append(collecting)
from trainer.commands.line import main
status = main()
last = seen["last"]
json.dump({
    "origin": str(last.origin_s), "stop": last.stop_frame, "late": late, "collector_s": max(held, default=0),
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


@contextmanager
def sleeper() -> Iterator[list[tuple[float, float]]]:
    """When a process that only sleeps woke late, and how late, in seconds; complete when the block ends."""
    woken: list[tuple[float, float]] = []
    process = subprocess.Popen([sys.executable, "-c", SLEEPER], stdout=subprocess.PIPE, text=True)
    try:
        yield woken
    finally:
        process.terminate()
        said, _ = process.communicate()
        woken.extend((float(at), float(late)) for at, late in (line.split() for line in said.splitlines()))


def slip(heard: np.ndarray, wanted: np.ndarray, at: int) -> int:
    """By how many frames what was wanted at a frame was heard later: of the places that fit well, the one to the bit.

    The pattern comes again every few tenths of a second, so the best fit alone may be a round away.
    """
    most = LONGEST_SLIP_S * RATE_HZ
    near = heard[max(0, at - most) : at + len(wanted) + most].astype(np.float32)
    likeness = sum(fftconvolve(near[:, side], wanted[::-1, side].astype(np.float32), "valid") for side in (0, 1))
    peaks, _ = find_peaks(likeness, height=WELL * likeness.max(), distance=RATE_HZ // 100)
    places = peaks - min(at, most)
    same = [(heard[at + place : at + place + len(wanted)] == wanted).all(axis=1).sum() for place in places]
    return int(places[np.argmax(same)])


def compare(heard: np.ndarray, played: Performance, gain: np.float32, start: int, stop: int) -> tuple[int, list[str]]:
    """Frames that differ from the score's where the recording is followed, and where it had to be found again."""
    # Among the first seconds only: later on the pattern comes again, at the same tempo and at denser ones.
    offset = find_offset(heard[: BEGUN_BY_S * RATE_HZ], to_int16(played.render(start, 4 * RATE_HZ) * gain)) - start
    wrong, slips = 0, []
    for at in range(start, stop, CHUNK_S * RATE_HZ):
        count = min(CHUNK_S * RATE_HZ, stop - at)
        wanted = to_int16(played.render(at, count) * gain)
        got = heard[at + offset : at + offset + count]
        differing = int((got != wanted).any(axis=1).sum()) if len(got) == count else count
        wrong += differing
        if differing and count > 5 * RATE_HZ:
            moved = slip(heard, wanted[-3 * RATE_HZ :], at + offset + count - 3 * RATE_HZ)
            slips.append(
                f"moved within {CHUNK_S} s from second {(at - start) / RATE_HZ:.0f}: {1000 * moved / RATE_HZ:+.1f} ms"
            )
            offset += moved
    return wrong, slips


def main() -> None:
    minutes = float(sys.argv[1]) if len(sys.argv) > 1 else 30.0
    server = SoundServer()
    server.start()
    told = Path(tempfile.mkdtemp()) / "told.json"
    try:
        with sleeper() as woken:
            heard = play(minutes, server, told)
    finally:
        server.close()
    run = json.loads(told.read_text())
    segments = tuple(Segment(*(Fraction(part) for part in row)) for row in run["segments"])
    first = expected_performance(PATTERN, TEMPO_BPM)
    played = Performance(
        first.score, TempoMap(segments), first.bank, Fraction(run["origin"]), 4, first.goals, stop_frame=run["stop"]
    )
    start, stop = played.frame_at(played.first_beat), run["stop"]
    wrong, slips = compare(heard, played, np.float32(Settings().volume), start, stop)
    if wrong and (kept := os.environ.get("KEEP")):  # a folder: to be looked at afterwards
        np.save(Path(kept) / "heard.npy", heard)
        (Path(kept) / "told.json").write_text(json.dumps(run))
    print(
        f"{(stop - start) / RATE_HZ / 60:.1f} minutes, {int(played.beat_at(stop))} beats, {len(segments) - 1} tempo "
        f"changes: {wrong} of {stop - start} frames differ from the score's"
    )
    for slip in slips:
        print(f"  {slip}")
    for frame, at_s, gap_s in run["late"]:
        stood = sum(late for at, late in woken if at_s - gap_s <= at <= at_s)
        print(
            f"  the trainer noticed at second {(frame - start) / RATE_HZ:.1f}: {1000 * gap_s:.0f} ms between two "
            f"requests, of which the sleeper slept {1000 * stood:.0f} too long"
        )
    worst_ms = 1000 * max((late for _, late in woken), default=0.0)
    print(f"  the collector of memory held the trainer up for {1000 * run['collector_s']:.0f} ms at most")
    print(f"  the sleeper woke late {len(woken)} times, {worst_ms:.0f} ms at most")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
