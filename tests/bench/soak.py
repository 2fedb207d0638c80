"""A long practice: do memory, threads and open files stay as they were?

    python tests/bench/soak.py [live minutes] [quick hours]      20 and 1 unless told otherwise

Live, the whole trainer on a pseudo-terminal of 80 × 24: run after run by the pedal, the screens that look back, setup,
terms and help opened between them, the views and the tempo changed, sound to the device there is or to none. In quick
time, a simulated juggler with the whole screen, by a plan of an hour, again and again. Read from /proc (Linux alone) at
rest; what is held in the second half is compared, when each screen has been seen. Exits with 1 if it grew.
"""

from __future__ import annotations

import asyncio
import os
import random
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.live.terminal import Terminal
from tests.live.trainer import trainer
from tests.session.simulated import Simulated, sitting_at
from trainer.audio.outputs.protocols import Pcm
from trainer.screens.app import TrainerApp

PLAN = Path(__file__).with_name("plan_hour.toml")
RUN_S, REST_S = 15.0, 3.5
VISITS = (b"\x1bOQ", b"\x1bOR", b"\x1b[19~", b"\x1b[20~", b"?")
"""Setup, terms, logbook, progress, help."""

CHANGES = (b"v", b"f", b"\x1b[A", b"\x1b[B", b"k", b"\x1b[C", b"\x1b[D")
MOST_GROWTH_KIB = 1024


class Forgotten(list[Pcm]):
    """For what was played: nothing is kept."""

    def append(self, _: Pcm) -> None:
        pass


@dataclass(frozen=True, slots=True)
class Held:
    """What a process holds."""

    at_min: float
    memory_kib: int
    threads: int
    files: int


def held(pid: int, at_min: float) -> Held:
    status = dict(line.split(":", 1) for line in Path(f"/proc/{pid}/status").read_text().splitlines())
    files = len(os.listdir(f"/proc/{pid}/fd"))
    return Held(at_min, int(status["VmRSS"].split()[0]), int(status["Threads"]), files)


def live(minutes: float) -> list[Held]:
    """Run after run on a terminal; what is held at rest after each."""
    found, chance = [], random.Random(5)
    with tempfile.TemporaryDirectory() as home, trainer(without_tour(Path(home)), "531", "--tempo", "240") as terminal:
        terminal.wait_for("READY")
        began_s = time.monotonic()
        while time.monotonic() - began_s < 60 * minutes:
            terminal.write(b" ")
            for _ in range(4):
                time.sleep(chance.uniform(RUN_S / 5, RUN_S / 3))
                terminal.write(chance.choice(CHANGES))
            terminal.write(b" ")
            time.sleep(REST_S)
            visit(terminal, chance.choice(VISITS))
            found.append(held(terminal.process.pid, (time.monotonic() - began_s) / 60))
            assert terminal.process.poll() is None
        terminal.write(b"\x11")
        assert terminal.wait_ended() == 0
        assert "Traceback" not in terminal.text
    return found


def without_tour(home: Path) -> Path:
    (home / "settings.toml").write_text("tour = false\n")
    return home


def visit(terminal: Terminal, key: bytes) -> None:
    terminal.write(key)
    time.sleep(1.0)
    terminal.write(b"\x1b[B")
    time.sleep(0.3)
    terminal.write(b"\x1b")
    time.sleep(0.7)


async def quick(hours: int) -> list[Held]:
    """The hour of a plan, so many times in one process; what is held after each twelfth of it."""
    found: list[Held] = []
    with tempfile.TemporaryDirectory() as folder, sitting_at(Path(folder)) as sitting:
        app = TrainerApp(sitting)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            for hour in range(hours):
                app.practise_plan(PLAN.read_text(encoding="utf-8"), PLAN)
                await pilot.pause()
                juggler = Simulated(app, pilot, random.Random(hour))
                began_s, juggler.output.played = juggler.output.now_s, Forgotten()
                while juggler.guide.task is not None and juggler.output.now_s - began_s < 2 * 3600:
                    await juggler.play(300)
                    found.append(held(os.getpid(), juggler.output.now_s / 60))
                await pilot.press("escape")
                await pilot.pause()
        if app.failure is not None:
            raise app.failure
    return found


def told(what: str, found: list[Held]) -> bool:
    """Print some of it; whether it stayed as it was from the first third on."""
    print(f"{what:<24}{'minute':>8}{'memory KiB':>12}{'threads':>9}{'files':>7}")
    for each in found[:: max(1, len(found) // 8)] + found[-1:]:
        print(f"{'':<24}{each.at_min:>8.1f}{each.memory_kib:>12,}{each.threads:>9}{each.files:>7}")
    half, three_quarters = len(found) // 2, len(found) * 3 // 4
    third, last = found[half:three_quarters], found[three_quarters:]
    growth_kib = last[-1].memory_kib - third[0].memory_kib
    threads = max(each.threads for each in last) - max(each.threads for each in third)
    files = max(each.files for each in last) - max(each.files for each in third)
    print(f"{'':<24}in the second half: {growth_kib:+,} KiB, threads {threads:+}, files {files:+}")
    return growth_kib <= MOST_GROWTH_KIB and threads <= 0 and files <= 0


def main() -> None:
    minutes = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    hours = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    stayed = [told("live", live(minutes)) if minutes else True]
    stayed.append(told("in quick time", asyncio.run(quick(hours))) if hours else True)
    sys.exit(0 if all(stayed) else 1)


if __name__ == "__main__":
    main()
