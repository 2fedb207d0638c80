"""All that a screen shows of a session at one moment."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.practice.guide import Guide
from trainer.practice.run import RunState
from trainer.records.attempt import Attempt, Ended
from trainer.session.rules import Rules
from trainer.timing.counting import Goals
from trainer.timing.score import Score
from trainer.timing.tempo import TempoMap


@dataclass(frozen=True, slots=True)
class View:
    """What there is to show.

    beat: what is heard now, None when nothing runs; it is negative in the count-in. catches: so far, of the
    attempt under way or the last one. counts_down_s: of a rest, what is left. typed: the count being typed in.
    guide: whom the session follows, None for nobody. now_s: the moment itself. tempo: of the try
    that is heard, beat by beat.
    """

    state: RunState
    score: Score
    goals: Goals
    tempo_bpm: Fraction
    rules: Rules
    beat: Fraction | None
    catches: int | None
    ended: Ended | None
    counts_down_s: float | None
    typed: str | None
    best: int | None
    last: Attempt | None
    guide: Guide | None = None
    now_s: float = 0.0
    tempo: TempoMap | None = None
