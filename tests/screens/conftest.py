"""A desk for tests of the screens: no device, a clock moved by hand, everything kept in the test's own folder."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import mido
import pytest
from textual import events
from textual.pilot import Pilot

from tests.audio.manual_output import ManualOutput
from tests.keys import midi
from tests.screens import rest
from tests.screens.planned import TUESDAY
from trainer.audio.kit import Kit
from trainer.audio.kitfiles import list_kits
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.transport import Transport
from trainer.config import Settings
from trainer.files.places import bundled, places
from trainer.library.catalogue import Library
from trainer.library.reading import read_library
from trainer.logbook.store import Logbook
from trainer.session.sitting import Sitting
from trainer.session.tries import Tries

rest.install()

DAWN = datetime(2026, 3, 1, 7, 30, tzinfo=UTC)
Press = Callable[..., Awaitable[None]]


@pytest.fixture(scope="session")
def library() -> Library:
    return read_library((bundled("patterns"),))


@pytest.fixture(scope="session")
def kits() -> tuple[Kit, ...]:
    return list_kits((bundled("sounds"),))[0]


@pytest.fixture
def sitting(tmp_path: Path, library: Library, kits: tuple[Kit, ...]) -> Iterator[Sitting]:
    """A desk whose time stands still until `sitting.output.advance(frames)`; the time of day goes along with it."""
    kept = places({"THROWBEAT_HOME": str(tmp_path / "home")})
    transport, output = Transport(RATE_HZ), ManualOutput()
    output.open(transport.pull)
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


class Cables:
    """MIDI inputs that are there, without any device."""

    opened = midi.opened

    def connect(self, *names: str) -> None:
        midi.names.extend(names)


@pytest.fixture(autouse=True)
def cables(monkeypatch: pytest.MonkeyPatch) -> Iterator[Cables]:
    """No test opens a device: there are the inputs that it connects, and none as long as it connects none."""
    before = mido.backend
    mido.set_backend("tests.keys.midi")
    monkeypatch.setattr(midi, "names", [])
    yield Cables()
    mido.set_backend(before)


@pytest.fixture
def press() -> Press:
    """Press a key stamped with a second of one's own choosing: `await press(pilot, "space", 1.5)`."""

    async def send(pilot: Pilot[None], key: str, at_s: float) -> None:
        character = " " if key == "space" else key if len(key) == 1 else None
        event = events.Key(key, character)
        event.time = at_s
        pilot.app.post_message(event)
        await pilot.pause()

    return send


@pytest.fixture
def tuesday(sitting: Sitting) -> Path:
    path = sitting.places.patterns / "plans" / "tuesday.toml"
    path.parent.mkdir(parents=True)
    path.write_text(TUESDAY, encoding="utf-8")
    return path
