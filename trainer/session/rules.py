"""How attempts are made and counted, as the settings have it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.audio.hearing import AllUp, Hands, Hear, Hearing, Heights
from trainer.config import Settings
from trainer.library.chosen import Chosen
from trainer.records.attempt import Attempt, CountedBy, TapsUnit
from trainer.records.totals import Figure
from trainer.timing.score import Score


@dataclass(frozen=True, slots=True)
class Rules:
    """How an attempt is made and counted. countdown_s: how many of the last seconds of a rest are heard."""

    counted_by: CountedBy
    taps_unit: TapsUnit
    count_in_beats: int
    reaction_s: float
    rest_s: float
    prop: str
    juggler: str | None
    hearing: Hearing
    glide_rounds: int
    count_in_rounds: int
    countdown_s: int

    @classmethod
    def of(cls, settings: Settings) -> Rules:
        """The rules that the settings ask for."""
        return cls(
            settings.counted_by,
            settings.taps_count,
            settings.count_in_beats,
            settings.reaction_s,
            settings.rest_s,
            settings.prop,
            settings.juggler,
            Hearing(
                Hear(settings.heard),
                Hands(settings.heard_hands),
                Heights(settings.heard_heights),
                settings.heard_rounds,
                settings.silent_rounds,
                settings.fade_rounds,
                AllUp.HEARD if settings.heard_all_up else AllUp.UNHEARD,
            ),
            settings.glide_rounds,
            settings.count_in_rounds,
            settings.countdown_s,
        )

    def count_in(self, score: Score) -> int:
        """Beats of the count-in before a score: count_in_beats, or count_in_rounds rounds of it where those are set."""
        return self.count_in_rounds * score.pattern.round or self.count_in_beats

    def to_figure(self, chosen: Chosen) -> Figure:
        """The figure that an attempt at a pattern belongs to."""
        return Figure(chosen.choice.pattern.text, chosen.choice.name, self.prop, self.counted_by, self.juggler)

    def to_attempt(self, chosen: Chosen, session_id: int, started_at: datetime) -> Attempt:
        """An attempt that begins now, for the logbook."""
        goals, pattern = chosen.goals, chosen.choice.pattern
        return Attempt(
            session_id=session_id,
            started_at=started_at,
            pattern=pattern.text,
            objects=pattern.objects,
            tempo=chosen.tempo_bpm,
            dwell=chosen.score.dwell,
            flash_at=goals.flash,
            qualify_at=goals.qualify,
            prop=self.prop,
            counted_by=self.counted_by,
            taps_unit=self.taps_unit if self.counted_by is CountedBy.TAPS else None,
            name=chosen.choice.name,
            juggler=self.juggler,
        )
