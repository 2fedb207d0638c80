"""The words of the glossary shown by patterns: each pattern named for one has it, computed from its throws.

Meanings are common practice of the trade.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

from tests.bundled import LIBRARY
from tests.each import each
from trainer.library.entries import BODY_CUES, Entry
from trainer.library.terms import read_terms
from trainer.siteswap import states
from trainer.siteswap.throws import Hand, Rhythm, Throw
from trainer.timing.counting import all_up
from trainer.timing.score import Score

PATTERNS = Path(__file__).parents[2] / "patterns"
TERMS = read_terms()


def titled(title: str) -> Entry:
    """The entry with just this title."""
    return next(entry for entry in LIBRARY.entries if entry.title == title)


Shows = Callable[[Entry], bool]


def any_throw(test: Callable[[Throw], bool]) -> Shows:
    return lambda entry: any(test(throw) for throw in entry.pattern.throws)


def every_throw(test: Callable[[Throw], bool]) -> Shows:
    return lambda entry: all(test(throw) for throw in entry.pattern.throws)


def cue(kind: str) -> Shows:
    return lambda entry: any(each.kind == kind for each in entry.cues)


def arranged(how: str) -> Shows:
    return lambda entry: entry.arrangement == how


def is_all_alike(entry: Entry) -> bool:
    return len({throw.value for throw in entry.pattern.throws}) == 1


def is_zip(throw: Throw) -> bool:
    return throw.value == 1 or (throw.value == 2 and throw.crosses and not throw.passed)


def slots(entry: Entry) -> Counter[tuple[int, int, Hand]]:
    return Counter((t.beat, t.juggler, t.hand) for t in entry.pattern.throws)


def goes_round(entry: Entry) -> bool:
    """Everything crosses, and each hand has a height, or a path, of its own."""
    values = {hand: {t.value for t in entry.pattern.throws if t.hand is hand} for hand in Hand}
    apart = values[Hand.RIGHT].isdisjoint(values[Hand.LEFT]) or cue("over the top")(entry)
    return apart and every_throw(lambda t: t.crosses)(entry)


def is_shower(entry: Entry) -> bool:
    heights = sorted({t.value for t in entry.pattern.throws})
    return len(heights) == 2 and any_throw(is_zip)(entry) and every_throw(lambda t: t.crosses)(entry)


def passes_once_in(count: int) -> Shows:
    """Every juggler passes one throw of so many; in a larger pattern the count may hold for one of them."""

    def shows(entry: Entry) -> bool:
        shares = {
            Fraction(sum(t.passed for t in entry.pattern.throws if t.juggler == juggler), entry.pattern.period)
            for juggler in range(entry.pattern.jugglers)
        }
        return shares == {Fraction(1, count)}

    return shows


def is_up_for_a_beat(entry: Entry) -> bool:
    return any(window.beats >= 1 for window in all_up(Score(entry.pattern)))


def stands_still(entry: Entry) -> bool:
    """Columns: nothing is high enough to cross, but for one that may change sides."""
    return sum(t.crosses for t in entry.pattern.throws) < len(entry.pattern.throws) / 3


SHOWN: dict[str, Shows] = {
    "toss juggling": lambda e: not e.bounce,
    "cascade": lambda e: is_all_alike(e) and every_throw(lambda t: t.crosses)(e) and e.objects % 2 == 1,
    "inside throw": lambda e: e.category == "cascade" and not e.pattern.style,
    "outside throw": lambda e: e.pattern.style == "reverse" or cue("over the top")(e),
    "fountain": lambda e: is_all_alike(e) and every_throw(lambda t: not t.crosses)(e) and e.objects % 2 == 0,
    "shower": is_shower,
    "half-shower": lambda e: goes_round(e) and not any_throw(is_zip)(e),
    "reverse": lambda e: e.pattern.style == "reverse",
    "columns": stands_still,
    "box": lambda e: e.pattern.kind is Rhythm.SYNC and any_throw(is_zip)(e) and any_throw(lambda t: not t.crosses)(e),
    "mess": lambda e: e.pattern.style == "mess",
    "windmill": lambda e: cue("crossed arms")(e) and e.pattern.round == 2,
    "tennis": lambda e: cue("over the top")(e) and e.pattern.round == e.objects,
    "snake": lambda e: any_throw(lambda t: t.empty)(e) and e.pattern.highest > e.objects,
    "Burke's Barrage": lambda e: [t.value for t in e.pattern.throws] == [4, 2, 3],
    "Rubenstein's Revenge": lambda e: [t.value for t in e.pattern.throws] == [5, 2, 2, 3, 3],
    "crossing throw": any_throw(lambda t: t.crosses),
    "zip": any_throw(is_zip),
    "hold": any_throw(lambda t: t.held),
    "active 2": any_throw(lambda t: t.held),
    "gap": any_throw(lambda t: t.empty),
    "carry": cue("carry"),
    "siteswap": lambda e: e.pattern.kind is Rhythm.ASYNC,
    "value": lambda e: len({t.value for t in e.pattern.throws}) >= 3,
    "vanilla siteswap": lambda e: e.pattern.kind is Rhythm.ASYNC and max(slots(e).values()) == 1,
    "async": lambda e: e.pattern.kind is Rhythm.ASYNC,
    "sync": lambda e: e.pattern.kind is Rhythm.SYNC,
    "star": lambda e: e.pattern.text.endswith("*"),
    "multiplex": lambda e: max(slots(e).values()) > 1,
    "stacked": lambda e: max(Counter((t.beat, t.hand, t.value) for t in e.pattern.throws).values()) > 1,
    "ground": lambda e: states.is_ground(e.pattern),
    "excited": lambda e: not states.is_ground(e.pattern),
    "entry throws": lambda e: not states.is_ground(e.pattern),
    "prime": lambda e: states.is_prime(e.pattern),
    "symmetric": lambda e: e.pattern.symmetric,
    "all-up": is_up_for_a_beat,
    "clap": lambda e: is_up_for_a_beat(e) and cue("clap")(e),
    "pirouette": lambda e: is_up_for_a_beat(e) and cue("turn")(e),
    "numbers": lambda e: e.objects >= 7 and e.category == "numbers",
    "passing": any_throw(lambda t: t.passed),
    "pass": any_throw(lambda t: t.passed),
    "self": lambda e: any_throw(lambda t: t.passed)(e) and any_throw(lambda t: not t.passed)(e),
    "straight pass": any_throw(lambda t: t.passed),
    "one-count": passes_once_in(1),
    "two-count": passes_once_in(2),
    "three-count": passes_once_in(3),
    "four-count": passes_once_in(4),
    "six-count": passes_once_in(6),
    "pass-pass-self": lambda e: e.pattern.period == 3 and sum(t.passed for t in e.pattern.throws) == 4,
    "takeaway": cue("steal"),
    "runaround": lambda e: cue("steal")(e) and cue("walk")(e),
    "shared pattern": arranged("side by side"),
    **{how: arranged(how) for how in ("face to face", "side by side", "one behind the other", "back to back")},
    **{how: arranged(how) for how in ("feed", "triangle", "line")},
    "body throw": lambda e: any(each.kind in BODY_CUES for each in e.cues),
    "back cross": cue("behind the back"),
    **{kind: cue(kind) for kind in ("under the leg", "under the arm", "over the shoulder", "behind the neck")},
    "crossed arms": cue("crossed arms"),
    "claw": cue("claw"),
    "scarf": cue("claw"),
    "bounce juggling": lambda e: bool(e.bounce),
    "bounce ball": lambda e: bool(e.bounce),
    "lift": lambda e: e.bounce == "lift",
    "force": lambda e: e.bounce == "force",
    "joggling": lambda e: e.throws_per_step is not None,
}
"""What an entry must have in it to show a term, from the meaning of the term."""


@each((term.title, pattern) for term in TERMS.terms for pattern in term.patterns if term.title in SHOWN)
def test_a_pattern_shows_its_term(title: str, pattern: str) -> None:
    assert SHOWN[title](titled(pattern))


def test_every_check_is_for_a_term_with_patterns() -> None:
    with_patterns = {term.title for term in TERMS.terms if term.patterns}
    assert set(SHOWN) - with_patterns == set()
    assert len(SHOWN) > 60


@each(sorted(SHOWN))
def test_a_check_can_fail(title: str) -> None:
    assert not all(map(SHOWN[title], LIBRARY.entries))
