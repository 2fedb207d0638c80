"""Explains a pattern to a learner: the figures as JSON, and a page of plain words that fits one screen."""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from trainer.library.difficulty import Difficulty
from trainer.siteswap import states
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import HIGHEST_VALUE, Hand, Rhythm, Throw, value_to_digit
from trainer.timing import flight
from trainer.timing.carrying import Carriage
from trainer.timing.counting import Goals, all_up
from trainer.timing.score import Score
from trainer.timing.tempo import format_number

WIDTH = 80
SCREEN_LINES = 24
MOST_THROWS_LISTED = 5
MOST_PARTS_LISTED = 4
TOSSED = Carriage()
STYLE_SENTENCES = {
    "mess": "Mess: the arms cross and uncross as you throw, and are back where they were after 6 throws.",
    "reverse": "Reverse: each object is carried in and thrown outward over the top of the one coming in.",
}
NUMBER_AND_UNIT = re.compile(r"(\d) (?=(?:m|cm|s|m/s|km/h)\b)")
HELD = "\0"  # for a space at which no line ends
HAND_NAMES = {Hand.RIGHT: "right", Hand.LEFT: "left"}


@dataclass(frozen=True)
class Explanation:
    """A pattern carried out at a tempo, and what the library says of it.

    names, how, cues: may be empty. carriage: by the floor or on the run, with steps of stride_m metres.
    """

    score: Score
    tempo_bpm: Fraction
    names: tuple[str, ...] = ()
    how: str = ""
    carriage: Carriage = TOSSED
    stride_m: float = 0.8
    difficulty: Difficulty | None = None
    cues: tuple[str, ...] = ()

    @property
    def pattern(self) -> Pattern:
        return self.score.pattern

    def beats_to_s(self, beats: Fraction | int) -> float:
        """Seconds that some beats last."""
        return float(beats * 60 / self.tempo_bpm)

    def flight_s(self, throw: Throw) -> float:
        """Seconds a throw is in the air; 0 for a held 2 and an empty hand."""
        return self.beats_to_s(self.score.flight(throw))

    def dwell_s(self, throw: Throw) -> float:
        """Seconds the object then rests in the hand it lands in; of a held 2, all it stays there."""
        return self.beats_to_s(throw.value - self.score.flight(throw))


def to_json(explained: Explanation) -> dict[str, Any]:
    """The figures: beats counted from 0, jugglers from 1, seconds and metres; keys as README lists them."""
    pattern, score = explained.pattern, explained.score
    goals = Goals.of(score)
    return {
        "pattern": pattern.text,
        "names": list(explained.names),
        "kind": pattern.kind.value,
        "jugglers": pattern.jugglers,
        "objects": pattern.objects,
        "period": pattern.period,
        "highest": pattern.highest,
        "round": pattern.round,
        "ground": states.is_ground(pattern),
        "prime": states.is_prime(pattern),
        "symmetric": pattern.symmetric,
        "flash": goals.flash,
        "qualify": goals.qualify,
        "tempo": _to_number(explained.tempo_bpm),
        "dwell": float(score.dwell),
        "throws": [_throw_to_json(explained, throw) for throw in pattern.throws],
        "orbits": [list(orbit) for orbit in pattern.orbits()],
        "all_up": [
            {
                "start_beat": _to_number(window.start_beat),
                "beats": _to_number(window.beats),
                "seconds": explained.beats_to_s(window.beats),
            }
            for window in all_up(score)
        ],
        **({"cues": list(explained.cues)} if explained.cues else {}),
        **_carried_to_json(explained),
        **_difficulty_to_json(explained),
    }


def _throw_to_json(explained: Explanation, throw: Throw) -> dict[str, Any]:
    left_first = explained.score.start_hand is Hand.LEFT
    seconds = explained.flight_s(throw)
    return {
        "beat": throw.beat,
        "hand": (throw.hand.other if left_first else throw.hand).value,
        "juggler": throw.juggler + 1,
        "value": throw.value,
        "crosses": throw.crosses,
        "to_hand": (throw.to_hand.other if left_first else throw.to_hand).value,
        "to_juggler": throw.to_juggler + 1,
        "held": explained.score.is_held(throw),
        "flight_s": seconds,
        "dwell_s": explained.dwell_s(throw),
        "apex_m": flight.apex_m(seconds),
    }


def _to_number(value: Fraction) -> int | float:
    return int(value) if value.denominator == 1 else float(value)


def to_lines(explained: Explanation, width: int = WIDTH) -> list[str]:
    """The page: lines of at most `width` characters; at WIDTH at most a screen of them. No word left unexplained."""
    paragraphs = [
        *_heading(explained),
        "",
        *_drawing(explained, width),
        "",
        *_throw_lines(explained),
        "",
        *_beginning(explained),
        *_goal_lines(explained),
        *_window_lines(explained),
        *([f"Cues: {'; '.join(explained.cues)}."] if explained.cues else []),
        *_carried_lines(explained),
        *_difficulty_lines(explained),
    ]
    lines = [line for paragraph in paragraphs for line in _fit(paragraph, width)]
    while width >= WIDTH and len(lines) > SCREEN_LINES and "" in lines:  # rather without air than beyond the screen
        lines.remove("")
    return lines


def _fit(paragraph: str, width: int) -> list[str]:
    """A paragraph cut into lines; the drawing's and those that fit stay as they are."""
    if len(paragraph) <= width:
        return [paragraph]
    held = NUMBER_AND_UNIT.sub(rf"\1{HELD}", paragraph)
    lines = textwrap.wrap(held, width, subsequent_indent=" " * 6 if paragraph.startswith(" ") else "")
    return [line.replace(HELD, " ") for line in lines]


def _heading(explained: Explanation) -> list[str]:
    pattern = explained.pattern
    title = _shorten(pattern.text, 40)
    names = [name for name in explained.names if name != pattern.text]
    if names:
        title = _shorten(f"{title} · {', '.join(names)}", WIDTH)
    who = "one juggler" if pattern.jugglers == 1 else f"{pattern.jugglers} jugglers"
    how = {Rhythm.ASYNC: "hands take turns", Rhythm.SYNC: "both hands throw together"}[pattern.rhythm]
    things = "1 object" if pattern.objects == 1 else f"{pattern.objects} objects"
    lines = [title, f"It works: {things}, {who}, {how}."]
    tempo = format_number(explained.tempo_bpm)
    lines.append(f"At {tempo} beats a minute a beat lasts {explained.beats_to_s(1):.2f} s.")
    told = explained.how or STYLE_SENTENCES.get(pattern.style, "")
    return [*lines, told] if told else lines


def _drawing(explained: Explanation, page_width: int) -> list[str]:
    """Hands as rows, beats as columns, for one round, or two where the second is the mirror of the first."""
    pattern = explained.pattern
    beats = pattern.round * 2 if pattern.swaps_hands and pattern.round % 2 else pattern.round
    thrown: dict[tuple[int, Hand, int], list[str]] = {}
    for turn in range(-(-beats // pattern.period)):
        mirrored = (pattern.swaps_hands and turn % 2 == 1) != (explained.score.start_hand is Hand.LEFT)
        for throw in pattern.throws:
            hand = throw.hand.other if mirrored else throw.hand
            key = (throw.juggler, hand, throw.beat + turn * pattern.period)
            thrown.setdefault(key, []).append(throw_to_text(throw, pattern))
    cells = {key: texts[0] if len(texts) == 1 else f"[{''.join(texts)}]" for key, texts in thrown.items()}
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


def throw_to_text(throw: Throw, pattern: Pattern) -> str:
    """A throw as the notation writes it: digit, x where both hands throw together and it crosses, p if passed."""
    text = value_to_digit(throw.value)
    if pattern.rhythm is Rhythm.SYNC and throw.crosses:
        text += "x"
    if throw.passed:
        text += "p" if pattern.jugglers == 2 else f"p{throw.to_juggler + 1}"
    return text


def _throw_lines(explained: Explanation) -> list[str]:
    """One line for each kind of throw there is, the highest first."""
    kinds: dict[str, Throw] = {}
    for throw in explained.pattern.throws:
        kinds.setdefault(throw_to_text(throw, explained.pattern), throw)
    ordered = sorted(kinds.items(), key=lambda item: (-item[1].value, item[0]))
    lines = [_throw_line(explained, text, throw) for text, throw in ordered[:MOST_THROWS_LISTED]]
    left_out = len(ordered) - MOST_THROWS_LISTED
    if left_out > 0:
        lines[-1] = f"… and {left_out + 1} lower ones."
    return lines


def _throw_line(explained: Explanation, text: str, throw: Throw) -> str:
    if throw.empty:
        return f"  {text:<3} the hand is empty for that beat"
    if explained.score.is_held(throw):
        return f"  {text:<3} stays in the hand, {explained.dwell_s(throw):.2f} s: no throw, no catch"
    seconds = explained.flight_s(throw)
    where = "to the other hand" if throw.crosses else "back to the same hand"
    if throw.passed:
        where = f"to juggler {throw.to_juggler + 1}, {'other' if throw.crosses else 'same'} side"
    elif throw.value == 1 or (throw.value == 2 and throw.crosses):
        where = "handed quickly across"
    return (
        f"  {text:<3} {where}: {seconds:.2f} s in the air, "
        f"{_to_height(flight.apex_m(seconds))} up, then {explained.dwell_s(throw):.2f} s in hand"
    )


def _to_height(metres: float) -> str:
    return f"{metres * 100:.0f} cm" if metres < 0.995 else f"{metres:.2f} m"


def start_hands(score: Score) -> dict[tuple[int, Hand], int]:
    """How many objects each hand of each juggler holds before the first throw of the pattern as written."""
    pattern = score.pattern
    held: dict[tuple[int, Hand], int] = {}
    for (juggler, side), row in zip(states.channels(pattern), states.state_before(pattern, 0), strict=True):
        for offset, count in enumerate(row):
            hand = Hand(side) if side else (Hand.RIGHT if offset % 2 == 0 else Hand.LEFT)
            if score.start_hand is Hand.LEFT:
                hand = hand.other
            held[juggler, hand] = held.get((juggler, hand), 0) + count
    return held


def _beginning(explained: Explanation) -> list[str]:
    pattern, score = explained.pattern, explained.score
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
    sentences = [f"How to begin: hold {'; '.join(parts)}. {first}", _entry_sentence(pattern)]
    return [sentence for sentence in sentences if sentence]


def _entry_sentence(pattern: Pattern) -> str:
    """How to come to it out of the plain pattern of as many objects; empty where that is the plain pattern."""
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


def _goal_lines(explained: Explanation) -> list[str]:
    goals = Goals.of(explained.score)
    if not goals.round:
        return ["There is nothing to catch: no object leaves a hand."]
    why = "each object once" if goals.flash == explained.pattern.objects else "one round of the pattern"
    return [f"Flash: {goals.flash} catches ({why}). Qualify: {goals.qualify} catches (twice that)."]


def _window_lines(explained: Explanation) -> list[str]:
    windows = all_up(explained.score)
    if not windows:
        return []
    longest = max(windows, key=lambda window: window.beats)
    return [
        f"All hands are empty for up to {explained.beats_to_s(longest.beats):.2f} s at a time, "
        f"first after beat {_floor_plus_one(longest.start_beat)}."
    ]


def _difficulty_lines(explained: Explanation) -> list[str]:
    """How hard it is, with the parts that make the most of it."""
    if explained.difficulty is None:
        return []
    parts = sorted(explained.difficulty.parts, key=lambda part: -part.points)[:MOST_PARTS_LISTED]
    told = ", ".join(f"{part.name} {part.points:.1f}" for part in parts)
    return [f"How hard: {explained.difficulty.points:.1f} ({told})."] if parts else []


def _carried_lines(explained: Explanation) -> list[str]:
    """The floor and the feet, where the pattern has to do with them."""
    carriage, tempo_bpm = explained.carriage, explained.tempo_bpm
    lines = []
    bounces = carriage.bounces(explained.score, tempo_bpm)
    if bounces:
        value = max(bounces)
        bounce = bounces[value]
        way = "up" if bounce.release_m_s >= 0 else "down"
        lines.append(
            f"By the floor, hands {carriage.hand_m:g} m above it: the {value_to_digit(value)} leaves at "
            f"{abs(bounce.release_m_s):.1f} m/s {way}, floor after {bounce.floor_s:.2f} s, caught {bounce.caught}."
        )
    trouble = carriage.trouble(explained.score, tempo_bpm)
    cadence = carriage.steps_a_minute(tempo_bpm)
    pace = carriage.pace_km_h(tempo_bpm, explained.stride_m)
    if cadence is not None and pace is not None:
        lines.append(
            f"On the run: {format_number(cadence)} steps a minute; {explained.stride_m:g} m each make {pace:.1f} km/h."
        )
    return [*lines, trouble] if trouble else lines


def _difficulty_to_json(explained: Explanation) -> dict[str, Any]:
    if explained.difficulty is None:
        return {}
    parts = {part.name: part.points for part in explained.difficulty.parts}
    return {"difficulty": {"points": explained.difficulty.points, "parts": parts}}


def _carried_to_json(explained: Explanation) -> dict[str, Any]:
    """The floor and the feet as figures; nothing for a pattern that is tossed standing."""
    carriage, tempo_bpm = explained.carriage, explained.tempo_bpm
    figures: dict[str, Any] = {}
    if carriage.bounce is not None:
        figures["bounce"] = {
            "way": carriage.bounce.value,
            "hand_m": carriage.hand_m,
            "restitution": carriage.restitution,
            "throws": [
                {
                    "value": value,
                    "release_m_s": bounce.release_m_s,
                    "floor_s": bounce.floor_s,
                    "caught": bounce.caught.value,
                    "top_m": bounce.top_m,
                }
                for value, bounce in carriage.bounces(explained.score, tempo_bpm).items()
            ],
            "trouble": carriage.trouble(explained.score, tempo_bpm),
        }
    cadence = carriage.steps_a_minute(tempo_bpm)
    if cadence is not None:
        figures["steps_a_minute"] = _to_number(cadence)
        figures["pace_km_h"] = carriage.pace_km_h(tempo_bpm, explained.stride_m)
    return figures


def _floor_plus_one(beat: Fraction) -> int:
    return beat.numerator // beat.denominator + 1


def _shorten(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 1] + "…"
