"""The page that explains a pattern to a learner in plain words; at 80 columns it fits one screen."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from math import ceil, floor

from trainer.library.catalogue import Choice, difficulty_of
from trainer.library.chosen import Chosen
from trainer.library.explanation import Explanation, start_hands
from trainer.siteswap import states
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import HIGHEST_VALUE, Hand, Rhythm, Throw, step_to_text, value_to_digit
from trainer.timing import flight
from trainer.timing.counting import all_up
from trainer.timing.hands import is_flat
from trainer.timing.tempo import format_number

WIDTH = 80
SCREEN_LINES = 24
MOST_THROWS_LISTED = 5
MOST_PARTS_LISTED = 4
STYLE_SENTENCES = {
    "mess": "Mess: the arms cross and uncross as you throw, and are back where they were after 6 throws.",
    "reverse": "Reverse: each object is carried in and thrown outward over the top of the one coming in.",
}
NUMBER_AND_UNIT = re.compile(r"(\d) (?=(?:m|cm|s|m/s|km/h)\b)")
HELD = "\0"  # stands for a space at which no line may end
HAND_NAMES = {Hand.RIGHT: "right", Hand.LEFT: "left"}


def to_lines(explained: Explanation, width: int = WIDTH) -> list[str]:
    """Return the page as lines of at most `width` characters; at WIDTH and above, at most a screen of them.

    Every word of the trade on it is explained there.
    """
    lines = [line for paragraph in _paragraphs(explained, width) for line in _fit(paragraph, width)]
    while width >= WIDTH and len(lines) > SCREEN_LINES and "" in lines:
        lines.remove("")
    return lines


def _paragraphs(explained: Explanation, width: int) -> Iterator[str]:
    yield from _heading(explained)
    yield ""
    yield from _drawing(explained.chosen, width)
    yield ""
    yield from _throw_lines(explained)
    yield ""
    yield from _beginning(explained.chosen)
    yield _goal_line(explained.chosen)
    yield from _window_lines(explained)
    entry = explained.chosen.choice.entry
    if entry is not None and entry.cues:
        yield f"Cues: {'; '.join(map(str, entry.cues))}."
    yield from _carried_lines(explained)
    yield from _difficulty_lines(explained.chosen.choice)


def _fit(paragraph: str, width: int) -> list[str]:
    """Cut a paragraph into lines; an empty one is one empty line."""
    held = NUMBER_AND_UNIT.sub(rf"\1{HELD}", paragraph)
    lines = textwrap.wrap(held, width, subsequent_indent=" " * 6 if paragraph.startswith(" ") else "")
    return [line.replace(HELD, " ") for line in lines] or [""]


def _heading(explained: Explanation) -> list[str]:
    pattern, entry = explained.chosen.choice.pattern, explained.chosen.choice.entry
    title = _shorten(pattern.text, 40)
    names = [name for name in entry.names if name != pattern.text] if entry else []
    if names:
        title = _shorten(f"{title} · {', '.join(names)}", WIDTH)
    who = "one juggler" if pattern.jugglers == 1 else f"{pattern.jugglers} jugglers"
    how = {Rhythm.ASYNC: "hands take turns", Rhythm.SYNC: "both hands throw together"}[pattern.rhythm]
    things = "1 object" if pattern.objects == 1 else f"{pattern.objects} objects"
    lines = [title, f"It works: {things}, {who}, {how}."]
    tempo = format_number(explained.chosen.tempo_bpm)
    lines.append(f"At {tempo} beats a minute a beat lasts {explained.beats_to_s(1):.2f} s.")
    told = entry.how if entry else STYLE_SENTENCES.get(pattern.style, "")
    return [*lines, told] if told else lines


def _drawing(chosen: Chosen, page_width: int) -> list[str]:
    """Draw hands as rows and beats as columns, for one round, or for two where the second mirrors the first."""
    pattern = chosen.choice.pattern
    beats = pattern.round * 2 if pattern.swaps_hands and pattern.round % 2 else pattern.round
    thrown: dict[tuple[int, Hand, int], list[str]] = {}
    for turn in range(ceil(beats / pattern.period)):
        for throw in pattern.throws:
            hand = chosen.score.hand(throw.hand, turn)
            key = (throw.juggler, hand, throw.beat + turn * pattern.period)
            thrown.setdefault(key, []).append(pattern.throw_to_text(throw))
    cells = {key: step_to_text([texts], Rhythm.ASYNC) for key, texts in thrown.items()}
    width = max(2, *(len(cell) for cell in cells.values())) + 1
    label = 8 if pattern.jugglers == 1 else 11
    shown = min(beats, (page_width - label - 2) // width)
    more = " …" if shown < beats else ""
    lines = ["beat".ljust(label) + "".join(str(beat + 1).rjust(width) for beat in range(shown)) + more]
    for juggler in range(min(pattern.jugglers, 4)):
        for hand, name in HAND_NAMES.items():
            row = "".join(cells.get((juggler, hand, beat), "·").rjust(width) for beat in range(shown))
            who = name if pattern.jugglers == 1 else f"{juggler + 1} {name}"
            lines.append(who.ljust(label) + row + more)
    lines.append("A digit says in how many beats its object is thrown again; 0 is an empty hand.")
    return lines


def _throw_lines(explained: Explanation) -> list[str]:
    """Return one line for each kind of throw, the highest first."""
    kinds: dict[str, Throw] = {}
    pattern = explained.chosen.choice.pattern
    for throw in pattern.throws:
        kinds.setdefault(pattern.throw_to_text(throw), throw)
    ordered = sorted(kinds.items(), key=lambda item: (-item[1].value, item[0]))
    lines = [_throw_line(explained, text, throw) for text, throw in ordered[:MOST_THROWS_LISTED]]
    left_out = len(ordered) - MOST_THROWS_LISTED
    if left_out > 0:
        lines[-1] = f"… and {left_out + 1} lower ones."
    return lines


def _throw_line(explained: Explanation, text: str, throw: Throw) -> str:
    if throw.empty:
        return f"  {text:<3} the hand is empty for that beat"
    if explained.chosen.score.is_held(throw):
        return f"  {text:<3} stays in the hand, {explained.dwell_s(throw):.2f} s: no throw, no catch"
    seconds = explained.flight_s(throw)
    where = "to the other hand" if throw.crosses else "back to the same hand"
    if throw.passed:
        where = f"to juggler {throw.to_juggler + 1}, {'other' if throw.crosses else 'same'} side"
    elif is_flat(throw):
        where = "handed quickly across"
    return (
        f"  {text:<3} {where}: {seconds:.2f} s in the air, "
        f"{_to_height(flight.apex_m(seconds))} up, then {explained.dwell_s(throw):.2f} s in hand"
    )


def _to_height(metres: float) -> str:
    return f"{metres * 100:.0f} cm" if metres < 0.995 else f"{metres:.2f} m"


def _beginning(chosen: Chosen) -> list[str]:
    pattern, score = chosen.choice.pattern, chosen.score
    if not pattern.objects:
        return ["Nothing is thrown here: both hands are empty."]
    held = start_hands(score)
    parts = []
    for juggler in range(pattern.jugglers):
        right, left = held.get((juggler, Hand.RIGHT), 0), held.get((juggler, Hand.LEFT), 0)
        whose = "" if pattern.jugglers == 1 else f"juggler {juggler + 1}: "
        parts.append(f"{whose}{right} in the right hand, {left} in the left")
    first = f"The {HAND_NAMES[score.start_hand]} hand throws first."
    if pattern.rhythm is Rhythm.SYNC:
        first = "Both hands throw first."
    begin = f"How to begin: hold {'; '.join(parts)}. {first}"
    return [sentence for sentence in (begin, _entry_sentence(pattern)) if sentence]


def _entry_sentence(pattern: Pattern) -> str:
    """Say how to get into the pattern from the cascade or fountain; empty for these two, for sync and for passing."""
    plain = "cascade (all throws crossing)" if pattern.objects % 2 else "fountain (each hand its own objects)"
    if pattern.jugglers > 1 or pattern.rhythm is Rhythm.SYNC or pattern.objects > HIGHEST_VALUE:
        return ""
    if pattern.text == value_to_digit(pattern.objects):
        return ""
    beat = states.ground_beat(pattern)
    if beat == 0:
        return f"Out of the plain {plain} it can be started at any time."
    if beat is not None:
        return f"Out of the plain {plain} it can be started at any time, from throw {beat + 1} on."
    link = states.find_entry(pattern)
    if link is None:
        return ""
    return f"Out of the plain {plain}, throw {states.link_to_text(link, pattern.rhythm)} first, then go on with it."


def _goal_line(chosen: Chosen) -> str:
    goals = chosen.goals
    if not goals.round:
        return "There is nothing to catch: no object leaves a hand."
    why = "each object once" if goals.flash == chosen.choice.pattern.objects else "one round of the pattern"
    return f"Flash: {goals.flash} catches ({why}). Qualify: {goals.qualify} catches (twice that)."


def _window_lines(explained: Explanation) -> Iterator[str]:
    windows = all_up(explained.chosen.score)
    if windows:
        longest = max(windows, key=lambda window: window.beats)
        yield (
            f"All hands are empty for up to {explained.beats_to_s(longest.beats):.2f} s at a time, "
            f"first after beat {floor(longest.start_beat) + 1}."
        )


def _difficulty_lines(choice: Choice) -> Iterator[str]:
    """Yield how hard it is, with the parts that add most to it."""
    difficulty = difficulty_of(choice)
    if difficulty.parts:
        parts = sorted(difficulty.parts, key=lambda part: -part.points)[:MOST_PARTS_LISTED]
        told = ", ".join(f"{part.name} {part.points:.1f}" for part in parts)
        yield f"How hard: {difficulty.points:.1f} ({told})."


def _carried_lines(explained: Explanation) -> Iterator[str]:
    """Yield lines about floor and feet, for a pattern that is bounced or juggled on the run."""
    carriage, tempo_bpm = explained.chosen.carriage, explained.chosen.tempo_bpm
    bounces = carriage.bounces(explained.chosen.score, tempo_bpm)
    if bounces:
        value = max(bounces)
        bounce = bounces[value]
        way = "up" if bounce.release_m_s >= 0 else "down"
        yield (
            f"By the floor, hands {carriage.hand_m:g} m above it: the {value_to_digit(value)} leaves at "
            f"{abs(bounce.release_m_s):.1f} m/s {way}, floor after {bounce.floor_s:.2f} s, caught {bounce.caught}."
        )
    cadence = carriage.steps_a_minute(tempo_bpm)
    pace = carriage.pace_km_h(tempo_bpm, explained.stride_m)
    if cadence is not None and pace is not None:
        steps = format_number(cadence)
        yield f"On the run: {steps} steps a minute; {explained.stride_m:g} m each make {pace:.1f} km/h."
    trouble = explained.chosen.trouble
    if trouble:
        yield trouble


def _shorten(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 1] + "…"
