"""Whether the beat holds on this machine: a cascade is played, and how late each block was asked for is noted."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from itertools import pairwise

from trainer.audio.outputs.choice import open_output
from trainer.audio.outputs.frameclock import HICCUP_RATIO, RATE_HZ
from trainer.audio.outputs.protocols import Pcm
from trainer.audio.performance import Performance
from trainer.audio.synth import Bank
from trainer.audio.transport import Scene, Transport
from trainer.config import Settings
from trainer.siteswap.grammar import parse
from trainer.timing.score import Score

TEMPO_BPM = Fraction(172)
SETTLES_S = 2.5
"""A sink that slept asks for its second block only after so long; what comes before tells nothing."""


@dataclass(frozen=True, slots=True)
class Held:
    """What came of it: name of the output, notice of its opening, blocks asked for, gaps, and the most one was late.

    A gap is a block that was asked for so late that sound may have been missing.
    """

    name: str
    notice: str | None
    blocks: int
    gaps: int
    worst_s: float


def hold(settings: Settings, bank: Bank, seconds: float, sleep: Callable[[float], None] = time.sleep) -> Held:
    """Play for so many seconds as the settings have it, after some of silence. Errors as of open_output."""
    transport, asked = Transport(RATE_HZ), []

    def pull(frames: int) -> Pcm:
        asked.append((time.monotonic(), frames))
        return transport.pull(frames)

    transport.gain = settings.volume
    performance = Performance.steady(Score(parse("3")), TEMPO_BPM, bank)
    performance.prepare()
    output, notice = open_output(settings.output, pull, device=settings.device, buffer_ms=round(settings.buffer_ms))
    try:
        sleep(SETTLES_S)
        first = len(asked)
        transport.post(partial(_begun, performance))
        sleep(seconds)
    finally:
        output.close()
    return to_held(output.name, notice, asked[max(0, first - 1) :])


def _begun(performance: Performance, _scene: Scene, at_frame: int) -> Scene:
    return performance.later(at_frame)


def to_held(name: str, notice: str | None, asked: list[tuple[float, int]]) -> Held:
    """What the requests tell: each the second of the clock and the frames asked for, which are due by the next."""
    late_s, gaps = [0.0], 0
    for (before_s, frames), (at_s, _) in pairwise(asked):
        due_s = frames / RATE_HZ
        late_s.append(at_s - before_s - due_s)
        gaps += at_s - before_s > HICCUP_RATIO * due_s
    return Held(name, notice, len(asked), gaps, max(late_s))
