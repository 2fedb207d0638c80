"""An hour by a plan, by a simulated juggler with nothing but the pedal, on the whole screen, in quick time.

    python tests/bench/plan_hour.py [seed]

Prints what was practised, and what was not as it should be: states as in the table, every try in the logbook once,
each in its block, no key but the pedal. Exits with 1 if there was such a thing.
"""

from __future__ import annotations

import asyncio
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.session.simulated import NINE, Simulated, faults, sitting_at
from trainer.logbook.store import Logbook
from trainer.screens.app import TrainerApp

PLAN = Path(__file__).with_name("plan_hour.toml")


async def play(folder: Path, seed: int) -> int:
    with sitting_at(folder) as sitting:
        app = TrainerApp(sitting)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            app.practise_plan(PLAN.read_text(encoding="utf-8"), PLAN)
            await pilot.pause()
            juggler = Simulated(app, pilot, random.Random(seed))
            began_s = time.process_time()
            await juggler.play(2 * 3600)
            cpu_s = time.process_time() - began_s
            with Logbook.open_to_read(sitting.places.logbook) as logbook:
                runs, tries = logbook.plan_runs(), logbook.attempts()
                found = faults(juggler, logbook, runs[-1].uid or "")
            steps = juggler.guide.steps
    print(f"{'block':<6}{'kind':<11}{'what':<22}{'begun':>8}{'tries':>7}{'flash':>7}{'qualify':>9}")
    for number, step in enumerate(steps):
        own = [each for each in tries if each.block == number]
        at = f"{(own[0].started_at - NINE).total_seconds() / 60:.1f} min" if own else ""
        flashed, qualified = sum(each.flash for each in own), sum(each.qualify for each in own)
        counts = f"{len(own):>7}{flashed:>7}{qualified:>9}" if own else ""
        print(f"{number + 1:<6}{step.block.kind:<11}{step.block.title[:20]:<22}{at:>8}{counts}")
    print(f"{juggler.output.now_s / 60:.1f} min of practice in {cpu_s:.0f} s of processor time")
    print(f"{juggler.presses} presses of the pedal, no other key; {len(tries)} tries, each once in the logbook")
    moves = Counter(f"{before} → {after}" for before, after in juggler.moves)
    print(", ".join(f"{move} {count}" for move, count in sorted(moves.items())))
    print("\n".join(found) or "nothing was otherwise than it should be")
    if app.failure is not None:
        raise app.failure
    return 1 if found else 0


def main() -> None:
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    with tempfile.TemporaryDirectory() as folder:
        sys.exit(asyncio.run(play(Path(folder), seed)))


if __name__ == "__main__":
    main()
