"""What the tests with a real sound server share."""

import os
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

# The helpers beside the tests are found by plain `pytest` too, which doesn't look in the checkout by itself.
sys.path.append(str(Path(__file__).parents[2]))

from tests.live.soundserver import SoundServer, missing_programs


@pytest.hookimpl(tryfirst=True)  # before `-m` chooses
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What listens to a sound server is marked to run alone; what presses to the beat says so itself."""
    for item in items:
        if "sound_server" in getattr(item, "fixturenames", ()):
            item.add_marker("alone")


@pytest.fixture
def sound_server(monkeypatch: pytest.MonkeyPatch) -> Iterator[SoundServer]:
    """A sound server of our own, to which this process's sound goes too."""
    if missing := missing_programs():
        reason = f"not installed: {', '.join(missing)} (Debian: pulseaudio pulseaudio-utils libasound2-plugins)"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    server = SoundServer()
    for name, value in server.environ.items():
        monkeypatch.setenv(name, value)
    try:
        server.start()
        yield server
    finally:
        server.close()
