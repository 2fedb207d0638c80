"""Draws the screens as SVG pictures, without a terminal: for README, and for looking at them.

    python tests/pictures.py FOLDER [COLUMNSxROWS] [THEME]

The juggler, the tries and the place are made up; time is a clock set by hand.
"""

from __future__ import annotations

import asyncio
import re
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import get_args

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

from tests.audio.manual_output import ManualOutput
from tests.practice.climbs.jugglers import Juggler, climbed, tempo_ladder
from tests.screens.practised import practised
from trainer.audio.kitfiles import list_kits
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.transport import Transport
from trainer.config import Settings, Theme
from trainer.files.places import bundled, places
from trainer.practice.climbs.climb import STAIRCASE, Climb
from trainer.records.attempt import CountedBy
from trainer.screens.app import TrainerApp
from trainer.session.session import Session
from trainer.session.sitting import Sitting
from trainer.session.tries import Tries

OUTSIDE = re.compile(r"@font-face\s*\{.*?\}|<!--.*?-->", re.DOTALL)
"""A font from elsewhere, and a remark."""


def make_sitting(folder: Path, theme: Theme) -> tuple[Sitting, ManualOutput]:
    """A sitting without a device, whose clock is moved by the output."""
    output = ManualOutput()
    transport = Transport(RATE_HZ)
    output.open(transport.pull)
    kits, _ = list_kits((bundled("sounds"),))
    start = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
    sitting = Sitting(
        places({"THROWBEAT_HOME": str(folder)}),
        Settings(theme=theme, animate=False, tour=False),
        kits,
        transport,
        output,
        Tries(None, start),
        [],
        output.clock,
        lambda: start + timedelta(seconds=output.now_s),
    )
    return sitting, output


def under_way(sitting: Sitting) -> Session:
    """The practice that is open."""
    assert sitting.session is not None
    return sitting.session


def save(app: TrainerApp, path: Path) -> None:
    """The screen as SVG that needs nothing from outside."""
    path.write_text(OUTSIDE.sub("", app.export_screenshot(title="throwbeat")), encoding="utf-8")


async def draw(folder: Path, size: tuple[int, int], theme: Theme) -> None:
    with tempfile.TemporaryDirectory() as home:
        sitting, output = make_sitting(Path(home), theme)
        app = TrainerApp(sitting)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            save(app, folder / "patterns.svg")
            await pilot.press(*"432")
            await pilot.pause()
            save(app, folder / "refused.svg")
            await pilot.press("escape", *"531")
            await pilot.pause()
            save(app, folder / "typed.svg")
            app.practise(sitting.library.to_choice("531"), Fraction(172))
            await pilot.pause()
            session = under_way(sitting)

            def play(seconds: float) -> None:
                for _ in range(round(seconds * 30)):
                    output.advance(RATE_HZ // 30)
                    under_way(sitting).tick(output.now_s)

            for length_s in (3.9, 5.2, 4.4, 12.5):
                session.press(output.now_s)
                play(4 * 60 / 172 + length_s)
                session.press(output.now_s)
                play(3)
            session.press(output.now_s)
            play(4 * 60 / 172 + 3.35)
            app.screen.tick()  # type: ignore[attr-defined]
            await pilot.pause()
            save(app, folder / "practice.svg")
            await pilot.press("v")
            app.screen.tick()  # type: ignore[attr-defined]
            await pilot.pause()
            save(app, folder / "flight.svg")
            await pilot.press("v")
            await pilot.pause()
            await pilot.press("question_mark")
            await pilot.pause()
            save(app, folder / "help.svg")
            await pilot.press("escape", "f2")
            await pilot.pause()
            save(app, folder / "setup.svg")
            await pilot.press("m")
            await pilot.pause()
            save(app, folder / "calibrate.svg")
            await pilot.press("escape", "r")
            await pilot.pause()
            save(app, folder / "react.svg")
            await pilot.press("escape", "escape", "escape")
            await pilot.press("f3")
            await pilot.pause()
            save(app, folder / "terms.svg")
            await pilot.press("escape", "escape")
            await pilot.press("f4")
            await pilot.pause(0.5)
            await pilot.press(*["tab"] * 4, "space")
            await pilot.pause(0.5)
            save(app, folder / "find.svg")
            await pilot.press("f6", "up", "space")
            await pilot.pause()
            save(app, folder / "climb-form.svg")
            climb, chance = Climb(tempo_ladder(170, 5), STAIRCASE, CountedBy.BEAT), Random(7)
            app.climb(climbed(climb, Juggler(188, 6), chance, most=20), "qualify")
            await pilot.pause()
            save(app, folder / "climb.svg")
            await pilot.press("escape", "f4")
            await pilot.pause()
            await pilot.press("escape", "escape", "f7", *["down"] * 2)
            await pilot.pause()
            save(app, folder / "plans.svg")
            await pilot.press("e", "down", "down", "enter", "down")
            await pilot.pause()
            save(app, folder / "plan-edit.svg")
            await pilot.press("escape", "escape", "enter")
            await pilot.pause()
            session = under_way(sitting)
            session.press(output.now_s)
            play(7)
            session.press(output.now_s)
            play(3)
            session.go_on(output.now_s)
            play(1)
            app.screen.tick()  # type: ignore[attr-defined]
            await pilot.pause()
            save(app, folder / "plan.svg")
            for _ in range(2):
                session.go_on(output.now_s)
            play(1)
            app.screen.tick()  # type: ignore[attr-defined]
            await pilot.pause()
            save(app, folder / "plan-rest.svg")
            await pilot.press("escape", "escape")
            await pilot.pause()
            await pilot.press("escape")
            practised(sitting)
            await pilot.press("f8")
            await pilot.pause()
            save(app, folder / "logbook.svg")
            await pilot.press("f9", *"mills")
            await pilot.pause()
            for page in ("catches", "tempo", "weeks", "days"):
                await pilot.pause(0.2)
                save(app, folder / f"progress-{page}.svg")
                await pilot.press("tab")


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    columns, rows = (int(part) for part in (sys.argv[2] if len(sys.argv) > 2 else "80x24").split("x"))
    theme = next(each for each in get_args(Theme) if each == (sys.argv[3] if len(sys.argv) > 3 else "dark"))
    asyncio.run(draw(folder, (columns, rows), theme))


if __name__ == "__main__":
    main()
