"""The way attempts are made and counted, as the settings have it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from trainer.audio.hearing import THROWS_HEARD, Hearing
from trainer.records.attempt import Attempt, CountedBy, TapsUnit
from trainer.timing.counting import Goals
from trainer.timing.score import Score


@dataclass(frozen=True, slots=True)
class Rules:
    """How an attempt is made and counted. countdown_s: how many of the last seconds of a rest are heard."""

    counted_by: CountedBy = CountedBy.BEAT
    taps_unit: TapsUnit = TapsUnit.CATCH
    count_in_beats: int = 4
    reaction_s: float = 0.3
    rest_s: float = 2.0
    prop: str = "balls"
    juggler: str | None = None
    hearing: Hearing = THROWS_HEARD
    glide_rounds: int = 0
    count_in_rounds: int = 0
    countdown_s: int = 3

    def count_in(self, score: Score) -> int:
        """Beats counted in before a score: so many, or those of so many rounds."""
        return self.count_in_rounds * score.pattern.round or self.count_in_beats

    def to_attempt(
        self, score: Score, goals: Goals, tempo_bpm: Fraction, name: str | None, session_id: int, started_at: datetime
    ) -> Attempt:
        """An attempt that begins now, for the logbook."""
        return Attempt(
            session_id=session_id,
            started_at=started_at,
            pattern=score.pattern.text,
            objects=score.pattern.objects,
            tempo=tempo_bpm,
            dwell=score.dwell,
            flash_at=goals.flash,
            qualify_at=goals.qualify,
            prop=self.prop,
            counted_by=self.counted_by,
            taps_unit=self.taps_unit if self.counted_by is CountedBy.TAPS else None,
            name=name,
            juggler=self.juggler,
        )
