"""How many tests run at a time, and a sitting for tests: no device, a clock moved by hand, a folder of its own."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import settings

from tests.audio.manual_output import ManualOutput
from tests.bundled import KITS, LIBRARY
from tests.dawn import DAWN
from trainer.audio.kit import Kit
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.transport import Transport
from trainer.config import Settings
from trainer.files.places import places
from trainer.library.catalogue import Library
from trainer.logbook.store import Logbook
from trainer.session.sitting import Sitting
from trainer.session.tries import Tries

settings.register_profile("no clock", deadline=None)  # how long an example takes is the machine's matter
settings.load_profile("no clock")


def pytest_xdist_auto_num_workers() -> int:
    """As many as there are cores: a test is busy from its begin to its end."""
    return max(2, os.cpu_count() or 1)


@pytest.fixture(scope="session")
def library() -> Library:
    return LIBRARY


@pytest.fixture(scope="session")
def kits() -> tuple[Kit, ...]:
    return KITS


@pytest.fixture(scope="session")
def empty_logbook(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The file of a new logbook; made once, as a dozen steps of its history go into it."""
    path = tmp_path_factory.mktemp("logbook") / "logbook.sqlite"
    Logbook.open(path, now=DAWN).close()
    return path.read_bytes()


@pytest.fixture
def sitting(tmp_path: Path, library: Library, kits: tuple[Kit, ...], empty_logbook: bytes) -> Iterator[Sitting]:
    """A sitting whose time stands still until `sitting.output.advance(frames)`; the time of day goes along with it."""
    kept = places({"THROWBEAT_HOME": str(tmp_path / "home")})
    transport, output = Transport(RATE_HZ), ManualOutput()
    output.open(transport.pull)
    kept.logbook.parent.mkdir(parents=True, exist_ok=True)
    kept.logbook.write_bytes(empty_logbook)
    logbook = Logbook.open(kept.logbook, now=DAWN)
    sitting = Sitting(
        places=kept,
        settings=replace(Settings(), animate=False, tour=False),
        kits=kits,
        transport=transport,
        output=output,
        tries=Tries(logbook, DAWN),
        notices=[],
        clock=output.clock,
        now=lambda: DAWN + timedelta(seconds=output.now_s),
    )
    sitting.library = library  # read once for all tests
    sitting.apply()
    yield sitting
    sitting.close()
    logbook.close()
