"""How long the screens that look back take with a million made-up attempts: opening, a key of the filter, a figure.

    python tests/bench/looking_back.py [ATTEMPTS] [FOLDER]      FOLDER: as for million.py, whose logbook this is

The trainer runs without a terminal, drawing as ever. Processor time, in milliseconds, of all that a key asks for until
nothing is left to do: what else the machine does is not counted. The libraries are loaded before.
"""

from __future__ import annotations

import asyncio
import random
import sys
import tempfile
import time
from contextlib import nullcontext
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[2]))  # so that it also runs in a checkout that is not installed

from textual import events

from tests.bench.million import NAMES, PATTERNS, PROPS, TYPED, WORDS, made
from tests.pictures import make_sitting
from trainer.screens.app import TrainerApp
from trainer.screens.lookback.logbook import LogbookScreen
from trainer.screens.lookback.progress import ProgressScreen  # noqa: F401

SIZE = (120, 40)
TIMES = 5
ORDERS = ("oldest", "catches", "tempo", "seconds")
"""As Tab goes through them."""


async def to_painted(app: TrainerApp, key: str) -> float:
    """Milliseconds of processor time from a key to the list that fits it, painted. The count may follow."""
    painted = asyncio.Event()
    at_s = 0.0

    def note() -> None:
        nonlocal at_s
        at_s = time.process_time()
        painted.set()

    screen = app.screen
    assert isinstance(screen, LogbookScreen)
    before, began_s = screen.wanted, time.process_time()
    app.post_message(events.Key(key, key))
    while screen.wanted is before:
        await asyncio.sleep(0)
    # Called back after the repainting, and before the count, which asks for the same.
    screen._callbacks.insert(0, (note, screen))
    await painted.wait()
    await asyncio.sleep(0.1)
    return (at_s - began_s) * 1000


async def measured(app: TrainerApp, keys: str | tuple[str, ...]) -> float:
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


async def typed(app: TrainerApp, texts: list[str]) -> list[float]:
    """Each key of each text, beginning with an empty filter."""
    taken = []
    for text in texts:
        taken += [await to_painted(app, key) for key in text]
        await measured(app, ("escape",))
    return taken


async def held_up(screen: LogbookScreen) -> list[float]:
    """How long a key would have waited for its turn while an order is read ahead, in milliseconds, again and again."""
    taken = []
    while screen._reading is not None:
        began_s = time.perf_counter()
        await asyncio.sleep(0)
        taken.append((time.perf_counter() - began_s) * 1000)
        await asyncio.sleep(0.001)
    return taken or [0.0]


async def run(folder: Path) -> None:
    sitting, _ = make_sitting(folder, "dark")
    async with TrainerApp(sitting).run_test(size=SIZE) as pilot:
        app = pilot.app
        assert isinstance(app, TrainerApp)
        await pilot.pause()
        rows: dict[str, list[float]] = {"nothing at all": [await measured(app, ()) for _ in range(TIMES)]}
        for name, key in (("the logbook opened", "f8"), ("progress opened", "f9")):
            taken = []
            for _ in range(TIMES):
                taken.append(await measured(app, (key,)))
                await measured(app, ("escape",))
            rows[name] = taken
        await measured(app, ("f8",))
        assert isinstance(app.screen, LogbookScreen)
        rows["newest, held up meanwhile"] = await held_up(app.screen)
        for text in TYPED:
            rows[f"filter, each key of {text!r}"] = await typed(app, [text])
        texts = made_up(random.Random(5), 50)
        rows[f"filter, each key of {len(texts)} texts"] = await typed(app, texts)
        for order in ORDERS:
            began_s = time.process_time()
            await measured(app, ("tab",))
            assert isinstance(app.screen, LogbookScreen)
            rows[f"{order}, held up meanwhile"] = await held_up(app.screen)
            rows[f"{order}, all read ahead"] = [(time.process_time() - began_s) * 1000]
            for text in TYPED:
                rows[f"{order}, each key of {text!r}"] = await typed(app, [text])
            rows[f"{order}, each key of {len(texts)} texts"] = await typed(app, texts)
        await measured(app, ("tab",))
        rows["a page down"] = [await measured(app, ("pagedown",)) for _ in range(TIMES)]
        await measured(app, ("f9",))
        rows["another figure"] = [await measured(app, ("down",)) for _ in range(TIMES)]
        rows["another page of it"] = [await measured(app, ("tab",)) for _ in range(TIMES)]
    for name, taken in rows.items():
        print(f"{name:<40} median {median(taken):7.1f} ms   worst {max(taken):7.1f} ms")


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    with nullcontext(sys.argv[2]) if len(sys.argv) > 2 else tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if not (folder / "logbook.sqlite").exists():
            made(folder / "logbook.sqlite", count)
        asyncio.run(run(folder))


if __name__ == "__main__":
    main()
