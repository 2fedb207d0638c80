"""The first picture comes soon: what may not be loaded before it, and the sound, which is opened right after it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import numpy as np

from tests.audio.manual_output import ManualOutput
from tests.screens.picture import shown
from tests.screens.practising import FIRST_BEAT_S, TEMPO_BPM, Press, practising
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.practice.pedal import Edge
from trainer.practice.run import RunState
from trainer.screens.app import TrainerApp
from trainer.screens.practice.screen import PracticeScreen
from trainer.screens.terminal import presses
from trainer.session.sitting import Sitting

ROOT = Path(__file__).parents[2]

PROGRAM = """
import json, sys
from trainer.commands.asked import words_to_choice
from trainer.config import Settings
from trainer.files.places import places
from trainer.session.sitting import open_sitting

seen = {}
for words in ([], ["531"]):
    sitting = open_sitting(places(), Settings(output="silent", tour=False), [])
    from trainer.screens.app import TrainerApp

    app = TrainerApp(sitting, words_to_choice(words) if words else None)

    def first_picture(*_):
        name = "531" if words else "list"
        seen.setdefault(name, [app.screen.query_one("#keys").size.width, sorted(sys.modules)])
        app.exit()

    sitting.open_output = first_picture
    if words:  # right after it as well, in any order
        from trainer.session.session import Session

        Session.prepare = first_picture
    app.run(headless=True)
    sitting.close()
print(json.dumps(seen))
"""

LIBRARIES = (
    "numpy", "miniaudio", "_miniaudio", "simpleaudio", "tomlkit", "mido", "textual_plot", "resvg_py", "csv",
)  # fmt: skip
OURS = (
    "trainer.logbook.exchange", "trainer.logbook.formats", "trainer.export", "trainer.progress",
    "trainer.practice.climbs.",
    "trainer.practice.plans.", "trainer.screens.help", "trainer.screens.lookback.", "trainer.screens.plans.",
    "trainer.screens.climbs.", "trainer.screens.setup.",
)  # fmt: skip
USED_LATER = {
    "list": (*LIBRARIES, *OURS, "trainer.session.session", "trainer.screens.practice."),
    "531": (*LIBRARIES, *OURS),
}
"""What the first picture of the list and of a practice has no use for, libraries and modules of our own."""


def test_the_first_picture_waits_for_nothing_that_is_used_later(tmp_path: Path) -> None:
    environ = {**os.environ, "PYTHONPATH": str(ROOT), "THROWBEAT_HOME": str(tmp_path)}
    ran = subprocess.run([sys.executable, "-c", PROGRAM], env=environ, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    for start, (width, loaded) in json.loads(ran.stdout.splitlines()[-1]).items():
        assert width, "there is a picture"
        assert "trainer.screens.parts.keyline" in loaded
        assert [each for each in loaded if each.startswith(USED_LATER[start])] == []


async def test_a_press_that_comes_before_the_sound_is_counted_and_heard(sitting: Sitting, press: Press) -> None:
    output = sitting.output
    assert isinstance(output, ManualOutput)
    output.close()
    app = TrainerApp(sitting, sitting.library.to_choice("3"), Fraction(TEMPO_BPM))

    def open_output() -> None:
        assert isinstance(app.screen, PracticeScreen)
        assert app.screen.take(presses.Press("space", Edge.DOWN, 0.0))
        output.open(sitting.transport.pull)

    sitting.open_output = open_output
    async with app.run_test() as pilot:
        await pilot.pause()
        assert sitting.session is not None
        assert sitting.session.view(0.0).state is RunState.COUNT_IN
        output.advance(round((FIRST_BEAT_S + 0.1) * RATE_HZ))
        sitting.session.tick(output.now_s)
        assert sitting.session.view(output.now_s).state is RunState.RUNNING
        assert np.abs(np.concatenate(output.played)).max() > 0


async def test_that_no_sound_can_be_had_is_told_on_the_screen(sitting: Sitting, press: Press) -> None:
    sitting.open_output = lambda: "No sound device could be opened."
    async with practising(sitting, press) as hall:
        hall.screen.show_trouble()  # as its timer does
        await hall.pilot.pause()
        assert "No sound device could be opened." in hall.text


async def test_a_look_chosen_later_is_drawn(sitting: Sitting) -> None:
    """The stylesheet is not applied anew for the look there is; for another one it is, and for the first one again."""
    app = TrainerApp(sitting)
    async with app.run_test() as pilot:
        await pilot.pause()
        grounds = []
        for look in ("light", "dark", "light"):
            app.theme = look
            await pilot.pause()
            grounds.append(app.screen.styles.background)
        assert shown(app)
        assert grounds[0] == grounds[2] != grounds[1]
