"""How attempts are made and counted, as the settings have it."""

from __future__ import annotations

from datetime import datetime

from trainer.audio.hearing import AllUp, Hands, Hear, Hearing, Heights
from trainer.config import Settings
from trainer.library.chosen import Chosen
from trainer.records.attempt import Attempt, CountedBy
from trainer.records.totals import Figure
from trainer.timing.score import Score


def count_in_beats(settings: Settings, score: Score) -> int:
    """Beats of the count-in before a score: count_in_beats, or count_in_rounds rounds of it where those are set."""
    return settings.count_in_rounds * score.pattern.round or settings.count_in_beats


def to_hearing(settings: Settings) -> Hearing:
    """What is heard of a try."""
    return Hearing(
        Hear(settings.heard),
        Hands(settings.heard_hands),
        Heights(settings.heard_heights),
        settings.heard_rounds,
        settings.silent_rounds,
        settings.fade_rounds,
        AllUp.HEARD if settings.heard_all_up else AllUp.UNHEARD,
    )


def to_figure(settings: Settings, chosen: Chosen) -> Figure:
    """The figure that an attempt at a pattern belongs to."""
    choice = chosen.choice
    return Figure(choice.pattern.text, choice.name, settings.prop, settings.counted_by, settings.juggler)


def to_attempt(settings: Settings, chosen: Chosen, started_at: datetime) -> Attempt:
    """An attempt that begins now, for the logbook."""
    goals, pattern = chosen.goals, chosen.choice.pattern
    return Attempt(
        started_at=started_at,
        pattern=pattern.text,
        objects=pattern.objects,
        tempo=chosen.tempo_bpm,
        dwell=chosen.score.dwell,
        flash_at=goals.flash,
        qualify_at=goals.qualify,
        prop=settings.prop,
        counted_by=settings.counted_by,
        taps_unit=settings.taps_count if settings.counted_by is CountedBy.TAPS else None,
        name=chosen.choice.name,
        juggler=settings.juggler,
    )
