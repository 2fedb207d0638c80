"""Any text either reads and prints back to an equal pattern, or is refused at a column of its own."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.siteswap.families import parse_any
from trainer.siteswap.grammar import LONGEST_TEXT, NotationError, parse
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.refusal import point_out
from trainer.siteswap.states import states
from trainer.siteswap.throws import Throw

NOTATION = "0123456789aehpxz[](),*<>| "


def throws(pattern: Pattern) -> list[Throw]:
    return [replace(throw, column=0) for throw in pattern.throws]


def require_read_or_refused(text: str) -> None:
    try:
        pattern = parse_any(text)
    except NotationError as error:
        require_clear(error, text)
        return
    again = parse(pattern.text)
    assert throws(again) == throws(pattern)
    assert (again.text, again.period, again.rhythm, again.jugglers, again.style) == (
        pattern.text,
        pattern.period,
        pattern.rhythm,
        pattern.jugglers,
        pattern.style,
    )
    assert pattern.objects * pattern.period == sum(throw.value for throw in pattern.throws)
    assert {sum(map(sum, state)) for state in states(pattern)} == {pattern.objects}


def require_clear(error: NotationError, text: str) -> None:
    """One line of reason, a column inside the text, a caret line, and a suggestion that works if there is one."""
    assert error.text == text
    assert 1 <= error.column <= max(1, len(text))
    assert error.reason
    assert "\n" not in error.reason
    assert all(char.isprintable() for char in error.reason)
    assert len(point_out(error)) == (3 if error.suggestion else 2)
    if error.suggestion:
        assert parse_any(error.suggestion).text


@given(st.text(alphabet=NOTATION, max_size=30))
@settings(max_examples=80, database=None)
def test_texts_of_notation(text: str) -> None:
    require_read_or_refused(text)


@given(st.text(alphabet=st.characters(), max_size=30))
@settings(max_examples=40, database=None)
def test_texts_of_any_characters(text: str) -> None:
    require_read_or_refused(text)


NAMES = "ball cascade box sync shower half columns fountain reverse mess"


@given(st.lists(st.sampled_from([*"0123456789³㉛٣ -", *NAMES.split()]), max_size=7), st.sampled_from(["", " "]))
@settings(max_examples=40, database=None)
def test_texts_of_names(words: list[str], between: str) -> None:
    require_read_or_refused(between.join(words))


@given(data=st.data())
@settings(max_examples=40, database=None)
def test_made_patterns_are_read(data: st.DataObject, patterns: st.SearchStrategy[str]) -> None:
    text = data.draw(patterns)
    parse(text)
    require_read_or_refused(text)
    require_read_or_refused(f"{text} mess")


@given(data=st.data())
@settings(max_examples=40, database=None)
def test_made_patterns_with_one_thing_changed(data: st.DataObject, patterns: st.SearchStrategy[str]) -> None:
    text = data.draw(patterns)
    at = data.draw(st.integers(0, len(text) - 1))
    require_read_or_refused(text[:at] + data.draw(st.sampled_from(["", *NOTATION])) + text[at + 1 :])


@given(data=st.data())
@settings(max_examples=40, database=None)
def test_width_case_and_spaces_do_not_matter(data: st.DataObject, patterns: st.SearchStrategy[str]) -> None:
    """Full-width forms are U+FF01 to U+FF5E, each U+FEE0 above its ASCII one. Source: The Unicode Standard."""
    text = data.draw(patterns)
    shapes = (
        lambda char: char,
        str.upper,
        lambda char: chr(ord(char) + 0xFEE0) if char != " " else "\u3000",
        lambda char: chr(ord(char.upper()) + 0xFEE0) if char != " " else "\xa0",
        lambda char: f" {char}\t",
    )
    typed = "".join(data.draw(st.sampled_from(shapes))(char) for char in text)
    assert throws(parse(typed)) == throws(parse(text))
    assert parse(typed).text == parse(text).text


LONG = {
    "digits": "3" * 4096,
    "531": "531" * 1365,
    "no match": "543" * 1365,
    "all letters": "".join(chr(97 + at % 26) for at in range(4096)),
    "opened": "(" * 4096,
    "brackets": "[" * 4096,
    "one multiplex": "[" + "3" * 4095,
    "jugglers": "<" + "|" * 4095,
    "line": "<" + "3p" * 1022 + "|" + "3p" * 1023 + ">",
    "pairs": "(4x,2x)" * 585 + "*",
    "spaces": " " * 4096,
    "ligature": "\ufdfa" * 4096,
    "marks": "3" + "\u0301" * 4095,
    "too long": "3" * 4097,
    "much too long": "3 cascade " * 100_000,
    "longest mended": "9" * 249 + "8",
    "pairs mended": "(4,4)" * 49 + "(4,3)",
    "passes mended": "<" + "3p" * 13 + "|" + "3p" * 12 + "4p>",
    "long number": "1" * 4000 + " cascade",
}


@pytest.mark.parametrize("text", LONG.values(), ids=LONG.keys())
def test_long_texts(text: str) -> None:
    require_read_or_refused(text)


def test_the_longest_text_is_read_and_one_more_is_not() -> None:
    assert parse("3" * LONGEST_TEXT).period == LONGEST_TEXT
    with pytest.raises(NotationError, match=r"4097 characters; 4096"):
        parse("3" * (LONGEST_TEXT + 1))


ODD = {
    "nothing": "",
    "nul": "5\x003",
    "newline": "5\n3\n1",
    "escape": "\x1b[31m531",
    "combining": "5\u03013\u03031",
    "right to left": "\u202e135\u202c",
    "arabic digits": "\u0665\u0663\u0661",
    "hebrew": "\u05d0\u05d1",
    "emoji": "\U0001f939 3",
    "family emoji": "\U0001f468\u200d\U0001f469\u200d\U0001f467",
    "undecodable bytes": b"5\xff1\xc3".decode("utf-8", "surrogateescape"),
    "lone surrogate": "\ud800",
    "half": "½",
    "circled": "⑤③①",
    "circled twenty": "⑳",
    "byte order mark": "\ufeff531",
    "variation": "3\ufe0f",
    "dotted I": "İ",
    "kelvin": "\u212a",
    "long s": "ſ",
}


@pytest.mark.parametrize("text", ODD.values(), ids=ODD.keys())
def test_odd_characters(text: str) -> None:
    require_read_or_refused(text)


@pytest.mark.parametrize(
    ("text", "column", "said", "suggestion"),
    [
        ("543", 2, ("5 thrown on beat 1", "4 thrown on beat 2", "beat 6", "left hand"), "534"),
        ("54", 2, ("5 thrown on beat 1", "4 thrown on beat 2", "4.5", "not a whole number"), ""),
        ("30", 1, ("3 thrown on beat 1", "beat 4", "left hand", "throws nothing"), ""),
        ("(4,3)", 4, ("“3” is odd",), "(4,4)"),
        ("(4,4", 4, ("“)”",), "(4,4)"),
        ("531*", 4, ("“*”",), "531"),
        ("5é1", 2, ("“é” is no throw value",), ""),
        ("[3]3", 1, ("two values or more",), ""),
        ("(0x,4)", 3, ("empty hand",), ""),
        ("<3p|3p|3p>", 4, ("With 3 jugglers", "number of the one who catches"), ""),
        ("<3|33>", 4, ("Juggler 2's line lasts 2 beats",), ""),
        ("[33]3[33]3[43]", 3, ("The 3 thrown on beat 1 and the 3 thrown on beat 1", "beat 4", "left hand"), ""),
    ],
)
def test_what_is_said(text: str, column: int, said: tuple[str, ...], suggestion: str) -> None:
    """Column, the two throws, the beat and hand where they meet: reckoned by hand from the definition."""
    with pytest.raises(NotationError) as caught:
        parse(text)
    assert caught.value.column == column
    for words in said:
        assert words in caught.value.reason
    if suggestion:
        assert caught.value.suggestion == suggestion


def test_a_multiplex_hand_that_gets_more_than_it_throws_on() -> None:
    """[44] twice and a 2 come down where two are thrown on: the third is told, with how many there is room for."""
    with pytest.raises(NotationError, match="throws only 2 on"):
        parse("([44],2)([44],2x)")
