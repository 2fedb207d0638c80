"""Does the beat hold? The whole trainer plays through a sound server beside a load; what was recorded is compared.

    python tests/bench/holding.py [MINUTES] [--loads quiet,busy,…] [--row NAME=CHECKOUT …] [--keep FOLDER]

10 minutes, every load and this checkout unless told otherwise. Each row is a checkout of the trainer with a sound
server of its own; all rows play at the same time, so that they are compared beside one and the same load.
Each plays 531 with the flight view moving, its tempo changed every few seconds; beside the load `logbook` its logbook
has MANY tries and is looked through during the run. What the sink played is compared frame by frame with what the
trainer rendered (that this is the score, the tests show).

Printed for each row: frames compared and out of place, breaks (places where sound was missing or came twice), the
longest, the longest time between two requests for sound, and what the trainer itself noted; and for the load, how often
a process that only sleeps was late: then the machine stood still, whatever the trainer does. Linux; needs PulseAudio.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.signal import fftconvolve

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.bench.loads import LOADS, Sleeper
from tests.bench.million import made
from tests.live.soundserver import FRAME_BYTES, RATE_HZ, SINK, SoundServer
from tests.live.terminal import Terminal

TEMPO_BPM, COUNT_IN, STEPS = 172, 4, 6
EVERY_S = 5.0
UP, DOWN, PAGE_DOWN, SPACE, ESCAPE, CTRL_Q = b"\x1b[A", b"\x1b[B", b"\x1b[6~", b" ", b"\x1b", b"\x11"
LOGBOOK, PROGRESS = b"\x1b[19~", b"\x1b[20~"
MANY = 100_000
BEFORE_ALL = ("chrt", "--rr", "5")
"""Sound server and recorder never wait for the load, as on a desktop, which gives its sound server such a place. What
is out of place is the trainer's then. It needs root."""

STALL_MS = 80

PART_FRAMES = RATE_HZ
"""The recording is compared in parts of one second."""

FOUND_FRAMES = 2 * RATE_HZ
"""So much of the stream is looked for where the recording leaves it."""

HEADS = ("frames", "out", "breaks", "longest ms", "gap ms", "noted")
MOST_SHIFT = RATE_HZ
OVERHEARD = Path(__file__).with_name("overheard")
"""On the path of the trainer, it keeps what is rendered."""


@dataclass(frozen=True, slots=True)
class Row:
    """A checkout, and what to call it."""

    name: str
    checkout: Path


@dataclass(frozen=True, slots=True)
class Break:
    """A place at which the recording leaves the stream: for how long, and how far what follows is off."""

    at_s: float
    frames: int
    shift_frames: int


@dataclass(frozen=True, slots=True)
class Compared:
    """What was heard against what was rendered."""

    frames: int
    breaks: tuple[Break, ...]

    @property
    def out_of_place(self) -> int:
        return sum(each.frames for each in self.breaks)


class Playing:
    """One row at work: a trainer on a terminal, its sound server, and the recording of it in a file."""

    def __init__(self, row: Row, folder: Path, many: Path | None) -> None:
        self.row, self.server = row, SoundServer(BEFORE_ALL)
        self.server.start()
        self.raw = folder / f"{row.name}.raw"
        self.home = folder / f"{row.name}.home"
        self.home.mkdir()
        (self.home / "settings.toml").write_text('practice_shows = "flight"\ntour = false\n')
        if many is not None:
            shutil.copy(many, self.home / "logbook.sqlite")
        self.rendered = Path("/dev/shm") / self.server.folder.name
        with self.raw.open("wb") as file:
            self.recorder = subprocess.Popen(
                [*BEFORE_ALL, "parec", "-d", f"{SINK}.monitor", "--format=s16le", f"--rate={RATE_HZ}", "--channels=2",
                 "--latency-msec=20"],
                env=os.environ | self.server.environ, stdout=file,
            )  # fmt: skip
        self.environ = {**os.environ, "THROWBEAT_HOME": str(self.home), "PYTHONPATH": f"{row.checkout}:{OVERHEARD}"}
        command = [sys.executable, "-m", "trainer.commands.line", "531", "--tempo", str(TEMPO_BPM)]
        self.terminal = Terminal(
            [*command, "--count-in", str(COUNT_IN)],
            self.environ | self.server.environ | {"OVERHEARD": str(self.rendered)},
            120, 40, self.home,
        )  # fmt: skip

    def end(self) -> int:
        """Leave; how often the trainer itself noted that a click may have been misplaced."""
        self.terminal.write(SPACE)
        time.sleep(2.0)
        self.terminal.write(CTRL_Q)
        status = self.terminal.wait_ended(30)
        self.recorder.terminate()
        self.recorder.wait()
        self.server.close()
        assert status == 0, (self.row.name, status)
        with closing(sqlite3.connect(self.home / "logbook.sqlite")) as book:
            (noted,) = book.execute("SELECT hiccups FROM attempts ORDER BY id DESC LIMIT 1").fetchone()
        return int(noted)

    def compared(self) -> Compared:
        return compare(read(self.raw), read(self.rendered))

    def longest_gap_ms(self) -> float:
        """The longest time between two requests, from the first second on."""
        at_s = noted(self.rendered, "times")["at_s"]
        return 1000 * float(np.diff(at_s[at_s > at_s[0] + 3.0]).max())

    def close(self) -> None:
        self.terminal.__exit__()
        self.recorder.kill()
        self.server.close()


def read(raw: Path) -> np.ndarray:
    """int16 (frames, 2), left on the disk."""
    whole = raw.stat().st_size // FRAME_BYTES
    return np.memmap(raw, np.int16, "r", shape=(whole, 2))


def noted(rendered: Path, what: str) -> np.ndarray:
    """What is kept beside the stream, `times` or `stops`: the second, `at_s`, and the frames or frame, `frames`."""
    return np.fromfile(f"{rendered}.{what}", np.dtype([("at_s", "<f8"), ("frames", "<i8")]))


def clear(rendered: Path) -> None:
    for each in (rendered, Path(f"{rendered}.times"), Path(f"{rendered}.stops")):
        each.unlink(missing_ok=True)


def play(rows: list[Row], minutes: float, folder: Path, many: Path | None) -> list[tuple[Playing, int]]:
    """All rows at once: begun together, their tempo changed every few seconds, ended together; with what each noted."""
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
        until_s, turn = time.monotonic() + 60 * minutes, 0
        while time.monotonic() < until_s:
            time.sleep(EVERY_S)
            if many is not None:
                look_through(playing, turn)
            for each in playing:
                each.terminal.write(UP if turn % (2 * STEPS) < STEPS else DOWN)
            turn += 1
        return [(each, each.end()) for each in playing]


def look_through(playing: list[Playing], turn: int) -> None:
    """Open the logbook or the progress of a try under way, move in it, and come back."""
    for key in (LOGBOOK if turn % 2 else PROGRESS, DOWN, PAGE_DOWN, ESCAPE):
        for each in playing:
            each.terminal.write(key)
        time.sleep(0.7)


# -- what was heard against what was rendered --------------------------------------------------------------------


def compare(heard: np.ndarray, rendered: np.ndarray) -> Compared:
    """The recording against the stream, from its first sound to a second before its end; both int16 (frames, 2)."""
    first = int(np.flatnonzero(rendered.any(axis=1))[0])
    offset = first_place(heard, rendered, first) - first
    at, stop, total, breaks = first, len(rendered) - RATE_HZ, 0, []
    while at < stop and offset + at + PART_FRAMES <= len(heard):
        wrong = differing(heard, rendered, offset, at, PART_FRAMES)
        if not len(wrong):
            total, at = total + PART_FRAMES, at + PART_FRAMES
            continue
        begins = at + int(wrong[0])
        found = found_again(heard, rendered, offset, begins, stop)
        if found is None:
            breaks.append(Break(begins / RATE_HZ, stop - begins, 0))
            break
        resumes, after = found
        breaks.append(Break(begins / RATE_HZ, resumes - begins, after - offset))
        total, at, offset = total + resumes - at, resumes, after
    return Compared(total, tuple(breaks))


def differing(heard: np.ndarray, rendered: np.ndarray, offset: int, at: int, frames: int) -> np.ndarray:
    part = heard[offset + at : offset + at + frames]
    return np.flatnonzero((part != rendered[at : at + len(part)]).any(axis=1))


def first_place(heard: np.ndarray, rendered: np.ndarray, first: int) -> int:
    sounds = int(np.flatnonzero(heard.any(axis=1))[0])
    start = max(0, sounds - 2 * RATE_HZ)
    return start + best_fit(heard[start : start + 12 * RATE_HZ], rendered[first : first + 4 * RATE_HZ])


def best_fit(where: np.ndarray, part: np.ndarray) -> int:
    """The frame at which a part is most like a longer piece."""
    sides = (
        fftconvolve(where[:, side].astype(np.float32), part[::-1, side].astype(np.float32), "valid") for side in (0, 1)
    )
    return int(np.argmax(sum(sides)))


def found_again(heard: np.ndarray, rendered: np.ndarray, offset: int, begins: int, stop: int) -> tuple[int, int] | None:
    """The next frame from which on the recording holds for FOUND_FRAMES, and its new offset; None: it never does."""
    for at in range(begins, stop - FOUND_FRAMES, RATE_HZ // 4):
        part = rendered[at : at + FOUND_FRAMES]
        start = max(0, offset + at - MOST_SHIFT)
        after = start + best_fit(heard[start : offset + at + FOUND_FRAMES + MOST_SHIFT], part) - at
        wrong = differing(heard, rendered, after, at, FOUND_FRAMES)
        if len(wrong) == 0 or wrong[-1] < RATE_HZ // 4:
            return at + (int(wrong[-1]) + 1 if len(wrong) else 0), after
    return None


# -- the table --------------------------------------------------------------------------------------------------


@contextmanager
def sleeper() -> Iterator[Sleeper]:
    watch = Sleeper()
    try:
        yield watch
    finally:
        watch.close()


def tell(load: str, playing: Playing, hiccups: int) -> None:
    compared = playing.compared()
    longest_ms = max((1000 * each.frames / RATE_HZ for each in compared.breaks), default=0.0)
    told = (
        f"{compared.frames:,}", f"{compared.out_of_place:,}", len(compared.breaks), f"{longest_ms:.0f}",
        f"{playing.longest_gap_ms():.0f}", hiccups,
    )  # fmt: skip
    print(f"{load:<9}{playing.row.name:<16}" + "".join(f"{each:>12}" for each in told), flush=True)
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
                late_ms = [1000 * each for each in watch.late_s()]
            for playing, hiccups in played:
                tell(load, playing, hiccups)
                clear(playing.rendered)
            stalls = ", ".join(f"{each:.0f}" for each in late_ms if each > STALL_MS) or "none"
            print(f"{load:<9}a sleeper: {max(late_ms, default=0.0):.0f} ms late at worst; over {STALL_MS}: {stalls}")


if __name__ == "__main__":
    main()
