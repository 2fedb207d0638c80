"""A monkey's thousand events, beside another program. tests/bench/monkey.py plays many more."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.monkey import play


async def test_a_monkey_ends_nothing_and_loses_no_try(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("THROWBEAT_HOME", str(tmp_path))
    record = await play(2, 1000, tmp_path)
    assert record.faults == []
    assert record.told.tries > 0
