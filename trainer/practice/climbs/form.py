"""The form of a climb: its fields as typed, what they start with, and the climb they make."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.practice.climbs.climb import MOST_IN_A_ROW, STAIRCASE, Climb, plain
from trainer.practice.climbs.ladder import (
    Ladder,
    RungBy,
    TempoLadder,
    ToScore,
    family_of,
    members,
    object_ladder,
    text_to_step,
)
from trainer.practice.guide import goal_to_aim
from trainer.records.attempt import CountedBy
from trainer.records.courses import ClimbKind, ClimbRule
from trainer.siteswap.throws import HIGHEST_VALUE
from trainer.timing.counting import Goals
from trainer.timing.tempo import FASTEST_BPM, format_number, text_to_tempo

BELOW, ABOVE = Fraction(85, 100), Fraction(115, 100)
"""The form starts with a climb from and to these shares of the usual tempo …"""

ROUND_BPM = 5
"""… rounded to a multiple of this."""

MORE_OBJECTS = 3


@dataclass(frozen=True, slots=True)
class Form:
    """The fields as typed. start, target: tempos, or numbers of objects; no target climbs on and on.

    tempo: of the first rung of an object climb. up, down: tries in a row, of the plain rule.
    """

    kind: ClimbKind
    start: str
    target: str
    step: str = "5"
    goal: str = "qualify"
    rule: ClimbRule = ClimbRule.PLAIN
    up: str = "2"
    down: str = "2"
    tempo: str = ""
    rung_by: RungBy = RungBy.HEIGHT


def usual_form(choice: Choice, usual_bpm: Fraction, kind: ClimbKind = ClimbKind.TEMPO) -> Form:
    """The form as it starts for a pattern. usual_bpm: the tempo it is practised at."""
    if kind is ClimbKind.OBJECTS:
        objects = choice.pattern.objects
        most = min(objects + MORE_OBJECTS, HIGHEST_VALUE)
        return Form(kind, str(objects), str(most), up="1", down="3", tempo=format_number(usual_bpm))
    start = max(ROUND_BPM * round(usual_bpm * BELOW / ROUND_BPM), 1)
    target = min(max(ROUND_BPM * ceil(usual_bpm * ABOVE / ROUND_BPM), start + ROUND_BPM), int(FASTEST_BPM))
    return Form(kind, str(start), str(target))


def form_to_climb(
    form: Form, choice: Choice, counted_by: CountedBy, to_choice: Callable[[str], Choice], to_score: ToScore
) -> Climb:
    """The climb that a form asks for. Raises TrainerError with what is wrong in the form.

    A staircase has its own rule and no target. to_choice: finds the other patterns of a family.
    """
    staircase = form.rule is ClimbRule.STAIRCASE
    if form.kind is ClimbKind.OBJECTS:
        ladder: Ladder = _object_ladder(form, choice, to_choice, to_score)
    else:
        target = "" if staircase else form.target.strip()
        ladder = TempoLadder(
            choice,
            text_to_tempo(form.start),
            text_to_step(form.step),
            goal_to_aim(form.goal, Goals.of(to_score(choice))),
            text_to_tempo(target) if target else None,
        )
    rule = STAIRCASE if staircase else plain(_in_a_row(form.up, "up"), _in_a_row(form.down, "down"))
    return Climb(ladder, rule, counted_by)


def _object_ladder(form: Form, choice: Choice, to_choice: Callable[[str], Choice], to_score: ToScore) -> Ladder:
    family = family_of(choice)
    if family is None:
        raise TrainerError(
            f"{choice.pattern.text} is of no family that goes on with one object more. Climb its tempo, or choose a "
            f"cascade, fountain, shower, half-shower, columns or box, tossed."
        )
    fewest = _whole(form.start, "the first number of objects", 1, HIGHEST_VALUE)
    most = _whole(form.target or str(HIGHEST_VALUE), "the last number of objects", 1, HIGHEST_VALUE)
    if most <= fewest:
        raise TrainerError(f"From {fewest} to {most} objects goes nowhere. A climb goes up: end on more.")
    patterns = members(family, fewest, most, to_choice)
    return object_ladder(patterns, text_to_tempo(form.tempo), form.rung_by, form.goal, to_score)


def _in_a_row(text: str, where: str) -> int:
    return _whole(text, f"the tries in a row that step {where}", 1, MOST_IN_A_ROW)


def _whole(text: str, what: str, least: int, most: int) -> int:
    short = text.strip()
    if not (short.isascii() and short.isdigit() and len(short) < 9 and least <= int(short) <= most):
        given = f"“{short}”" if short else "Nothing"
        raise TrainerError(f"{given} was given as {what}. Type a whole number from {least} to {most}.")
    return int(short)


def explain_climb(climb: Climb) -> str:
    """The rules of a climb in a sentence or two."""
    rule, ladder = climb.rule, climb.ladder
    goal = str(climb.rung.aim) if ladder.kind is ClimbKind.TEMPO else "the goal"
    words = f"Up when {_tries(rule.up_after)} made {goal}, down when {_tries(rule.down_after)} did not."
    if rule.reversals is not None:
        return f"{words} After {rule.reversals} turns, some 30 to 40 tries, it tells the tempo held 70.7 % of the time."
    if isinstance(ladder, TempoLadder) and ladder.target_bpm is None:
        return f"{words} It goes on until you leave."
    return f"{words} It ends when the last rung is held."


def _tries(number: int) -> str:
    return "a try" if number == 1 else f"{number} tries in a row"
