"""Does the beat hold? The whole trainer plays through a sound server beside a load; what was recorded is compared.

    python tests/bench/holding.py [MINUTES] [--loads quiet,busy,…] [--row NAME=CHECKOUT …] [--keep FOLDER]

10 minutes, every load and this checkout unless told otherwise. Each row is a checkout of the trainer with a sound
server of its own; all rows play at the same time, so that they are compared beside one and the same load.
Each plays 531 with the flight view moving, its tempo changed every few seconds; beside the load `logbook` its logbook
has MANY tries and is looked through during the run. What the sink played is compared with the score frame by frame.

Printed for each row: frames compared and out of place, breaks (places where sound was missing or came twice), the
longest, and what the trainer itself noted; and for the load, how often a process that only sleeps was late. A sleeper
that was late says that the machine stood still, whatever the trainer does. Linux; needs PulseAudio.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import numpy as np
from scipy.signal import fftconvolve

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench.loads import LOADS, Sleeper
from tests.bench.million import made
from tests.live.soundserver import FRAME_BYTES, RATE_HZ, SINK, SoundServer
from tests.live.terminal import Terminal
from tests.live.trainer import expected_performance, find_offset
from trainer.audio.performance import Performance
from trainer.config import Settings
from trainer.session.controls import TEMPO_STEP

TEMPO_BPM, COUNT_IN, STEPS = 172, 4, 6
EVERY_S = 5.0
UP, DOWN, PAGE_DOWN, SPACE, ESCAPE, CTRL_Q = b"\x1b[A", b"\x1b[B", b"\x1b[6~", b" ", b"\x1b", b"\x11"
LOGBOOK, PROGRESS = b"\x1b[19~", b"\x1b[20~"
MANY = 100_000
STALL_MS = 80

PART_FRAMES = RATE_HZ
"""The recording is compared in parts of one second."""

FOUND_FRAMES = 2 * RATE_HZ
"""So much of the stream is looked for where the recording is out of place."""

HEADS = ("frames", "out", "breaks", "longest ms", "noted", "answered s", "worst s")
MOST_SHIFT = RATE_HZ
CHANGE_BEATS = 6
"""From the press of a tempo key, its first beat is looked for among so many."""


@dataclass(frozen=True, slots=True)
class Row:
    """A checkout, and what to call it."""

    name: str
    checkout: Path


@dataclass(frozen=True, slots=True)
class Break:
    """A place at which the recording leaves the score: how long it is out of place, and how far what follows is off."""

    at_s: float
    frames: int
    shift_frames: int


@dataclass(frozen=True, slots=True)
class Change:
    """A press of a tempo key: how much had been recorded by then, in frames, and the tempo asked for."""

    at_frame: int
    tempo_bpm: int


@dataclass(frozen=True, slots=True)
class Compared:
    """What was heard against what was to be heard. answered_s: from each tempo key to the first beat it moved."""

    frames: int
    breaks: tuple[Break, ...]
    answered_s: tuple[float, ...]

    @property
    def out_of_place(self) -> int:
        return sum(each.frames for each in self.breaks)


class Playing:
    """One row at work: a trainer on a terminal, its sound server, and the recording of it in a file."""

    def __init__(self, row: Row, folder: Path, many: Path | None) -> None:
        self.row, self.server = row, SoundServer()
        self.server.start()
        self.raw = folder / f"{row.name}.raw"
        self.home = folder / f"{row.name}.home"
        self.home.mkdir()
        (self.home / "settings.toml").write_text('practice_shows = "flight"\ntour = false\n')
        if many is not None:
            shutil.copy(many, self.home / "logbook.sqlite")
        self.changes: list[Change] = []
        with self.raw.open("wb") as file:
            self.recorder = subprocess.Popen(
                ["parec", "-d", f"{SINK}.monitor", "--format=s16le", f"--rate={RATE_HZ}", "--channels=2",
                 "--latency-msec=20"],
                env=os.environ | self.server.environ, stdout=file,
            )  # fmt: skip
        self.environ = {**os.environ, "THROWBEAT_HOME": str(self.home), "PYTHONPATH": str(row.checkout)}
        command = [sys.executable, "-m", "trainer.commands.line", "531", "--tempo", str(TEMPO_BPM)]
        self.terminal = Terminal(
            [*command, "--count-in", str(COUNT_IN)], self.environ | self.server.environ, 120, 40, self.home
        )

    @property
    def recorded(self) -> int:
        return self.raw.stat().st_size // FRAME_BYTES

    def press_tempo(self, key: bytes, tempo_bpm: int) -> None:
        self.changes.append(Change(self.recorded, tempo_bpm))
        self.terminal.write(key)

    def end(self) -> dict[str, object]:
        """Leave; what the trainer itself wrote down of the try."""
        self.terminal.write(SPACE)
        time.sleep(2.0)
        self.terminal.write(CTRL_Q)
        status = self.terminal.wait_ended(30)
        self.recorder.terminate()
        self.recorder.wait()
        self.server.close()
        assert status == 0, (self.row.name, status)
        told = subprocess.run(
            [sys.executable, "-m", "trainer.commands.line", "log", "--json", "--limit", "1"],
            env=self.environ, cwd=self.home, capture_output=True, text=True, check=True,
        ).stdout  # fmt: skip
        rows: list[dict[str, object]] = json.loads(told)
        return rows[-1]

    def close(self) -> None:
        self.terminal.__exit__()
        self.recorder.kill()
        self.server.close()


def play(rows: list[Row], minutes: float, folder: Path, many: Path | None) -> list[tuple[Playing, dict[str, object]]]:
    """All rows at once: begun together, their tempo changed every few seconds, ended together; each with its try."""
    with ExitStack() as stack:
        playing = []
        for row in rows:
            playing.append(Playing(row, folder, many))
            stack.callback(playing[-1].close)
        for each in playing:
            each.terminal.wait_for("READY", 60)
        time.sleep(3.0)  # a sink that slept has asked a second time by then
        for each in playing:
            each.terminal.write(SPACE)
        until_s, turn, tempo_bpm = time.monotonic() + 60 * minutes, 0, TEMPO_BPM
        time.sleep(EVERY_S)
        while time.monotonic() < until_s:
            if many is not None:
                look_through(playing, turn)
            key, step = (UP, TEMPO_STEP) if turn % (2 * STEPS) < STEPS else (DOWN, -TEMPO_STEP)
            turn, tempo_bpm = turn + 1, tempo_bpm + step
            for each in playing:
                each.press_tempo(key, tempo_bpm)
            time.sleep(EVERY_S)
        return [(each, each.end()) for each in playing]


def look_through(playing: list[Playing], turn: int) -> None:
    """Open the logbook or the progress of a try under way, move in it, and come back."""
    for key in (LOGBOOK if turn % 2 else PROGRESS, DOWN, PAGE_DOWN, ESCAPE):
        for each in playing:
            each.terminal.write(key)
        time.sleep(0.7)


# -- what was heard against the score ---------------------------------------------------------------------------


def rendered(performance: Performance, start: int, frames: int) -> np.ndarray:
    """Frames of the stream as they are to be heard: int16 (frames, 2)."""
    block = performance.render(start, frames) * np.float32(Settings().volume)
    return np.rint(np.clip(block, -1.0, 1.0) * 32767.0).astype(np.int16)


def compare(heard: np.ndarray, changes: list[Change]) -> Compared:
    """The recording of one run against the score, part by part, up to a second after the last change's answer."""
    performance = expected_performance("531", TEMPO_BPM, COUNT_IN)
    first = next(iter(np.flatnonzero(np.abs(heard).max(axis=1))), 0)
    base = max(0, int(first) - RATE_HZ)
    offset = base + find_offset(heard[base : base + 12 * RATE_HZ], rendered(performance, 0, 4 * RATE_HZ))
    breaks: list[Break] = []
    answered: list[float] = []
    at, total, waiting = 0, 0, list(changes)
    last = changes[-1].at_frame - offset + 4 * RATE_HZ
    while at < last and offset + at + PART_FRAMES <= len(heard):
        frames = PART_FRAMES
        if waiting and waiting[0].at_frame - offset <= at + frames:
            performance, beat_frame = changed(heard, performance, waiting[0], offset)
            answered.append((beat_frame + offset - waiting.pop(0).at_frame) / RATE_HZ)
        part, wanted = heard[offset + at : offset + at + frames], rendered(performance, at, frames)
        wrong = np.flatnonzero((part != wanted).any(axis=1))
        total += frames
        if len(wrong):
            begins = at + int(wrong[0])
            shift, resumes = found_again(heard, performance, offset, begins)
            breaks.append(Break(begins / RATE_HZ, resumes - begins, shift))
            offset, at = offset + shift, max(resumes, at + frames)
            continue
        at += frames
    return Compared(total, tuple(breaks), tuple(answered))


def changed(heard: np.ndarray, performance: Performance, change: Change, offset: int) -> tuple[Performance, int]:
    """The performance with the change at the beat that fits the recording best, and that beat's frame."""
    first = int(performance.beat_at(change.at_frame - offset - RATE_HZ // 4)) + 1
    best: tuple[int, Performance, int] | None = None
    for beat in range(first, first + CHANGE_BEATS):
        tempo = performance.tempo.with_tempo(Fraction(beat), Fraction(change.tempo_bpm))
        candidate = replace(performance, tempo=tempo)
        start = performance.frame_at(first)
        wanted = rendered(candidate, start, 3 * RATE_HZ)
        part = heard[offset + start : offset + start + len(wanted)]
        alike = int((part == wanted[: len(part)]).all(axis=1).sum())
        if best is None or alike > best[0]:
            best = alike, candidate, performance.frame_at(beat)
    assert best is not None
    return best[1], best[2]


def found_again(heard: np.ndarray, performance: Performance, offset: int, begins: int) -> tuple[int, int]:
    """How far what follows a break is off, in frames, and the frame of the stream from which on all is in place."""
    wanted = rendered(performance, begins, FOUND_FRAMES).astype(np.float32)
    start = max(0, offset + begins - MOST_SHIFT)
    window = heard[start : offset + begins + FOUND_FRAMES + MOST_SHIFT].astype(np.float32)
    score = sum(fftconvolve(window[:, side], wanted[::-1, side], "valid") for side in (0, 1))
    shift = start + int(np.argmax(score)) - (offset + begins)
    after = heard[offset + shift + begins : offset + shift + begins + FOUND_FRAMES]
    wrong = np.flatnonzero((after != wanted[: len(after)].astype(np.int16)).any(axis=1))
    return shift, begins + (int(wrong[-1]) + 1 if len(wrong) else 0) + abs(shift)


# -- the table --------------------------------------------------------------------------------------------------


@contextmanager
def sleeper() -> Iterator[Sleeper]:
    watch = Sleeper()
    try:
        yield watch
    finally:
        watch.close()


def tell(load: str, row: Row, compared: Compared, noted: dict[str, object]) -> None:
    longest_ms = max((1000 * each.frames / RATE_HZ for each in compared.breaks), default=0.0)
    answered = sorted(compared.answered_s)
    told = (
        f"{compared.frames:,}", f"{compared.out_of_place:,}", len(compared.breaks), f"{longest_ms:.0f}",
        noted["hiccups"], f"{statistics.median(answered):.2f}", f"{answered[-1]:.2f}",
    )  # fmt: skip
    print(f"{load:<9}{row.name:<16}" + "".join(f"{each:>12}" for each in told), flush=True)
    for each in compared.breaks[:12]:
        out_ms, shift_ms = 1000 * each.frames / RATE_HZ, 1000 * each.shift_frames / RATE_HZ
        print(f"{'':<25}at {each.at_s:.1f} s: {out_ms:.0f} ms out of place, what follows {shift_ms:+.1f} ms")


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("minutes", type=float, nargs="?", default=10.0)
    asked.add_argument("--loads", default=",".join(LOADS))
    asked.add_argument("--row", action="append", default=[])
    asked.add_argument("--keep", type=Path)
    words = asked.parse_args()
    named = [each.partition("=") for each in words.row]
    rows = [Row(name, Path(path).resolve()) for name, _, path in named] or [Row("this", ROOT)]
    print(f"{'load':<9}{'row':<16}" + "".join(f"{head:>12}" for head in HEADS))
    for load in words.loads.split(","):
        with tempfile.TemporaryDirectory() as place:
            folder = words.keep / load if words.keep else Path(place)
            folder.mkdir(parents=True, exist_ok=True)
            many = None
            if load == "logbook":
                many = Path(place) / "many.sqlite"
                made(many, MANY)
            with LOADS[load](Path(place), many), sleeper() as watch:
                played = play(rows, words.minutes, folder, many)
            for playing, noted in played:
                heard = np.memmap(playing.raw, np.int16, "r").reshape(-1, 2)
                tell(load, playing.row, compare(heard, playing.changes), noted)
            late_ms = [1000 * each for each in watch.late_s()]
            stalls = ", ".join(f"{each:.0f}" for each in late_ms if each > STALL_MS) or "none"
            print(f"{load:<9}a sleeper: {max(late_ms, default=0.0):.0f} ms late at worst; over {STALL_MS}: {stalls}")


if __name__ == "__main__":
    main()
