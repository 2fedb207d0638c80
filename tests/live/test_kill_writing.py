"""Killed with SIGKILL while the settings file, a plan or a migration is written: each is as before or as it was meant.

python tests/live/test_kill_writing.py [KILLS]      so many kills of each, instead of a dozen
"""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.bench.million import old_version
from trainer import config
from trainer.logbook.store import Logbook

pytestmark = pytest.mark.live

ROOT = Path(__file__).parents[2]

SETTINGS = """
import itertools, sys
from pathlib import Path
from trainer import config
for number in itertools.count():
    changes = {"rest_s": number % 60, "juggler": "Invented " + "x" * (number % 50)}
    config.save(Path(sys.argv[1]) / "settings.toml", changes)
    print(number, flush=True)
"""
PLAN = """
import itertools, sys
from pathlib import Path
from trainer.files.whole import Existing, open_whole
for number in itertools.count():
    with open_whole(Path(sys.argv[1]) / "plan.toml", Existing.REPLACE) as file:
        file.write_text(f"number = {number}\\n" + "# a line\\n" * (number % 3000) + "end = true\\n")
    print(number, flush=True)
"""
MIGRATION = """
import sys
from pathlib import Path
from trainer.logbook.store import Logbook
print("begins", flush=True)
Logbook.open(Path(sys.argv[1]) / "logbook.sqlite").close()
print("ended", flush=True)
"""
TRIES = 3000


def killed(script: str, folder: Path, first: Callable[[], float]) -> str:
    """Run a script, kill it so many seconds after its first line, and give the last line it wrote."""
    child = subprocess.Popen(
        [sys.executable, "-c", script, str(folder)], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )  # fmt: skip
    assert child.stdout is not None
    lines = [child.stdout.readline()]
    time.sleep(first())
    child.kill()
    lines += child.stdout.read().splitlines(keepends=True)
    child.wait()
    child.stdout.close()
    return [line for line in lines if line.endswith("\n")][-1].strip()


def settings(folder: Path, chance: random.Random) -> None:
    """The settings that were announced last, or the ones after them, each whole; nothing piles up beside them."""
    last = int(killed(SETTINGS, folder, lambda: chance.uniform(0, 0.3)))
    loaded, notices = config.load(folder / "settings.toml")
    assert not notices
    assert (loaded.rest_s, len(str(loaded.juggler)) - 9) in {(n % 60, n % 50) for n in (last, last + 1)}
    assert len(list(folder.iterdir())) <= 2


def plan(folder: Path, chance: random.Random) -> None:
    last = int(killed(PLAN, folder, lambda: chance.uniform(0, 0.3)))
    found = tomllib.loads((folder / "plan.toml").read_text())
    assert (found["number"] in (last, last + 1), found["end"]) == (True, True)
    assert len(list(folder.iterdir())) <= 2


def migration(folder: Path, chance: random.Random) -> None:
    """A logbook of version 1: all of its tries are there afterwards, in the version before or in the newest."""
    old = folder.parent / f"version-1-of-{TRIES}.sqlite"
    if not old.exists():
        old_version(old, TRIES)
    shutil.rmtree(folder)
    folder.mkdir()
    shutil.copy(old, folder / "logbook.sqlite")
    killed(MIGRATION, folder, lambda: chance.uniform(0, 0.6))
    with Logbook.open(folder / "logbook.sqlite") as book:
        assert book.problems() == ()
        assert book.count() == TRIES
    for copy in folder.glob("logbook.version-1.*.sqlite"):
        with Logbook.open_to_read(copy) as book:
            assert book.count() == TRIES


WRITTEN = (settings, plan, migration)


@pytest.mark.parametrize("written", WRITTEN)
def test_a_dozen_killed_while_writing_leave_it_as_before_or_as_it_was_meant(
    tmp_path: Path, written: Callable[[Path, random.Random], None]
) -> None:
    folder, chance = tmp_path / "kept", random.Random(3)
    folder.mkdir()
    for _ in range(12):
        written(folder, chance)
