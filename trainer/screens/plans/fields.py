"""The fields of a plan's blocks as the screen shows, steps through and reads them.

What a field may be is for trainer.practice.plans.plan to say; here is only how it is typed and stepped.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from trainer.files.toml import fraction_to_toml
from trainer.practice.plans.plan import BlockKind
from trainer.practice.plans.text import FIELDS, Value
from trainer.records.courses import ClimbRule
from trainer.timing.tempo import format_number

NEXT, PREVIOUS = 1, -1
NOTHING: Final = "–"


@dataclass(frozen=True, slots=True)
class PlanField:
    """One field. step: of a number, 0 for a text. start: where steps begin if there was none. choices: of a word."""

    name: str
    sentence: str
    step: Fraction | int = 0
    start: int = 0
    choices: tuple[str, ...] = ()


HEAD: Final = (
    PlanField("name", "What the plan is called."),
    PlanField("for", "Whom it is for, in a sentence."),
)
OF_BLOCKS: Final[Mapping[str, PlanField]] = {
    field.name: field
    for field in (
        PlanField("kind", "What the block is.", choices=tuple(BlockKind)),
        PlanField("pattern", "A name, such as 5 cascade, or a siteswap, such as 531."),
        PlanField("rule", "plain goes up to the target; a staircase finds your tempo.", choices=tuple(ClimbRule)),
        PlanField("tempo", "Beats a minute; left out, the pattern's usual tempo. Of a climb, the first.", 5, 170),
        PlanField("target", "The tempo a climb ends at, in beats a minute.", 5, 180),
        PlanField("step", "How many beats a minute each rung is faster; left out, 5.", 1, 5),
        PlanField("minutes", "How long the block lasts; a try under way is finished first.", 1, 1),
        PlanField("attempts", "How many tries the block has.", 1, 1),
        PlanField("goal", "What each try aims at: flash, qualify, 12 (catches), 10 s.", choices=("flash", "qualify")),
        PlanField("times", "After how many tries that reached the goal the block is done.", 1, 1),
        PlanField("say", "A sentence you read when the block begins."),
    )
}


def fields_of(block: Mapping[str, Any]) -> tuple[PlanField, ...]:
    """The fields of a block, by its kind, with those that stand in it all the same."""
    names = ("kind", *FIELDS[BlockKind(block["kind"])])
    more = tuple(name for name in block if name not in names and name in OF_BLOCKS)
    return tuple(OF_BLOCKS[name] for name in (*names, *more))


def shown(value: object) -> str:
    """A value as the screen shows it."""
    if value is None:
        return NOTHING
    return format_number(Fraction(str(value))) if isinstance(value, (int, float)) else str(value)


def typed(field: PlanField, text: str) -> Value:
    """A typed text as the file holds it; None where the field is left out. A decimal comma is taken too."""
    text = text.strip()
    if not text:
        return None
    if not field.step:
        return text
    try:
        return fraction_to_toml(Fraction(text.replace(",", ".")))
    except (ValueError, ZeroDivisionError):
        return text  # refused by the field's own check, which says what was wrong


def stepped(field: PlanField, value: object, direction: int) -> Value:
    """The value one step on (NEXT) or back (PREVIOUS); None where stepping back leaves the field out."""
    if field.choices:
        choices: tuple[str | None, ...] = field.choices if field.name == "kind" else (None, *field.choices)
        place = choices.index(value) if value in choices else 0
        return choices[(place + direction) % len(choices)]
    if not field.step:
        return None if value is None else str(value)
    if value is None:
        return field.start if direction == NEXT else None
    exact = Fraction(str(value)) + direction * field.step
    return fraction_to_toml(exact) if exact > 0 else None
