"""A sitting for tests of the screens: no device, a clock moved by hand, everything kept in the test's own folder."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import mido
import pytest
from textual import events
from textual.pilot import Pilot

from tests.keys import midi
from tests.screens import rest
from tests.screens.planned import TUESDAY
from trainer.session.sitting import Sitting

rest.install()

Press = Callable[..., Awaitable[None]]


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
