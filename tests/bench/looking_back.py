"""How long the screens that look back take with a million made-up attempts: opening, a key of the filter, a figure.

    python tests/bench/looking_back.py [ATTEMPTS] [FOLDER]      FOLDER: as for million.py, whose logbook this is

The trainer runs without a terminal, drawing as ever. Processor time, in milliseconds, of all that a key asks for until
nothing is left to do, the drawing and the number of tries included: what else the machine does is not counted. The
libraries are loaded before.
"""

from __future__ import annotations

import asyncio
import random
import sys
import tempfile
import threading
import time
from contextlib import nullcontext
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[2]))  # so that it also runs in a checkout that is not installed

from textual import events

from tests.bench.million import NAMES, PATTERNS, PROPS, TYPED, WORDS, made
from tests.pictures import make_sitting
from trainer.logbook.filters import Sort
from trainer.logbook.store import Logbook
from trainer.screens.app import TrainerApp
from trainer.screens.lookback.logbook import SORTS
from trainer.screens.lookback.progress import ProgressScreen  # noqa: F401

SIZE = (120, 40)
TIMES = 5


async def measured(app: TrainerApp, *keys: str) -> float:
    """Milliseconds of processor time for some keys, sent at once."""
    began_s = time.process_time()
    for key in keys:
        app.post_message(events.Key(key, key if len(key) == 1 else None))
    for _ in range(4):
        await asyncio.sleep(0.05)
    return (time.process_time() - began_s) * 1000


def made_up(chance: random.Random, count: int) -> list[str]:
    """Texts for the filter: up to four words that the logbook has or not, the last one perhaps begun only."""
    words = (*WORDS, *PATTERNS, *NAMES.values(), *PROPS, "Ada", "Ζωή", "Invented", "tempo", "changed", "215", "xyz")
    texts = []
    for _ in range(count):
        *whole, last = chance.choices(words, k=chance.randint(1, 4))
        texts.append(" ".join((*whole, last[: chance.randint(1, len(last))] if chance.random() < 0.5 else last)))
    return texts


async def typed(app: TrainerApp, text: str) -> list[float]:
    """Each key of a text, beginning with an empty filter."""
    taken = [await measured(app, key) for key in text]
    await measured(app, "escape")
    return taken


def told(name: str, taken: list[float]) -> None:
    print(f"{name:<44} median {median(taken):7.1f} ms   worst {max(taken):7.1f} ms", flush=True)


async def run(folder: Path) -> None:
    sitting, _ = make_sitting(folder, "dark")
    async with TrainerApp(sitting).run_test(size=SIZE) as pilot:
        app = pilot.app
        assert isinstance(app, TrainerApp)
        await pilot.pause()
        Logbook.open(folder / "logbook.sqlite", now=sitting.now()).close()
        for thread in threading.enumerate():  # today's backup is made beside the first look
            if thread.name == "backup":
                thread.join()
        told("nothing at all", [await measured(app) for _ in range(TIMES)])
        for name, key in (("the logbook opened", "f8"), ("progress opened", "f9")):
            taken = []
            for _ in range(TIMES):
                taken.append(await measured(app, key))
                await measured(app, "escape")
            told(name, taken)
        await measured(app, "f8")
        texts = made_up(random.Random(5), 10)
        for sort in SORTS:
            if sort is not Sort.NEWEST:
                told(f"{sort.name.lower()}: the order", [await measured(app, "tab")])
            for text in TYPED:
                told(f"{sort.name.lower()}: each key of {text!r}", await typed(app, text))
            told(f"{sort.name.lower()}: each key of {len(texts)} texts", [
                each for text in texts for each in await typed(app, text)
            ])  # fmt: skip
        await measured(app, "tab")
        told("a page down", [await measured(app, "pagedown") for _ in range(TIMES)])
        await measured(app, "f9")
        told("another figure", [await measured(app, "down") for _ in range(TIMES)])
        told("another page of it", [await measured(app, "tab") for _ in range(TIMES)])


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    with nullcontext(sys.argv[2]) if len(sys.argv) > 2 else tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if not (folder / "logbook.sqlite").exists():
            made(folder / "logbook.sqlite", count)
        asyncio.run(run(folder))


if __name__ == "__main__":
    main()
