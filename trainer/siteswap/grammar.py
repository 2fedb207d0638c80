"""The grammar of siteswap: reads a text into a pattern, or refuses it with a column, a reason and a suggestion.

    text    = body [ style ]
    body    = async | sync | passing
    async   = slot { slot }           slot = value | "[" value value { value } "]"
    sync    = pair { pair } [ "*" ]   pair = "(" cell "," cell ")"
    cell    = even value [ "x" ] | "[" even value [ "x" ] … "]"
    passing = "<" line "|" line { "|" line } ">"      a line is async or sync, without "*"
    value   = 0-9 a-z;  in passing "p" behind a value passes it, with three jugglers and more "p" is
              followed by the number of the receiver

Spacing, letter case and full-width characters do not matter.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from trainer.errors import TrainerError
from trainer.siteswap import validity
from trainer.siteswap.pattern import STYLES, Pattern
from trainer.siteswap.throws import DIGITS, MOST_JUGGLERS, Hand, Rhythm, Throw, value_to_digit

LONGEST_TEXT = 4096
MOST_PASSING_TEXT_TO_MEND = 60
MOST_TEXT_TO_MEND = 250
"""Most characters of a passing pattern, and of any other, for which a text that works is looked for."""


class NotationError(TrainerError):
    """A text that is no pattern.

    column: from 1, within the text unless that is empty. reason: a sentence for a learner. suggestion: a text that
    works, or empty.
    """

    def __init__(self, text: str, column: int, reason: str, suggestion: str = "") -> None:
        super().__init__(reason)
        self.text = text
        self.column = max(1, min(column, len(text)))
        self.reason = reason
        self.suggestion = suggestion


class Sign(NamedTuple):
    """One character of the text, normalised, and its column in the text as typed."""

    char: str
    column: int


def parse(text: str) -> Pattern:
    """Read a siteswap, with the style that may follow it.

    Raises NotationError with the column, the reason in a learner's words and, where one is near, a text that works.
    Source of the rule that throws must fit together: Buhler, Eisenbud, Graham & Wright, Amer. Math. Monthly 101
    (1994) 507-519.
    """
    if len(text) > LONGEST_TEXT:
        raise NotationError(text, LONGEST_TEXT + 1, f"The text has {len(text)} characters; {LONGEST_TEXT} is the most.")
    body, style = _split_style(_to_signs(text))
    try:
        pattern = _Reader(text, body).read()
    except NotationError as error:
        if not error.suggestion:
            error.suggestion = _mend_reading(text, body, error, style)
        raise
    _require_balance(text, body, pattern, style)
    return replace(pattern, text=f"{_to_canonical(body, pattern)} {style}".strip(), style=style)


def _to_canonical(body: list[Sign], pattern: Pattern) -> str:
    """Write the body without spaces, except between the throws of an async passing line: receivers are digits too."""
    if pattern.jugglers == 1 or pattern.rhythm is Rhythm.SYNC:
        return "".join(sign.char for sign in body)
    starts = {throw.column for throw in pattern.throws}
    pieces: list[str] = []
    open_bracket = False
    for before, sign in zip([body[0], *body], body, strict=False):
        begins = sign.char == "[" or (sign.column in starts and not open_bracket)
        pieces.append(" " if begins and before.char not in "<|" else "")
        pieces.append(sign.char)
        open_bracket = sign.char == "[" or (open_bracket and sign.char != "]")
    return "".join(pieces)


def _to_signs(text: str) -> list[Sign]:
    """Fold width and case, one typed character into one sign, so that columns stay those of the text."""
    return [Sign(_fold(typed), column) for column, typed in enumerate(text, start=1)]


def _fold(typed: str) -> str:
    """Return the plain lower-case form of a character, or the character where that form is longer, as of ½ or ⑳."""
    folded = (typed if typed.isascii() else unicodedata.normalize("NFKC", typed)).lower()
    return folded if len(folded) == 1 else typed


def _split_style(signs: list[Sign]) -> tuple[list[Sign], str]:
    """Part the body from a style that follows it after a space, and drop all spaces."""
    words = "".join(sign.char for sign in signs).rsplit(maxsplit=1)
    style = words[-1] if len(words) > 1 and words[-1] in STYLES else ""
    body = signs[: len(words[0])] if style else signs
    return [sign for sign in body if not sign.char.isspace()], style


class _Reader:
    """Reads signs from left to right into throws, and refuses them at the column where it stops."""

    def __init__(self, text: str, signs: list[Sign]) -> None:
        self.text = text
        self.signs = signs
        self.chars = "".join(sign.char for sign in signs)
        self.at = 0
        self.jugglers = 1
        self.throws: list[Throw] = []

    def read(self) -> Pattern:
        if not self.signs:
            raise NotationError(self.text, 1, "The text was empty: type throws such as 531, or a pattern's name.")
        if self.peek() == "<":
            rhythm, period = self.read_passing()
        else:
            rhythm, period = self.read_line(0)
            if rhythm is Rhythm.SYNC and self.peek() == "*":
                self.at += 1
                self.throws += [
                    replace(t, beat=t.beat + period, hand=t.hand.other, to_hand=t.to_hand.other) for t in self.throws
                ]
                period *= 2
        if self.at < len(self.signs):
            self.fail(f"{self.shown()} was not expected here.")
        ordered = sorted(self.throws, key=lambda t: (t.beat, t.juggler, t.hand is Hand.LEFT))
        return Pattern(self.chars, rhythm, self.jugglers, period, tuple(ordered))

    def peek(self) -> str:
        return self.chars[self.at : self.at + 1]

    def column(self) -> int:
        return self.signs[self.at].column if self.at < len(self.signs) else len(self.text)

    def shown(self) -> str:
        char = self.peek()
        if not char:
            return "The end of the text"
        shows = char.isprintable() and not unicodedata.category(char).startswith("M")
        return f"“{char}”" if shows else f"The character U+{ord(char):04X}"

    def fail(self, reason: str, suggestion: str = "") -> None:
        raise NotationError(self.text, self.column(), reason, suggestion)

    def take(self, char: str, reason: str) -> None:
        if self.peek() != char:
            self.fail(reason)
        self.at += 1

    def read_passing(self) -> tuple[Rhythm, int]:
        self.jugglers = 1 + self.chars.count("|")
        if self.jugglers == 1:
            self.fail("A passing pattern needs a line for each juggler, parted by “|”, as in <3p 3|3p 3>.")
        if self.jugglers > MOST_JUGGLERS:
            self.fail(f"There were {self.jugglers} jugglers; {MOST_JUGGLERS} is the most.")
        first: tuple[Rhythm, int] | None = None
        for juggler in range(self.jugglers):
            self.take("<" if juggler == 0 else "|", "“|” must stand between the jugglers' lines.")
            start = self.at
            line = self.read_line(juggler)
            first = first or line
            if line != first:
                self.at = start
                self.fail(
                    f"Juggler {juggler + 1}'s line lasts {line[1]} beats ({line[0]}) and juggler 1's "
                    f"{first[1]} ({first[0]}); all lines must be alike in that."
                )
        self.take(">", f"{self.shown()} was not expected here: “>” ends the last juggler's line.")
        assert first is not None
        return first

    def read_line(self, juggler: int) -> tuple[Rhythm, int]:
        start, beat = self.at, 0
        rhythm = Rhythm.SYNC if self.peek() == "(" else Rhythm.ASYNC
        while self.peek() and self.peek() not in "|>*":
            if rhythm is Rhythm.SYNC:
                self.read_pair(juggler, beat)
                beat += 2
            else:
                hand = Hand.RIGHT if beat % 2 == 0 else Hand.LEFT
                self.read_cell(juggler, beat, hand, rhythm)
                beat += 1
        if self.at == start:
            self.fail(f"{self.shown()} was not expected here: a throw must come first.")
        return rhythm, beat

    def read_pair(self, juggler: int, beat: int) -> None:
        self.take("(", f"{self.shown()} was not expected here: each pair of a sync pattern begins with “(”.")
        self.read_cell(juggler, beat, Hand.RIGHT, Rhythm.SYNC)
        self.take(",", f"{self.shown()} was not expected here: “,” parts the right hand's throw from the left's.")
        self.read_cell(juggler, beat, Hand.LEFT, Rhythm.SYNC)
        self.take(")", f"{self.shown()} was not expected here: each pair of a sync pattern ends with “)”.")

    def read_cell(self, juggler: int, beat: int, hand: Hand, rhythm: Rhythm) -> None:
        if self.peek() != "[":
            self.read_throw(juggler, beat, hand, rhythm)
            return
        start = self.at
        self.at += 1
        count = 0
        while self.peek() != "]":
            if not self.peek():
                self.fail("A multiplex throw was left open: “]” must end it.")
            if self.peek() == "0":
                self.fail("A 0 inside [ ] throws nothing: leave it out.")
            self.read_throw(juggler, beat, hand, rhythm)
            count += 1
        if count < 2:
            self.at = start
            self.fail("A multiplex throw [ ] needs two values or more.")
        self.at += 1

    def read_throw(self, juggler: int, beat: int, hand: Hand, rhythm: Rhythm) -> None:
        column, value = self.column(), DIGITS.find(self.peek()) if self.peek() else -1
        if value < 0:
            self.fail(f"{self.shown()} is no throw value: those are 0 to 9, and a to z for 10 to 35.")
        if rhythm is Rhythm.SYNC and value % 2:
            self.fail(f"“{self.peek()}” is odd: both hands throw on the same beat here, so values are even.")
        self.at += 1
        crossing = False
        to_juggler = juggler
        for _ in range(2 if self.peek() in ("x", "p") else 0):
            if rhythm is Rhythm.SYNC and self.peek() == "x" and not crossing:
                self.at += 1
                crossing = True
            elif self.jugglers > 1 and self.peek() == "p" and to_juggler == juggler:
                self.at += 1
                to_juggler = self.read_receiver(juggler)
        if value == 0 and (crossing or to_juggler != juggler):
            self.at -= 1
            self.fail("A 0 is an empty hand: it can neither cross nor be passed.")
        to_hand = hand.other if (crossing if rhythm is Rhythm.SYNC else value % 2) else hand
        self.throws.append(Throw(beat, juggler, hand, value, to_juggler, to_hand, column))

    def read_receiver(self, juggler: int) -> int:
        if self.jugglers == 2:
            return 1 - juggler
        receiver = int(self.peek()) - 1 if self.peek() and self.peek() in "123456" else -1
        if not 0 <= receiver < self.jugglers or receiver == juggler:
            self.fail(
                f"With {self.jugglers} jugglers “p” is followed by the number of the one who catches "
                f"(1 to {self.jugglers}, but not {juggler + 1}, who throws)."
            )
        self.at += 1
        return receiver


def _require_balance(text: str, body: list[Sign], pattern: Pattern, style: str) -> None:
    """Raise NotationError for throws that do not fit together: it names the two that collide and the nearest mend."""
    collision = validity.find_collision(pattern)
    if collision is None:
        return
    reason = _collision_to_sentence(pattern, collision)
    total = sum(throw.value for throw in pattern.throws)
    if total % pattern.period:
        reason += (
            f" Its values add up to {total} over {pattern.period} beats, an average of "
            f"{total / pattern.period:.4g}: not a whole number of objects."
        )
    suggestion = _mend_balance(body, pattern)
    raise NotationError(text, collision.second.column, reason, f"{suggestion} {style}".strip() if suggestion else "")


def _collision_to_sentence(pattern: Pattern, collision: validity.Collision) -> str:
    early, late = sorted((collision.first, collision.second), key=lambda throw: throw.lands)
    hand = "right" if late.to_hand is Hand.RIGHT else "left"
    whose = f"juggler {late.to_juggler + 1}'s {hand} hand" if pattern.jugglers > 1 else f"the {hand} hand"
    place = f"on beat {late.lands + 1} to {whose}"
    only = f", which throws only {collision.thrown_on} on" if collision.thrown_on > 1 else ""

    def named(throw: Throw) -> str:
        thrown_on = throw.beat + 1 + (late.lands - early.lands if throw is early else 0)
        return f"the {value_to_digit(throw.value)} thrown on beat {thrown_on}"

    first = f"T{named(collision.first)[1:]}"
    if collision.first is collision.second:
        return f"{first} comes down {place}, which then throws nothing."
    return f"{first} and {named(collision.second)} both come down {place}{only}."


def _mend_balance(body: list[Sign], pattern: Pattern) -> str:
    """Return the nearest text that works and differs by a star, a throw or a pass; empty if none is found."""
    chars = [sign.char for sign in body]
    if len(chars) > MOST_TEXT_TO_MEND:
        return ""
    if chars[-1] == "*" or pattern.rhythm is Rhythm.SYNC:
        toggled = "".join(chars[:-1]) if chars[-1] == "*" else "".join([*chars, "*"])
        if _reads(toggled):
            return toggled
    mended = filter(_reads, (_rewrite(body, throws, pattern.rhythm) for throws in validity.find_changes(pattern)))
    nearest = next(mended, "")
    if nearest:
        return nearest
    if pattern.jugglers == 2 and len(chars) <= MOST_PASSING_TEXT_TO_MEND:
        return next(filter(_reads, _with_one_pass_changed(chars)), "")
    return ""


def _with_one_pass_changed(chars: list[str]) -> Iterator[str]:
    """Yield the text with one throw passed that was not, or one pass not passed."""
    for place, char in enumerate(chars):
        if char in DIGITS and char not in "0px":
            rest = chars[place + 2 :] if chars[place + 1] == "p" else ["p", *chars[place + 1 :]]
            yield "".join([*chars[: place + 1], *rest])


def _rewrite(body: list[Sign], throws: tuple[Throw, ...], rhythm: Rhythm) -> str:
    """Write the body with some throws changed, each at its column."""
    changed = {throw.column: throw for throw in throws}
    pieces: list[str] = []
    rewritten = False  # with its x, if it has one
    for sign in body:
        throw = changed.get(sign.column)
        if throw is not None:
            pieces.append(value_to_digit(throw.value))
        elif not (rewritten and sign.char == "x"):
            pieces.append(sign.char)
        rewritten = throw is not None and rhythm is Rhythm.SYNC and not throw.passed
        if rewritten and throw is not None and throw.crosses:
            pieces.append("x")
    return "".join(pieces)


def _mend_reading(text: str, body: list[Sign], error: NotationError, style: str) -> str:
    """Return a text that works and differs at the place where reading stopped; empty if none is found."""
    if not body or len(body) > MOST_TEXT_TO_MEND:
        return ""
    chars = [sign.char for sign in body]
    place = next((i for i, sign in enumerate(body) if sign.column >= error.column), len(body) - 1)
    if (error.column == len(text) and "The end of the text" in error.reason) or "left open" in error.reason:
        place = len(body)
    candidates = []
    if place < len(body):
        value = DIGITS.find(chars[place])
        if value > 0 and chars[0] in "(<" and value % 2:
            candidates += [(place, 1, value_to_digit(v)) for v in (value + 1, value - 1) if v < len(DIGITS)]
        candidates.append((place, 1, ""))
        candidates += [(place, 1, sign) for sign in ",)(]|>"]
        if value > 0 and value % 2:
            candidates.append((0, len(chars), "".join(_to_even(char) for char in chars)))
    else:
        candidates += [(place, 0, f"{value}{cross})") for value in "4620" for cross in ("", "x")]
    candidates += [(place, 0, sign) for sign in (")", ",", "]", ">", "|", "(", "x", "p", "]>", ")>")]
    for start, width, inserted in candidates:
        mended = "".join([*chars[:start], inserted, *chars[start + width :]])
        if mended and _reads(mended):
            return f"{mended} {style}".strip()
    return ""


def _to_even(char: str) -> str:
    """Raise an odd digit to the even one above it; leave any other character."""
    value = DIGITS.find(char)
    return DIGITS[value + 1] if char != "x" and value > 0 and value % 2 and value + 1 < len(DIGITS) else char


def _reads(text: str) -> bool:
    """Tell whether a text is a valid pattern, without looking for a mend."""
    try:
        pattern = _Reader(text, _to_signs(text)).read()
    except NotationError:
        return False
    return not validity.surplus(pattern)
