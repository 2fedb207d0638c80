"""Whether the beat held, by when blocks were asked for: gaps by the rule of the frame clock, written down by hand."""

from __future__ import annotations

import pytest

from tests.audio.banks import BANKS
from trainer.audio.holding import hold, to_held
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.config import Settings

BLOCK = RATE_HZ // 10


@pytest.mark.parametrize(
    ("gaps_s", "gaps", "worst_s"),
    [
        ([0.1, 0.1, 0.1], 0, 0.0),
        ([0.1, 0.102, 0.098], 0, 0.002),
        ([0.1, 0.159, 0.041], 0, 0.059),  # late, and what is ahead was just enough
        ([0.1, 0.161, 0.039], 1, 0.061),  # a gap from 1.6 times the length of a block on
        ([0.3, 0.1, 0.5], 2, 0.4),
        ([], 0, 0.0),
    ],
)
def test_gaps_and_the_latest_block(gaps_s: list[float], gaps: int, worst_s: float) -> None:
    asked = [(5.0, BLOCK)]
    for gap_s in gaps_s:
        asked.append((asked[-1][0] + gap_s, BLOCK))
    held = to_held("miniaudio", None, asked)
    assert (held.blocks, held.gaps) == (1 + len(gaps_s), gaps)
    assert held.worst_s == pytest.approx(worst_s, abs=1e-9)


def test_the_silent_output_is_played_too() -> None:
    held = hold(Settings(output="silent"), BANKS["kitchen"], 1.0, lambda _: None)
    assert (held.name, held.notice) == ("silent", None)
