"""All that a screen shows of a session at one moment."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.config import Settings
from trainer.library.chosen import Chosen
from trainer.practice.guide import Guide, Told
from trainer.practice.run import RunState
from trainer.records.attempt import Attempt, Ended
from trainer.timing.tempo import TempoMap


@dataclass(frozen=True, slots=True)
class View:
    """What there is to show.

    now_s: the moment itself. beat: what is heard now, None when nothing runs; it is negative in the count-in. tempo: of
    the try that is heard, beat by beat. catches: so far, of the attempt under way or the last one. counts_down_s: of a
    rest, what is left. typed: the count being typed in. settings: those of the next attempt.
    """

    now_s: float
    state: RunState
    chosen: Chosen
    settings: Settings
    guide: Guide
    beat: Fraction | None
    tempo: TempoMap | None
    catches: int | None
    ended: Ended | None
    counts_down_s: float | None
    typed: str | None
    best: int | None
    last: Attempt | None

    @property
    def told(self) -> Told:
        """What the guide has to tell."""
        return self.guide.told(self.now_s)

    @property
    def is_pause(self) -> bool:
        """Whether the guide has nothing to throw now."""
        task = self.guide.task
        return task is not None and task.is_pause
