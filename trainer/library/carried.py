"""From a library entry to how it is carried: tossed, by way of the floor, on the run."""

from __future__ import annotations

from trainer.library.catalogue import Choice
from trainer.timing.bounce import Way
from trainer.timing.carrying import HAND_HEIGHT_M, RESTITUTION, Carriage


def choice_to_carriage(choice: Choice, hand_m: float = HAND_HEIGHT_M, restitution: float = RESTITUTION) -> Carriage:
    """How a choice is carried, by hands so high and a ball so lively; a bare siteswap is tossed, standing."""
    entry = choice.entry
    if entry is None:
        return Carriage()
    return Carriage(Way(entry.bounce) if entry.bounce else None, hand_m, restitution, entry.throws_per_step)
