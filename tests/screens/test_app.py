"""When the trainer collects what is no longer used: never while somebody types or juggles."""

from __future__ import annotations

import gc

import pytest

from tests.screens.practising import Press, practising
from trainer.screens.app import MOST_COLLECTIONS, TrainerApp
from trainer.session.sitting import Sitting


async def test_it_collects_once_nobody_types_or_juggles(
    sitting: Sitting, press: Press, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.screens.app.CALM_S", 1000.0)  # the test alone says when it looks
    before = gc.get_threshold()
    async with practising(sitting, press) as hall:
        app = hall.pilot.app
        assert isinstance(app, TrainerApp)
        assert gc.get_threshold() == (*before[:2], MOST_COLLECTIONS), "none begins by itself"
        done: list[int] = []
        monkeypatch.setattr(gc, "collect", lambda: done.append(1))
        monkeypatch.setattr(gc, "get_count", lambda: (0, 0, 9))
        for _ in range(2):
            app.tidy()
        assert not done, "there can't be much yet"
        monkeypatch.setattr(gc, "get_count", lambda: (0, 0, 10))
        await hall.press("question_mark", 0.1)
        app.tidy()
        assert not done, "a key came meanwhile"
        app.tidy()
        assert len(done) == 1
        await hall.pilot.press("escape")
        await hall.press("space", 0.5)
        for _ in range(3):
            app.tidy()
        assert len(done) == 1, "somebody juggles"
        await hall.press("space", 3.0)
        await hall.to(6.0)
        app.tidy()
        app.tidy()
        assert len(done) == 2
    assert gc.get_threshold() == before
