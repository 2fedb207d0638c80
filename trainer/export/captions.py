"""Writes a passage as captions for a video: each throw's value and hand, and the count of catches, at their times.

WebVTT by the W3C's specification; SRT, which has none, as its players agree on it. A caption stays until the
next one begins, so that they never overlap. Times are exact seconds rounded half up to a millisecond, the unit
of both formats; what falls on one millisecond is one caption.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import groupby
from math import floor
from pathlib import Path

from trainer.export.passage import Moment, Passage, Tell, untold
from trainer.files.whole import Existing, open_whole
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.throws import Hand, Rhythm, value_to_digit
from trainer.timing.score import Event, EventKind

HANDS = {Hand.RIGHT: "right", Hand.LEFT: "left"}
THROWN = (EventKind.ENTRY, EventKind.THROW, EventKind.HOLD, EventKind.GAP)
AFTERWARDS = {EventKind.HOLD: " held", EventKind.GAP: " empty"}
SHOWN = (*THROWN, EventKind.COUNT_IN, EventKind.CATCH, EventKind.GOAL)


@dataclass(frozen=True, slots=True)
class Caption:
    """One caption: from a millisecond to another, the exact beat it begins at, and its lines."""

    start_ms: int
    stop_ms: int
    beat: Fraction
    lines: tuple[str, ...]


@dataclass(slots=True)
class _Shown:
    """What stands on the screen: the throws of the last beat that had any, the count, the last goal reached."""

    passage: Passage
    throws: tuple[str, ...] = ()
    catches: int = 0
    goal: str = ""

    def show(self, moments: Sequence[Moment]) -> tuple[str, ...]:
        """The lines once what happens at one time has happened."""
        events = [moment.placed.event for moment in moments]
        self.catches = moments[-1].catches
        thrown = [event for event in events if event.kind in THROWN]
        score = self.passage.performance.score
        if thrown:
            self.throws = throws_to_lines(thrown, score.pattern)
        for event in events:
            if event.kind is EventKind.GOAL:
                self.goal = f", {event.name}"
            elif event.kind is EventKind.COUNT_IN:
                number = int(event.beat) - self.passage.performance.first_beat + 1
                self.throws = (f"count-in {number} of {self.passage.performance.count_in_beats}",)
        if events[-1].beat < -score.lead_beats:
            return self.throws
        return (*self.throws, f"{self.catches} {'catch' if self.catches == 1 else 'catches'}{self.goal}")


def captions(passage: Passage, tell: Tell = untold) -> Iterator[Caption]:
    """The captions of a passage in order, made as they are read: none overlaps another, none is empty."""
    shown = _Shown(passage)
    moments = (moment for moment in passage.moments(tell) if moment.placed.event.kind in SHOWN)
    begun: Caption | None = None
    for start_ms, together in groupby(moments, key=lambda moment: second_to_ms(moment.second)):
        at_once = tuple(together)
        if begun is not None:
            yield replace(begun, stop_ms=start_ms)
        begun = Caption(start_ms, start_ms + 1, at_once[0].placed.event.beat, shown.show(at_once))
    if begun is not None:
        yield replace(begun, stop_ms=max(begun.stop_ms, second_to_ms(passage.second_at(passage.stop_beat))))


def throws_to_lines(events: Iterable[Event], pattern: Pattern) -> tuple[str, ...]:
    """A line for each juggler: "right 5", "right 4x · left 2x", "left [43]"; with several, who throws it."""
    lines: dict[int, dict[Hand | None, list[Event]]] = {}
    for event in sorted(events, key=lambda event: event.throw):  # as the pattern's text has them
        lines.setdefault(event.juggler, {}).setdefault(event.hand, []).append(event)
    texts = []
    for juggler, hands in sorted(lines.items()):
        who = f"juggler {juggler + 1}: " if pattern.jugglers > 1 else ""
        texts.append(who + " · ".join(_hand_to_text(hand, at_once, pattern) for hand, at_once in hands.items()))
    return tuple(texts)


def _hand_to_text(hand: Hand | None, events: list[Event], pattern: Pattern) -> str:
    values = [_value_to_text(event, pattern) for event in events]
    side = HANDS[hand] if hand is not None else "hand"
    if len(values) > 1:
        return f"{side} [{''.join(values)}]"
    return f"{side} {values[0]}{AFTERWARDS.get(events[0].kind, '')}"


def _value_to_text(event: Event, pattern: Pattern) -> str:
    """A throw as the notation writes it: its digit, x where a hand of two at once throws across, p for a pass."""
    digit = value_to_digit(event.value)
    if event.throw < 0:
        return digit
    throw = pattern.throws[event.throw]
    if throw.passed:
        return f"{digit}p{throw.to_juggler + 1 if pattern.jugglers > 2 else ''}"
    return f"{digit}x" if pattern.rhythm is Rhythm.SYNC and throw.crosses else digit


def second_to_ms(second: Fraction) -> int:
    """Whole milliseconds, rounded half up."""
    return floor(second * 1000 + Fraction(1, 2))


def ms_to_text(ms: int, point: str) -> str:
    """Hours, minutes, seconds and, after `point`, milliseconds: 00:01:02.003."""
    seconds, ms = divmod(ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{seconds:02d}{point}{ms:03d}"


def write_vtt(path: Path, passage: Passage, existing: Existing, tell: Tell = untold) -> None:
    """WebVTT, each caption named by its exact beat; errors as in open_whole."""
    with open_whole(path, existing) as file:
        file.write_text(f"WEBVTT\n\nNOTE {passage.title}\n")
        for caption in captions(passage, tell):
            file.write_text(f"\nbeat {caption.beat}\n{_caption_to_text(caption, '.')}")


def write_srt(path: Path, passage: Passage, existing: Existing, tell: Tell = untold) -> None:
    """SRT, captions numbered from 1; errors as in open_whole."""
    with open_whole(path, existing) as file:
        for number, caption in enumerate(captions(passage, tell), 1):
            gap = "\n" if number > 1 else ""
            file.write_text(f"{gap}{number}\n{_caption_to_text(caption, ',')}")


def _caption_to_text(caption: Caption, point: str) -> str:
    times = f"{ms_to_text(caption.start_ms, point)} --> {ms_to_text(caption.stop_ms, point)}"
    return "\n".join((times, *caption.lines)) + "\n"
