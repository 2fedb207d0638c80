"""A plan as lines to read: whom it is for, each block with what ends it, and how long it all takes."""

from __future__ import annotations

import textwrap
from fractions import Fraction

from trainer.practice.plans.plan import PAUSES, Block, BlockKind, Plan
from trainer.progress import wording
from trainer.timing.tempo import format_number

INDENT = 4
KIND_ROOM = 10
NARROWEST = 30


def plan_to_lines(plan: Plan, width: int, now_at: int | None = None) -> list[str]:
    """The page of a plan. now_at: the block to be marked as the one under way, from 0; None for none."""
    width = max(width, NARROWEST)
    lines = [*textwrap.wrap(plan.name, width), *textwrap.wrap(plan.audience, width), ""]
    for number, block in enumerate(plan.blocks):
        lines += block_to_lines(number, block, width, "▶" if number == now_at else " ")
    return [*lines, "", *textwrap.wrap(_length(plan), width)]


def block_to_lines(number: int, block: Block, width: int, mark: str = " ") -> list[str]:
    """One block: what it is, what ends it, and its sentence."""
    title = "" if block.choice is None else block.title
    head = f"{mark}{number + 1:>2} {block.kind:<{KIND_ROOM}}{title}".rstrip()
    ends = ends_words(block)
    room = width - len(head) - 2
    lines = [f"{head}{' ' * 2}{ends:>{room}}"] if len(ends) <= room else [head, f"{' ' * INDENT}{ends}"]
    said = textwrap.wrap(block.say, width - INDENT) if block.say else []
    return [*(each for line in lines for each in textwrap.wrap(line, width, subsequent_indent=" " * INDENT,
            drop_whitespace=False) or [""]), *(f"{' ' * INDENT}{line}" for line in said)]  # fmt: skip


def ends_words(block: Block) -> str:
    """What ends a block, in a few words: 2 min, 10 tries, goal flash."""
    words = []
    if block.kind is BlockKind.CLIMB and block.tempo_bpm is not None:
        start = format_number(block.tempo_bpm)
        words.append(f"{start} to {format_number(block.target_bpm)}" if block.target_bpm else f"staircase from {start}")
    if block.attempts:
        words.append(wording.tries(block.attempts))
    if block.usual_minutes is not None:
        words.append(f"{format_number(block.usual_minutes)} min")
    if block.goal:
        catches = f"{block.goal} catches" if block.goal.isdigit() else block.goal
        words.append(f"{catches} {block.usual_times} times" if (block.usual_times or 1) > 1 else catches)
    if not words and block.kind in PAUSES:
        return "until you press"
    return ", ".join(words)


def _length(plan: Plan) -> str:
    """How long the plan takes, as far as its blocks say."""
    minutes = sum((block.usual_minutes or Fraction(0) for block in plan.blocks), Fraction(0))
    tries = sum(block.attempts or 0 for block in plan.blocks if block.minutes is None)
    open_ended = sum(block.usual_minutes is None and block.attempts is None for block in plan.blocks)
    parts = [f"{format_number(minutes)} min"] if minutes else []
    parts += [wording.tries(tries)] if tries else []
    parts += [f"{open_ended} that last{'s' if open_ended == 1 else ''} as long as you need"] if open_ended else []
    blocks = "1 block" if len(plan.blocks) == 1 else f"{len(plan.blocks)} blocks"
    return f"{blocks}: {' + '.join(parts)}."
