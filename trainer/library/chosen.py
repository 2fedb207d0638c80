"""What is practised: a choice as the settings have it carried out, in another tempo, dwell or entry."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.config import Settings
from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.siteswap import states
from trainer.timing.arrangement import JugglerPlace, arrange
from trainer.timing.bounce import BounceStyle
from trainer.timing.carrying import Carriage
from trainer.timing.counting import Goals
from trainer.timing.flight import default_tempo
from trainer.timing.hands import Manner
from trainer.timing.score import Score, Twos
from trainer.timing.tempo import require_tempo


@dataclass(frozen=True, slots=True)
class Chosen:
    """A choice and how it is carried out: the one value that says what is practised.

    score: with the floor hits and steps that the carriage makes at this tempo.
    """

    choice: Choice
    score: Score
    tempo_bpm: Fraction
    carriage: Carriage

    @property
    def goals(self) -> Goals:
        """Its flash and qualify."""
        return Goals.of(self.score)

    @property
    def trouble(self) -> str:
        """Why it can't be carried out as the library says, such as a bounce too quick; empty if it can."""
        return self.carriage.trouble(self.score, self.tempo_bpm)

    def with_tempo(self, tempo_bpm: Fraction) -> Chosen:
        """The same at another tempo. Raises TempoError for one out of range."""
        score = self.carriage.apply(self.score, require_tempo(tempo_bpm))
        return replace(self, score=score, tempo_bpm=tempo_bpm)

    def with_dwell(self, dwell: Fraction) -> Chosen:
        """The same at another dwell ratio: the throws stay where they are, the catches move."""
        return replace(self, score=self.carriage.apply(replace(self.score, dwell=dwell), self.tempo_bpm))

    def find_entry(self) -> states.Link:
        """The throws that lead in from the plain cascade or fountain. Raises TrainerError where none are needed."""
        link = states.find_entry(self.choice.pattern)
        if link is None or not link.steps:
            raise TrainerError("This pattern can follow the plain cascade or fountain at once: it needs no entry.")
        return link

    def with_entry(self, entry: states.Link | None) -> Chosen:
        """The same led in by the throws of an entry; None begins with the pattern as it is written."""
        return replace(self, score=replace(self.score, entry=entry))


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
    carriage = choice_to_carriage(choice, settings)
    twos = Twos.ACTIVE if settings.active_twos else Twos.HELD
    score = Score(choice.pattern, dwell, settings.start_hand, twos)
    return Chosen(choice, carriage.apply(score, tempo_bpm), tempo_bpm, carriage)


def choice_to_carriage(choice: Choice, settings: Settings) -> Carriage:
    """How a choice is carried, by hands and a ball as the settings have them; a bare siteswap is tossed, standing."""
    entry = choice.entry
    if entry is None:
        return Carriage()
    style = BounceStyle(entry.bounce) if entry.bounce else None
    return Carriage(style, settings.hand_height_m, settings.restitution, entry.throws_per_step)


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
