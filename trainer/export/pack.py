"""A pack: a whole practice sheet as numbered sound files, with a page to read, print or play them from."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.audio.performance import Performance
from trainer.audio.synth import Bank
from trainer.config import Settings
from trainer.export.passage import Passage
from trainer.library.chosen import choose
from trainer.practice.plans.plan import USUAL_MINUTES, Block, BlockKind, Plan
from trainer.records.courses import ClimbRule
from trainer.timing import flight
from trainer.timing.counting import Goals
from trainer.timing.tempo import TempoMap, format_number

RUNG_S = 30
"""A rung of a climb lasts so long, and on to the end of its round."""

INDEX = "index.html"
CARE = (
    "Look up and around before you throw. Start quiet. Rest when hands or shoulders tire, stop at pain and see a "
    "professional. Fire and blades only with a qualified teacher and by the rules of the place."
)
STYLE = (
    "body{font:1.05em/1.5 sans-serif;max-width:46em;margin:2em auto;padding:0 1em}"
    "section{border-top:1px solid;padding:.6em 0;break-inside:avoid}h2{margin:.2em 0}audio{width:100%}"
    "@media print{audio{display:none}}"
)


@dataclass(frozen=True, slots=True)
class PackPage:
    """One block ready to be written. passage: None where there is nothing to hear. name: of its file, or empty."""

    number: int
    block: Block
    passage: Passage | None
    name: str


def plan_to_sheets(plan: Plan, bank: Bank, dwell: Fraction, count_in_beats: int) -> tuple[PackPage, ...]:
    """The blocks of a plan with what is to be heard of each."""
    sheets = []
    for number, block in enumerate(plan.blocks, start=1):
        passage = _to_passage(block, bank, dwell, count_in_beats)
        name = f"{number:02}-{_to_slug(block.title)}.wav" if passage else ""
        sheets.append(PackPage(number, block, passage, name))
    return tuple(sheets)


def _to_passage(block: Block, bank: Bank, dwell: Fraction, count_in_beats: int) -> Passage | None:
    if block.choice is None:
        return None
    chosen = choose(block.choice, Settings(dwell=dwell), block.tempo_bpm)
    score, tempo_bpm = chosen.score, chosen.tempo_bpm
    performance = Performance.steady(score, tempo_bpm, bank, count_in_beats, chosen.goals.named)
    if block.kind is BlockKind.CLIMB and block.rule is ClimbRule.PLAIN:
        tempo, beats = _climb(performance.tempo, block, score.pattern.round)
        performance = replace(performance, tempo=tempo)
    else:
        beats = (block.minutes or USUAL_MINUTES) * tempo_bpm
    return Passage(performance, beats, f"{block.title}, {format_number(tempo_bpm)} beats/min")


def rungs(block: Block) -> tuple[Fraction, ...]:
    """The tempos of a climb, from the first to the target, which is always the last; of a staircase the first alone.

    Where a staircase goes is known only while somebody juggles, so a sound made beforehand stays where it starts.
    """
    assert block.tempo_bpm is not None
    if block.target_bpm is None:
        return (block.tempo_bpm,)
    sign = 1 if block.target_bpm >= block.tempo_bpm else -1
    count = int(abs(block.target_bpm - block.tempo_bpm) // block.step_bpm)
    found = [block.tempo_bpm + sign * block.step_bpm * index for index in range(count + 1)]
    return tuple(found if found[-1] == block.target_bpm else [*found, block.target_bpm])


def _climb(tempo: TempoMap, block: Block, beats_a_round: int) -> tuple[TempoMap, Fraction]:
    """The tempo map of a climb, each rung whole rounds long, and the beat it ends at."""
    beat = Fraction(0)
    for rung_bpm in rungs(block):
        tempo = tempo.with_tempo(beat, rung_bpm) if beat else tempo
        rounds = -(-RUNG_S * rung_bpm / 60 // beats_a_round)
        beat += rounds * beats_a_round
    return tempo, beat


def _to_slug(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:60] or "pattern"


def sheets_to_page(plan: Plan, sheets: tuple[PackPage, ...]) -> str:
    """The index page: HTML that needs nothing from outside, to be read, printed or played from."""
    parts = [
        "<!doctype html>",
        f'<html lang="en"><head><meta charset="utf-8"><title>{html.escape(plan.name)}</title>',
        '<meta name="viewport" content="width=device-width">',
        f"<style>{STYLE}</style></head><body>",
        f"<h1>{html.escape(plan.name)}</h1><p>{html.escape(plan.audience)}</p>",
        *(_sheet_to_section(sheet) for sheet in sheets),
        f"<section><p>{html.escape(CARE)}</p></section>",
        "</body></html>",
    ]
    return "\n".join(parts) + "\n"


def _sheet_to_section(sheet: PackPage) -> str:
    block = sheet.block
    lines = [f"<section><h2>{sheet.number}. {html.escape(_heading(block))}</h2>"]
    if block.say:
        lines.append(f"<p>{html.escape(block.say)}</p>")
    lines.append(f"<p>{html.escape(_facts(sheet))}</p>")
    if sheet.name:
        name = html.escape(sheet.name, quote=True)
        lines.append(f'<p><audio controls preload="none" src="{name}"></audio><br><a href="{name}">{name}</a></p>')
    return "\n".join([*lines, "</section>"])


def _heading(block: Block) -> str:
    if block.choice is None:
        return block.kind.words
    title, text = block.title, block.choice.pattern.text
    return f"{block.kind.words}: {title}" + (f" ({text})" if text != title else "")


def _facts(sheet: PackPage) -> str:
    """Tempo, height, goals and length, in a line of plain words."""
    block, facts = sheet.block, []
    if sheet.passage is not None:
        performance = sheet.passage.performance
        score = performance.score
        tempos = rungs(block) if block.kind is BlockKind.CLIMB else (performance.tempo.tempo_at(Fraction(0)),)
        facts.append(
            " to ".join(format_number(tempo) for tempo in dict.fromkeys((tempos[0], tempos[-1]))) + " beats/min"
        )
        apexes = [flight.apex_m(flight.flight_s(score.pattern.highest, score.dwell, tempo)) for tempo in tempos]
        facts.append(f"highest throw {max(apexes):.1f} m")
        if block.kind is BlockKind.CLIMB and block.rule is ClimbRule.STAIRCASE:
            facts.append("a staircase: up or down from here as you hold it")
        goals = Goals.of(score)
        facts.append(f"flash {goals.flash} catches, qualify {goals.qualify}")
    if block.attempts:
        facts.append(f"{block.attempts} tries")
    if block.minutes:
        facts.append("1 minute" if block.minutes == 1 else f"{format_number(block.minutes)} minutes")
    if block.goal:
        times = f", {block.times} times" if block.times else ""
        facts.append((f"goal: {block.goal} catches" if block.goal.isdigit() else f"goal: {block.goal}") + times)
    return "; ".join(facts) or "As long as you like."
