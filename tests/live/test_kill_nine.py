"""Practising trainers killed at random moments beside others that write; kill_nine.py kills three hundred."""

import random
from pathlib import Path

import pytest

from tests.live.kill_nine import BESIDE, Findings, kill_one, kill_one_in_a_terminal, kill_one_near_a_press

pytestmark = pytest.mark.live


@pytest.mark.parametrize("what", BESIDE)
def test_three_killed_lose_nothing_that_was_told(tmp_path: Path, what: str) -> None:
    findings = Findings(tmp_path, random.Random(what))
    for kill in (kill_one_near_a_press, kill_one_in_a_terminal, kill_one):
        kill(findings, what)
    assert findings.announced
