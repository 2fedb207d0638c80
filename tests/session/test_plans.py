"""A plan in a sitting: a short one played through with the screen on, and one taken up after the process was killed."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
from pathlib import Path

from tests.session.simulated import Simulated, faults, sitting_at
from trainer.logbook.store import Logbook
from trainer.practice.plans.run import PlanGuide
from trainer.records.attempt import Attempt, Ended
from trainer.screens.app import TrainerApp
from trainer.session.plans import begin_plan, open_runs

ROOT = Path(__file__).parents[2]
PLAN = """\
name = "A short one"
for = "A juggler who is simulated."
[[block]]
kind = "warm-up"
pattern = "3 cascade"
tempo = 240
minutes = 0.4
[[block]]
kind = "rest"
minutes = 0.2
[[block]]
kind = "climb"
pattern = "3 cascade"
tempo = 200
target = 220
step = 20
goal = "flash"
[[block]]
kind = "judged"
pattern = "5 cascade"
attempts = 2
minutes = 3
[[block]]
kind = "pattern"
pattern = "531"
goal = "qualify"
[[block]]
kind = "free"
"""
KILLED = """
import os, signal, sys
from pathlib import Path
from trainer.session.plans import begin_plan
from tests.session.simulated import sitting_at
with sitting_at(Path(sys.argv[1])) as sitting:
    session = begin_plan(sitting, Path(sys.argv[2]).read_text(), Path("short.toml"))
    output = sitting.output
    def to(second):
        while output.now_s < second:
            output.advance(4410, 4410)
            session.tick(output.now_s)
    for start_s in (1.0, 10.0):
        to(start_s); session.press(output.now_s)
        to(start_s + 5); session.press(output.now_s)
    to(35.0)
    print("here", flush=True)
    os.kill(os.getpid(), signal.SIGKILL)
"""


async def test_a_plan_is_played_through_with_nothing_but_the_pedal(tmp_path: Path) -> None:
    """The short version of tests/bench/plan_hour.py: states as in the table, each try in the logbook once."""
    with sitting_at(tmp_path) as sitting:
        app = TrainerApp(sitting)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            app.practise_plan(PLAN, Path("short.toml"))
            await pilot.pause()
            juggler = Simulated(app, pilot, random.Random(7))
            await juggler.play(600)
            assert juggler.guide.task is None
            with Logbook.open_to_read(sitting.places.logbook) as logbook:
                (run,) = logbook.plan_runs()
                assert faults(juggler, logbook, run.uid or "") == []
                (climb,) = logbook.climbs()
                tries = logbook.attempts()
        assert {each.climb_uid for each in tries if each.block == 2} == {climb.uid}
        assert {each.climb_uid for each in tries if each.block != 2} == {None}
        assert climb.ended_at is not None
        if app.failure is not None:
            raise app.failure


def test_a_run_whose_process_was_killed_goes_on_where_it_was(tmp_path: Path) -> None:
    """Killed (SIGKILL) in the rest after 24 s of warm-up: taken up in that rest, both tries there, each once."""
    script, plan = tmp_path / "killed.py", tmp_path / "short.toml"
    script.write_text(KILLED, encoding="utf-8")
    plan.write_text(PLAN, encoding="utf-8")
    environ = {**os.environ, "PYTHONPATH": str(ROOT)}
    outcome = subprocess.run(
        [sys.executable, str(script), str(tmp_path / "home"), str(plan)], env=environ, capture_output=True, text=True
    )
    assert outcome.stdout == "here\n", outcome.stderr
    assert outcome.returncode == -signal.SIGKILL
    with sitting_at(tmp_path / "home") as sitting:
        (run,) = open_runs(sitting)
        session = begin_plan(sitting, run.plan, Path("short.toml"), run)
        guide = session.view(0.0).guide
        assert isinstance(guide, PlanGuide)
        # the clock began at 1.0 s, the warm-up ended 24 s later, and what was spent is noted every 5 s
        assert (guide.block, guide.since_s) == (1, None)
        assert 4.9 <= guide.elapsed_s <= 10.1
        none: tuple[Attempt, ...] = ()
        tries = sitting.tries.ask(lambda book: book.attempts(), none)
        assert [(each.plan_run_uid, each.block, each.ended) for each in tries] == [(run.uid, 0, Ended.DROP)] * 2
        session.press(1.0)
        assert session.view(1.0).guide != guide
        session.leave(2.0)
        assert [each.id for each in open_runs(sitting)] == [run.id]


def test_a_plan_that_is_only_looked_at_leaves_no_trace(tmp_path: Path) -> None:
    with sitting_at(tmp_path) as sitting:
        begin_plan(sitting, PLAN, Path("short.toml"))
        sitting.end_session()
        assert open_runs(sitting) == ()
        with Logbook.open_to_read(sitting.places.logbook) as logbook:
            assert logbook.plan_runs() == ()
