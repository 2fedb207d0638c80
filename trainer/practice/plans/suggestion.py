"""A plan suggested from the logbook, with the reason for each block in words: what is due, nearly there, or stale.

The rule, and why it is no more than this: practice spread over days keeps a skill better than the same tries in one
go (Shea, Lai, Black & Park, Hum. Mov. Sci. 19 (2000) 737-760; from memory), so what is sure comes back after gaps
that double with each day it was qualified on, up to a month, beyond which nothing here can tell what is lost. What
is nearly there comes every day, for there the tries teach most. Why no scheduler made for memory: DEVELOPERS.md.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

from trainer.practice.plans.text import PlanText, Value, to_block
from trainer.records.attempt import Attempt, Ended

LAST_TRIES: Final = 20
"""The rate of success is taken over this many last tries."""

FEWEST_TRIES: Final = 4
SURE: Final = Fraction(7, 10)
"""From this share of qualifies on a pattern is sure: about what an up-after-two climb settles at (model: 70.7 %)."""

WITHIN_REACH: Final = Fraction(1, 5)
"""From this share of flashes on, a pattern that does not qualify yet is nearly there."""

LONGEST_GAP_DAYS: Final = 32
STALE_DAYS: Final = 28
RECENT_DAYS: Final = 28

MOST = {"stale": 1, "due": 2, "nearly": 2, "new": 1}
"""Blocks of each sort in one suggestion, so that it stays within an hour."""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A block and why it is there. sort: of MOST, or warm-up, rest, free. fields: of the block, as a plan has them."""

    sort: str
    reason: str
    fields: Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Past:
    """What the logbook says of one pattern. name: what it is called. last: of its last tries, oldest first."""

    name: str
    objects: int
    tries: int
    last: tuple[Attempt, ...]
    qualified_days: int
    last_day: date

    @property
    def qualify_rate(self) -> Fraction:
        """Share of the last tries that qualified."""
        return Fraction(sum(each.qualify for each in self.last), len(self.last))

    @property
    def flash_rate(self) -> Fraction:
        """Share of the last tries that reached the flash."""
        return Fraction(sum(each.flash for each in self.last), len(self.last))

    @property
    def gap_days(self) -> int:
        """Days after which the pattern is due: 1, 2, 4 …, doubled with each day it was qualified on."""
        return min(1 << max(0, self.qualified_days - 1), LONGEST_GAP_DAYS)

    @property
    def tempo_bpm(self) -> Fraction:
        """The tempo of the last try."""
        return self.last[-1].tempo


def recall(tries: Sequence[Attempt], is_known: Callable[[str], bool]) -> tuple[Past, ...]:
    """What the tries say of each pattern; unfair ones, given-up ones and those nobody counted say nothing.

    is_known: whether the library still has a name; a pattern whose name it has not goes by its throws.
    """
    found: dict[tuple[str, str | None], list[Attempt]] = {}
    for each in tries:
        if each.fair and each.catches is not None and each.ended is not Ended.GIVEN_UP:
            found.setdefault((each.pattern, each.name), []).append(each)
    return tuple(
        Past(
            name if name and is_known(name) else pattern,
            own[-1].objects,
            len(own),
            tuple(own[-LAST_TRIES:]),
            len({each.started_at.date() for each in own if each.qualify}),
            own[-1].started_at.date(),
        )
        for (pattern, name), own in found.items()
    )


def sort_of(past: Past, today: date) -> str:
    """The sort of suggestion a pattern is for: stale, due, nearly, or empty for none of them."""
    days = (today - past.last_day).days
    if past.qualified_days and days >= max(STALE_DAYS, 2 * past.gap_days):
        return "stale"
    if past.tries < FEWEST_TRIES:
        return ""
    if past.qualify_rate >= SURE:
        return "due" if days >= past.gap_days else ""
    return "nearly" if past.flash_rate >= WITHIN_REACH and days <= RECENT_DAYS else ""


def suggest(
    tries: Sequence[Attempt], today: date, new: Sequence[str] = (), is_known: Callable[[str], bool] = bool
) -> tuple[Suggestion, ...]:
    """What to practise today, in order. tries: of one prop and one way of counting, oldest first.

    new: names of what builds on what is qualified, the easiest first. is_known: as in recall.
    """
    pasts = recall(tries, is_known)
    sorted_out: dict[str, list[Past]] = {sort: [] for sort in MOST}
    for past in pasts:
        if sort := sort_of(past, today):
            sorted_out[sort].append(past)
    sorted_out["stale"].sort(key=lambda past: past.last_day)
    sorted_out["due"].sort(key=lambda past: -Fraction((today - past.last_day).days, past.gap_days))
    sorted_out["nearly"].sort(key=lambda past: (-past.qualify_rate, -past.flash_rate))
    found = [*_warm_up(pasts)]
    for sort in ("stale", "due", "nearly"):
        found += [_suggestion(past, sort, today) for past in sorted_out[sort][: MOST[sort]]]
    found += [_new(name, bool(pasts)) for name in new[: MOST["new"]]]
    return tuple(_with_pauses(found))


def _warm_up(pasts: Sequence[Past]) -> list[Suggestion]:
    """Of the sure patterns the one with the fewest objects, the surest first."""
    sure = [past for past in pasts if past.qualify_rate >= SURE and past.tries >= FEWEST_TRIES]
    if not sure:
        return []
    past = min(sure, key=lambda past: (past.objects, -past.qualify_rate, -past.tries))
    reason = f"To get warm: {_share(past.last, 'qualify')} qualified, with few objects."
    return [Suggestion("warm-up", reason, _fields("warm-up", past.name, past.tempo_bpm, minutes=3))]


def _suggestion(past: Past, sort: str, today: date) -> Suggestion:
    days = (today - past.last_day).days
    ago = f"{days} days ago" if days != 1 else "yesterday"
    if sort == "stale":
        reason = f"Gone stale: you qualified it, and tried it last {ago}."
        return Suggestion(sort, reason, _fields("pattern", past.name, past.tempo_bpm, attempts=5, goal="flash"))
    if sort == "due":
        on = "one day" if past.qualified_days == 1 else f"{past.qualified_days} days"
        gap = f"{past.gap_days} day{'s' if past.gap_days > 1 else ''}"
        reason = f"Due: qualified on {on}, so it comes again after {gap}; you tried it last {ago}."
        return Suggestion(sort, reason, _fields("pattern", past.name, past.tempo_bpm, attempts=5, goal="qualify"))
    qualified = "none" if not past.qualify_rate else str(sum(each.qualify for each in past.last))
    reason = f"Nearly there: {_share(past.last, 'flash')} flashed, {qualified} qualified."
    return Suggestion(sort, reason, _fields("pattern", past.name, past.tempo_bpm, attempts=10, goal="qualify"))


def _new(name: str, anything_known: bool) -> Suggestion:
    reason = "New: it builds on what you qualify." if anything_known else "A first step: the logbook is empty so far."
    return Suggestion("new", reason, _fields("pattern", name, None, attempts=5, goal="flash"))


def _with_pauses(found: Sequence[Suggestion]) -> list[Suggestion]:
    """A rest after every second block, and free play at the end."""
    rest = Suggestion("rest", "Shake out hands and shoulders. Stop at pain.", {"kind": "rest", "minutes": 1})
    free = Suggestion("free", "What you like.", {"kind": "free", "minutes": 5})
    blocks: list[Suggestion] = []
    for number, each in enumerate(found, start=1):
        blocks += [each, rest] if number % 2 == 0 and number < len(found) else [each]
    return [*blocks, free] if blocks else []


def _fields(kind: str, pattern: str, tempo_bpm: Fraction | None, **more: Value) -> dict[str, Value]:
    tempo: dict[str, Value] = {} if tempo_bpm is None else {"tempo": tempo_bpm}
    return {"kind": kind, "pattern": pattern, **tempo, **more}


def _share(tries: Sequence[Attempt], goal: str) -> str:
    """How many of the last tries reached a goal, in words."""
    return f"{sum(getattr(each, goal) for each in tries)} of the last {len(tries)} tries"


def suggestions_to_text(suggestions: Sequence[Suggestion], today: date) -> str:
    """The suggestion as the text of a plan like any other; each block says why it is there."""
    text = PlanText("", ()).with_field("name", "Suggested for today")
    text = text.with_field("for", f"What the logbook of {today.isoformat()} asks for.")
    for place, each in enumerate(suggestions):
        text = text.added(place, to_block({**each.fields, "say": each.reason}))
    return text.text
