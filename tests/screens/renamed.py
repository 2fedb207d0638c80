"""The trainer on a textual in which private names are called otherwise, as they may be in any newer version.

`python tests/screens/renamed.py FOLDER NAME...` does it once for each name, each in a process forked from this one: its
sources are loaded with the name changed wherever it stands. The trainer starts on a pseudo-terminal, a run is begun and
ended by the space bar, and ctrl+q leaves. Prints what failed, a JSON object: the name, and why.
"""

from __future__ import annotations

import asyncio
import fcntl
import json
import os
import pty
import re
import struct
import sys
import termios
import threading
import time
import traceback
from collections.abc import Callable, Sequence
from fractions import Fraction
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from importlib.util import spec_from_file_location
from pathlib import Path
from types import ModuleType

from trainer.commands.asked import words_to_choice
from trainer.config import Settings
from trainer.files.places import places
from trainer.practice.run import RunState
from trainer.records.attempt import Ended
from trainer.session.sitting import open_sitting

ELSEWHERE = "_elsewhere"
WITHIN_S = 20.0
REAL_MONOTONIC = time.monotonic
SPACE, CTRL_Q = b" ", b"\x11"


class Renamed(MetaPathFinder):
    """Finds the library's modules, with one name changed in what they say, and in what they are called."""

    def __init__(self, name: str) -> None:
        self.name, self.word = name, re.compile(rf"\b{name}\b")

    def find_spec(
        self, fullname: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname.partition(".")[0] != "textual":
            return None
        if fullname == f"textual.{self.name}":
            raise ModuleNotFoundError(f"No module named {fullname!r}", name=fullname)
        spec = PathFinder.find_spec(fullname.removesuffix(ELSEWHERE), path, target)
        if spec is None or spec.origin is None:
            return spec
        source = Path(spec.origin).read_text(encoding="utf-8")
        if not self.word.search(source) and not fullname.endswith(ELSEWHERE):
            return spec  # as it is, compiled before
        loader = Changed(fullname, spec.origin, self.word.sub(self.name + ELSEWHERE, source))
        return spec_from_file_location(
            fullname, spec.origin, loader=loader, submodule_search_locations=spec.submodule_search_locations
        )


class Changed(SourceFileLoader):
    """Loads a module from a changed source."""

    def __init__(self, fullname: str, path: str, source: str) -> None:
        super().__init__(fullname, path)
        self.source = source

    def get_code(self, fullname: str) -> object:  # type: ignore[override]
        return compile(self.source, self.path, "exec")


class Played:
    """The trainer on this process's terminal, and what is done there. skipped_s: how far its clock runs ahead."""

    def __init__(self, folder: Path) -> None:
        self.skipped_s = 0.0
        time.monotonic = lambda: REAL_MONOTONIC() + self.skipped_s  # before the library takes it over
        self.keys = take_a_terminal()
        os.environ["THROWBEAT_HOME"] = str(folder)
        settings = Settings(output="silent", tour=False, count_in_beats=1)
        self.sitting = open_sitting(places(), settings, [])
        open_output = self.sitting.open_output

        def begin() -> str | None:
            self.hand = asyncio.get_running_loop().create_task(self.play())
            return open_output()

        self.sitting.open_output = begin

    def run(self) -> None:
        from trainer.screens.app import TrainerApp

        app = TrainerApp(self.sitting, words_to_choice(["3"]), Fraction(240))
        app.run()
        assert app.failure is None, app.failure_details()
        self.hand.result()
        assert app.return_code == 0
        assert [attempt.ended for attempt in self.sitting.tries.attempts] == [Ended.DROP]
        assert self.sitting.close() == ()

    async def play(self) -> None:
        os.write(self.keys, SPACE)
        await self.until(RunState.COUNT_IN)
        self.skipped_s += 1.5
        await self.until(RunState.RUNNING)
        os.write(self.keys, SPACE)
        await self.until(RunState.ENDED)
        self.skipped_s += 1.0
        await self.until(RunState.REST, RunState.ARMED)
        os.write(self.keys, CTRL_Q)

    async def until(self, *states: RunState) -> None:
        session, until_s = self.sitting.session, REAL_MONOTONIC() + WITHIN_S
        assert session is not None
        while session.view(self.sitting.clock()).state not in states:
            assert REAL_MONOTONIC() < until_s, f"{states} did not come: {session.view(self.sitting.clock()).state}"
            await asyncio.sleep(0.002)


def take_a_terminal() -> int:
    """Give this process a terminal of its own, whose keys are written to the descriptor returned."""
    near, far = pty.openpty()
    os.setsid()
    fcntl.ioctl(far, termios.TIOCSCTTY, 0)
    fcntl.ioctl(far, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    for each in (0, 1, 2):
        os.dup2(far, each)
    threading.Thread(target=lambda: all(iter(lambda: os.read(near, 1 << 16), b"")), daemon=True).start()
    return near


def in_a_fork(deed: Callable[[], None]) -> str:
    """Do something in a process of its own; what went wrong, empty if nothing did."""
    back, out = os.pipe()
    if not os.fork():
        told = ""
        try:
            deed()
        except BaseException:  # noqa: BLE001 - told by the process that began this one
            told = traceback.format_exc()
        os.write(out, told.encode()[-4000:])
        os._exit(0)
    os.close(out)
    with os.fdopen(back) as pipe:
        told = pipe.read()
    os.wait()
    return told


def main(folder: Path, names: Sequence[str]) -> None:
    failed = {}
    for name in names:

        def deed(name: str = name) -> None:
            sys.meta_path.insert(0, Renamed(name))
            Played(folder / name).run()

        if told := in_a_fork(deed):
            failed[name] = told
    print(json.dumps(failed))


if __name__ == "__main__":
    assert not [name for name in sys.modules if name.startswith("textual")], "it is loaded anew for each name"
    os.environ["TERM"] = "xterm-256color"
    main(Path(sys.argv[1]), sys.argv[2:])
