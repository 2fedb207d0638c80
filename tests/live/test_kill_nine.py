"""Practising trainers killed at random moments; tests/live/kill_nine.py kills two hundred."""

import random
from pathlib import Path

import pytest

from tests.live.kill_nine import Findings, kill_one

pytestmark = pytest.mark.live


def test_ten_killed_in_the_middle_of_practice_lose_nothing_announced(tmp_path: Path) -> None:
    findings = Findings()
    while findings.kills < 10 or not findings.announced:
        kill_one(tmp_path / "logbook.sqlite", random.Random(findings.kills), findings)
    assert findings.announced
