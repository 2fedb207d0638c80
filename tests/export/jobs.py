"""Finds every onset of rendered files again: random patterns at random tempi, and one file of an hour.

Run: python tests/export/jobs.py [PATTERNS] [SECONDS]. Each pattern is rendered by the command itself, the file read
by scipy, its onsets found without being told when to look (tests/audio/onsets.py) and held against the frames that
the notation's rules give (tests/audio/reckoned.py): exact second × rate, rounded half up.
"""

from __future__ import annotations

import contextlib
import io
import os
import sys
import tempfile
import time
from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.export.onsets import Walk
from tests.export.reckoned import KINDS, Reckoned, Toss, random_pattern
from trainer.audio.kitfiles import load_kit
from trainer.audio.synth import Bank, Voice
from trainer.commands.line import main as throwbeat

KIT = load_kit(Path(__file__).parents[2] / "sounds" / "kitchen.toml")
FIVE = Reckoned("async", "5", 1, (Toss(0, 0, None, 5, 0, True),))
HEARD = {"throws": ("throw", "hold"), "catches": ("catch",), "both": ("throw", "hold", "catch")}
SHORTEST_ROUND_HEARD = 3
DWELLS = tuple(map(Fraction, ("1/2", "11/20", "3/5", "2/3", "7/10", "3/4")))
"""With these no two moments lie closer than a tenth of a beat: far enough apart to be told one from the other."""


@dataclass(frozen=True, slots=True)
class Job:
    """One file to render."""

    pattern: Reckoned
    tempo: Fraction
    dwell: Fraction
    count_in: int
    beats: Fraction
    hear: str
    bits: int
    rate_hz: int

    def words(self, path: Path) -> list[str]:
        """The command line."""
        options = {
            "tempo": self.tempo, "dwell": self.dwell, "count-in": self.count_in, "beats": self.beats,
            "hear": self.hear, "bits": self.bits, "rate": self.rate_hz, "kit": "kitchen",
        }  # fmt: skip
        told = [word for name, value in options.items() for word in (f"--{name}", str(value))]
        return ["render", self.pattern.text, "--out", str(path), "--force", *told]

    def sounding(self) -> set[tuple[Fraction, str, int, str | None, int]]:
        """(beat, role or kind, value, hand, juggler) of what is heard; the kit is silent about empty hands."""
        found: set[tuple[Fraction, str, int, str | None, int]]
        found = {(Fraction(beat), "count-in", 0, None, 0) for beat in range(-self.count_in, 0)}
        happenings = self.pattern.happenings(self.dwell, self.beats)
        found |= {
            (each.beat, each.kind, each.value, each.hand, each.juggler)
            for each in happenings
            if each.kind in HEARD[self.hear]
        }
        if self.pattern.period >= SHORTEST_ROUND_HEARD:
            turns = range(0, -int(-self.beats // 1), self.pattern.period)
            found |= {(Fraction(beat), "round", 0, None, 0) for beat in turns}
        catches = [each.beat for each in happenings if each.kind == "catch"]
        for goal, number in zip(("flash", "qualify"), self.pattern.goals(), strict=True):
            if number <= len(catches):
                found.add((catches[number - 1], goal, 0, None, 0))
        return found

    def frames(self) -> list[int]:
        """Every frame on which something begins."""
        seconds = {(each[0] + self.count_in) * 60 / self.tempo for each in self.sounding()}
        return sorted({floor(second * self.rate_hz + Fraction(1, 2)) for second in seconds})

    def voices(self) -> list[Voice]:
        """Whatever may sound, with no word of when."""
        found = set()
        for _, kind, value, hand, juggler in self.sounding():
            roles = ("right", "left", "zip") if kind == "throw" else (kind,)
            found |= {Voice(role, value, hand, juggler) for role in roles}
        return sorted(found, key=str)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one file: onsets that had to be there, and how they were found."""

    onsets: int
    missing: int
    extra: int
    worst_frames: int


def random_job(random: Random, kind: str, beats: int) -> Job:
    """A random pattern of a kind with random options; the tempo is seldom a whole number."""
    return Job(
        random_pattern(random, kind),
        Fraction(random.randint(40 * 12, 480 * 12), 12),
        random.choice(DWELLS),
        random.randint(0, 4),
        Fraction(beats),
        random.choice(tuple(HEARD)),
        random.choice((16, 24)),
        random.choice((44_100, 48_000)),
    )


def examine(job: Job, path: Path) -> Outcome:
    """Render a file by the command, find its onsets and hold them against those reckoned."""
    with contextlib.redirect_stdout(io.StringIO()):
        if throwbeat(job.words(path)) != 0:
            raise SystemExit(f"{job.pattern.text} was not rendered.")
    due = job.frames()
    bank = Bank(KIT, job.rate_hz)
    found = [frame for frame, _ in Walk(path, bank, job.voices()).onsets()]
    near = {frame + off for frame in due for off in (-1, 0, 1)}
    there = set(found)
    off = [min((abs(frame - at) for at in (frame, frame - 1, frame + 1) if at in there), default=None) for frame in due]
    return Outcome(
        len(due),
        sum(each is None for each in off),
        len(there - near) + len(found) - len(there),
        max((each for each in off if each is not None), default=0),
    )


def main() -> None:
    """Print the table."""
    patterns = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    seconds = int(sys.argv[2]) if len(sys.argv) > 2 else 3600
    random = Random(20261125)
    with tempfile.TemporaryDirectory() as folder:
        os.environ["THROWBEAT_HOME"] = folder
        path = Path(folder) / "x.wav"
        print(f"{'':30} {'files':>6} {'onsets':>7} {'missing':>8} {'extra':>6} {'worst, frames':>14}")
        rows: dict[str, list[Outcome]] = defaultdict(list)
        for number in range(patterns):
            kind = KINDS[number % len(KINDS)]
            rows[kind].append(examine(random_job(random, kind, 40), path))
        for kind, outcomes in rows.items():
            show(kind, outcomes)
        began = time.perf_counter()
        tempo = Fraction("171.3")
        hour = Job(FIVE, tempo, Fraction(2, 3), 4, Fraction(floor(seconds * tempo / 60)), "both", 16, 44_100)
        show(f"5, {seconds} s, 171.3 beats/min", [examine(hour, path)])
        print(f"({time.perf_counter() - began:.0f} s for the last)")


def show(name: str, outcomes: list[Outcome]) -> None:
    """One row."""
    onsets, missing, extra = (sum(getattr(each, what) for each in outcomes) for what in ("onsets", "missing", "extra"))
    worst = max(each.worst_frames for each in outcomes)
    print(f"{name:30} {len(outcomes):6} {onsets:7} {missing:8} {extra:6} {worst:14}")


if __name__ == "__main__":
    main()
