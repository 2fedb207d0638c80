"""Judged attempts and endurance: which try counts, and the sheet to print and sign."""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from trainer.errors import TrainerError
from trainer.files.toml import DataError
from trainer.practice.plans.folder import PlanFolder
from trainer.practice.plans.plan import Block, BlockKind
from trainer.records.attempt import Attempt, CountedBy
from trainer.records.courses import PlanRun
from trainer.timing.tempo import format_number

COUNTED = {
    CountedBy.BEAT: "by the beat: catches due when the pedal was pressed, less the reaction time set",
    CountedBy.TAPS: "by taps of the pedal",
    CountedBy.HAND: "by hand, afterwards",
}
TO_FILL_IN = ("Juggler", "Place", "Judge", "Witness")
RULE = "A try begun in time counts to its end. The most catches count; of equal ones, the first."
STYLE = (
    "body{font:1.05em/1.5 sans-serif;max-width:46em;margin:2em auto;padding:0 1em}"
    "table{border-collapse:collapse;width:100%}th,td{border-bottom:1px solid;padding:.3em .6em;text-align:left}"
    ".best{font-weight:bold}.line{margin-top:2em;border-bottom:1px solid}"
    "@media print{body{margin:0}tr,.line{break-inside:avoid}}"
)


@dataclass(frozen=True, slots=True)
class Best:
    """The best of some tries. number: from 1, of the one with the most catches. longest_s: of any of them.

    reached: the goal that it reached, as `mark` has it.
    """

    number: int
    catches: int
    reached: str
    longest_s: float


def find_best(tries: Sequence[Attempt]) -> Best | None:
    """The try that counts: the fair one with the most catches, the first of equal ones; None without any."""
    counted = [(number, each) for number, each in enumerate(tries, start=1) if each.fair and each.catches is not None]
    if not counted:
        return None
    number, best = max(counted, key=lambda numbered: (numbered[1].catches or 0, -numbered[0]))
    longest_s = max(each.seconds or 0.0 for _, each in counted)
    return Best(number, best.catches or 0, mark(best), longest_s)


def mark(attempt: Attempt) -> str:
    """Which goal a try reached: qualify, flash, or nothing."""
    return "qualify" if attempt.qualify else "flash" if attempt.flash else ""


def heading(block: Block, tries: Sequence[Attempt]) -> str:
    """The heading of the sheet: the kind of block, its title and pattern."""
    text = tries[0].pattern if tries else ""
    return f"{block.kind.words}: {block.title}" + (f" ({text})" if text not in ("", block.title) else "")


def facts(block: Block, tries: Sequence[Attempt]) -> tuple[str, ...]:
    """Lines about all the tries: when, what, how many were allowed, and how they were counted."""
    first = tries[0]
    allowed = f"{block.attempts} attempts" if block.attempts else "As many attempts as wanted"
    within = f" within {format_number(block.minutes)} min" if block.minutes else ""
    return (
        f"{first.started_at:%Y-%m-%d %H:%M}, {first.objects} {first.prop}, {format_number(first.tempo)} beats/min",
        f"{allowed}{within}. Flash {first.flash_at} catches, qualify {first.qualify_at}.",
        f"Counted {COUNTED[first.counted_by]}.",
        RULE,
    )


def rows(tries: Sequence[Attempt]) -> tuple[tuple[str, ...], ...]:
    """A row for each try: number, when it began after the first, catches, seconds, ending, mark."""
    found = []
    for number, each in enumerate(tries, start=1):
        minutes, seconds = divmod(round((each.started_at - tries[0].started_at).total_seconds()), 60)
        found.append((
            str(number), f"{minutes}:{seconds:02}", "–" if each.catches is None else str(each.catches),
            "–" if each.seconds is None else f"{each.seconds:.1f}",
            each.ended.words if each.ended else "", mark(each) + ("" if each.fair else " not fair"),
        ))  # fmt: skip
    return tuple(found)


COLUMNS = ("No.", "at", "catches", "seconds", "ended", "reached")


def result(tries: Sequence[Attempt]) -> str:
    """The result in a sentence."""
    best = find_best(tries)
    if best is None:
        return "No try has counted yet."
    reached = best.reached or "no flash"
    return f"Best: try {best.number}, {best.catches} catches ({reached}). Longest: {best.longest_s:.1f} s."


def sheet_to_text(block: Block, tries: Sequence[Attempt]) -> str:
    """The sheet for a terminal or a printer of plain text."""
    best = find_best(tries)
    lines = [heading(block, tries), ""]
    if tries:
        lines += [*facts(block, tries), ""]
    widths = (5, 7, 9, 9, 11, 10)
    lines.append("".join(f"{each:<{width}}" for each, width in zip(COLUMNS, widths, strict=True)).rstrip())
    for number, row in enumerate(rows(tries), start=1):
        told = "".join(f"{each:<{width}}" for each, width in zip(row, widths, strict=True)).rstrip()
        lines.append(told + ("  ← best" if best and number == best.number else ""))
    lines += ["", result(tries), "", *(f"{each:<10}{'_' * 40}" for each in TO_FILL_IN)]
    return "\n".join(lines) + "\n"


def sheet_to_page(block: Block, tries: Sequence[Attempt]) -> str:
    """The sheet as a page of HTML that needs nothing from outside, to be printed and signed."""
    best = find_best(tries)
    title = html.escape(heading(block, tries))
    told = "".join(f"<p>{html.escape(line)}</p>" for line in (facts(block, tries) if tries else ()))
    head = "".join(f"<th>{name}</th>" for name in COLUMNS)
    body = []
    for number, row in enumerate(rows(tries), start=1):
        kind = ' class="best"' if best and number == best.number else ""
        body.append(f"<tr{kind}>" + "".join(f"<td>{html.escape(each)}</td>" for each in row) + "</tr>")
    return "\n".join((
        "<!doctype html>",
        f'<html lang="en"><head><meta charset="utf-8"><title>{title}</title>',
        f'<meta name="viewport" content="width=device-width"><style>{STYLE}</style></head><body>',
        f"<h1>{title}</h1>{told}",
        f"<table><thead><tr>{head}</tr></thead><tbody>", *body, "</tbody></table>",
        f'<p class="best">{html.escape(result(tries))}</p>',
        *(f'<p class="line">{each}</p>' for each in TO_FILL_IN),
        "</body></html>",
    )) + "\n"  # fmt: skip


@dataclass(frozen=True, slots=True)
class Judged:
    """A judged block and its tries.

    notices: a line for each later run whose plan can't be read, so that nobody takes the sheet for a later one.
    """

    block: Block
    tries: tuple[Attempt, ...]
    notices: tuple[str, ...]


def find_judged(
    runs: tuple[PlanRun, ...], tries_of: Callable[[str], tuple[Attempt, ...]], plan_folder: PlanFolder
) -> Judged:
    """The last judged block among runs of plans. tries_of: the tries of a run, by its identity.

    A run is left out whose plan can't be read any more, as when its pattern has gone from the library. Raises
    TrainerError if there is no other.
    """
    left_out: list[DataError] = []
    for run in reversed(runs):
        assert run.uid is not None
        tries = tries_of(run.uid)
        if not tries:
            continue
        try:
            blocks = plan_folder.check(run.plan, Path(f"{run.name}.toml")).blocks
        except DataError as error:
            left_out.append(error)
            continue
        for number, block in reversed(tuple(enumerate(blocks))):
            own = tuple(each for each in tries if each.block == number)
            if own and block.kind in (BlockKind.JUDGED, BlockKind.ENDURANCE):
                return Judged(block, own, tuple(f"A later run was left out: {error}" for error in left_out))
    if left_out:
        raise left_out[0]
    raise TrainerError("There were no judged attempts yet. Practise a plan with a judged block first.")
