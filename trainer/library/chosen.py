"""From a choice and the settings to how it is carried out: score, tempo, floor and feet, and its explanation."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.config import Settings
from trainer.library.catalogue import Choice, difficulty_of
from trainer.library.explanation import Explanation
from trainer.timing.arrangement import JugglerPlace, arrange
from trainer.timing.bounce import BounceStyle
from trainer.timing.carrying import HAND_HEIGHT_M, RESTITUTION, Carriage
from trainer.timing.flight import default_tempo
from trainer.timing.hands import Manner
from trainer.timing.score import Score, Twos


@dataclass(frozen=True, slots=True)
class Chosen:
    """A pattern, its entry in the library if it has one, and how it is carried out. score: floor hits and steps too."""

    choice: Choice
    score: Score
    tempo_bpm: Fraction
    carriage: Carriage


def choose(
    choice: Choice, settings: Settings, tempo_bpm: Fraction | None = None, dwell: Fraction | None = None
) -> Chosen:
    """A choice as the settings have it carried out.

    tempo_bpm: None for the one it starts at unless told otherwise, by its entry's height or the usual one. dwell:
    None for the settings'.
    """
    dwell = settings.dwell if dwell is None else dwell
    if tempo_bpm is None:
        tempo_bpm = default_tempo(choice.pattern.highest, dwell, choice.entry.height_m if choice.entry else None)
    carriage = choice_to_carriage(choice, settings.hand_height_m, settings.restitution)
    twos = Twos.ACTIVE if settings.active_twos else Twos.HELD
    score = Score(choice.pattern, dwell, settings.start_hand, twos)
    return Chosen(choice, carriage.apply(score, tempo_bpm), tempo_bpm, carriage)


def explain(chosen: Chosen, settings: Settings) -> Explanation:
    """What there is to know of a choice, with all that the library says of it."""
    entry = chosen.choice.entry
    return Explanation(
        chosen.score,
        chosen.tempo_bpm,
        entry.names if entry else (),
        entry.how if entry else "",
        chosen.carriage,
        settings.stride_m,
        difficulty_of(chosen.choice),
        tuple(map(str, entry.cues)) if entry else (),
    )


def choice_to_carriage(choice: Choice, hand_m: float = HAND_HEIGHT_M, restitution: float = RESTITUTION) -> Carriage:
    """How a choice is carried, by hands so high and a ball so lively; a bare siteswap is tossed, standing."""
    entry = choice.entry
    if entry is None:
        return Carriage()
    return Carriage(BounceStyle(entry.bounce) if entry.bounce else None, hand_m, restitution, entry.throws_per_step)


def choice_to_manner(choice: Choice) -> Manner:
    """How the hands move: by the pattern's style, or as its entry has it.

    A lift bounce is tossed from the outside and caught inside (common practice).
    """
    if choice.pattern.style:
        return Manner(choice.pattern.style)
    entry = choice.entry
    if entry is not None and (entry.category == "columns" or any("columns" in name.split() for name in entry.names)):
        return Manner.COLUMNS
    return Manner.REVERSE if entry is not None and entry.bounce == BounceStyle.LIFT else Manner.PLAIN


def choice_to_places(choice: Choice) -> tuple[JugglerPlace, ...]:
    """Where each juggler stands; face to face, or in a ring, unless the entry says otherwise."""
    return arrange(choice.pattern.jugglers, choice.entry.arrangement if choice.entry else "")
