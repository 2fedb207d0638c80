"""From a library entry to how it is carried: tossed, by way of the floor, on the run, and with which arms."""

from __future__ import annotations

from trainer.library.catalogue import Choice
from trainer.timing.bounce import Way
from trainer.timing.carrying import HAND_HEIGHT_M, RESTITUTION, Carriage
from trainer.timing.hands import Manner
from trainer.timing.standing import Place, stand


def choice_to_carriage(choice: Choice, hand_m: float = HAND_HEIGHT_M, restitution: float = RESTITUTION) -> Carriage:
    """How a choice is carried, by hands so high and a ball so lively; a bare siteswap is tossed, standing."""
    entry = choice.entry
    if entry is None:
        return Carriage()
    return Carriage(Way(entry.bounce) if entry.bounce else None, hand_m, restitution, entry.throws_per_step)


def choice_to_manner(choice: Choice) -> Manner:
    """How the hands move: by the pattern's style, or as its entry has it.

    A lift bounce is tossed from the outside and caught inside (common practice).
    """
    if choice.pattern.style:
        return Manner(choice.pattern.style)
    entry = choice.entry
    if entry is not None and (entry.category == "columns" or any("columns" in name.split() for name in entry.names)):
        return Manner.COLUMNS
    return Manner.REVERSE if entry is not None and entry.bounce == Way.LIFT else Manner.PLAIN


def choice_to_places(choice: Choice) -> tuple[Place, ...]:
    """Where each juggler stands; face to face, or in a ring, unless the entry says otherwise."""
    return stand(choice.pattern.jugglers, choice.entry.arrangement if choice.entry else "")
