"""Digits of half blocks: as wide and high as said, told apart from each other, never beyond their room."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.screens.parts.glyphs import (
    CAPITAL_PIXELS,
    CAPITALS,
    HALVES,
    SEGMENTS,
    SMALL,
    SMALL_ROWS,
    large_rows,
    small_rows,
    word_rows,
)


@pytest.mark.parametrize("char", SMALL)
def test_a_small_shape_is_three_wide_and_five_high(char: str) -> None:
    assert len(SMALL[char]) == 5
    assert {len(line) for line in SMALL[char]} == {3}
    assert {mark for line in SMALL[char] for mark in line} <= {"#", " "}


def test_small_shapes_are_told_apart() -> None:
    for one, other in combinations(SMALL, 2):
        assert SMALL[one] != SMALL[other], (one, other)


def test_a_three_and_an_x_in_small_shapes() -> None:
    """You should see a 3 and, lower, an x."""
    assert small_rows("3x") == ("▀▀█ ▄ ▄", " ▀█ ▄▀▄", "▀▀▀    ")


@given(st.text(max_size=8))
def test_small_rows_are_alike_in_length_whatever_the_text(text: str) -> None:
    rows = small_rows(text)
    assert len(rows) == SMALL_ROWS
    assert {len(row) for row in rows} == {max(0, 4 * len(text) - 1)}


def test_a_character_without_a_shape_is_shown_as_it_is() -> None:
    assert small_rows("?")[1] == " ? "


def test_large_digits_are_told_apart() -> None:
    drawn = {digit: tuple(large_rows(digit, 20, 9)) for digit in SEGMENTS}
    assert len(set(drawn.values())) == len(SEGMENTS)


@given(st.from_regex(r"[0-9-]{1,5}", fullmatch=True), st.integers(1, 120), st.integers(3, 40))
def test_large_rows_fill_their_room_and_no_more(text: str, columns: int, rows: int) -> None:
    lines = large_rows(text, columns, rows)
    assert [len(line) for line in lines] == [columns] * rows
    assert {char for line in lines for char in line} <= set(HALVES.values())


@pytest.mark.parametrize(("columns", "rows"), [(0, 0), (1, 1), (2, 1), (3, 2), (0, 5), (5, 0)])
def test_a_room_too_small_for_a_digit_does_no_harm(columns: int, rows: int) -> None:
    lines = large_rows("12", columns, rows)
    assert [len(line) for line in lines] == [columns] * rows


@pytest.mark.parametrize(
    ("text", "columns", "rows"), [("7", 42, 11), ("12", 42, 11), ("128", 42, 11), ("1280", 42, 11)]
)
def test_a_count_of_up_to_four_digits_is_large_where_it_stands(text: str, columns: int, rows: int) -> None:
    """Readable from across a room: at least as many rows high as a digit of the usual terminal is seven times."""
    lines = [line for line in large_rows(text, columns, rows) if line.strip()]
    assert len(lines) >= 7


def test_a_seven_in_strokes() -> None:
    """You should see a 7: a bar on top, a stroke down on the right."""
    assert large_rows("7", 5, 5) == ["▀▀▀▀█", "    █", "    █", "    █", "    █"]


def test_capitals_are_even_and_told_apart() -> None:
    for shape in CAPITALS.values():
        assert len(shape) == CAPITAL_PIXELS
        assert len({len(line) for line in shape}) == 1
        assert {mark for line in shape for mark in line} <= {"#", " "}
    for one, other in combinations(CAPITALS, 2):
        assert CAPITALS[one] != CAPITALS[other], (one, other)


@given(st.from_regex(r"[A-Za-z -]{0,12}", fullmatch=True), st.integers(0, 250), st.integers(0, 20))
def test_a_word_fills_its_room_and_no_more(text: str, columns: int, rows: int) -> None:
    assert [len(line) for line in word_rows(text, columns, rows)] == [columns] * rows


def test_a_word_in_capitals() -> None:
    """You should see GO, and in twice the room the same twice as large."""
    assert word_rows("go", 11, 3) == [" ▄▀▀▀ ▄▀▀▄ ", " █ ▀█ █  █ ", "  ▀▀▀  ▀▀  "]
    assert word_rows("go", 18, 5) == [
        "  ██████    ████  ",
        "██        ██    ██",
        "██  ████  ██    ██",
        "██    ██  ██    ██",
        "  ██████    ████  ",
    ]


def test_a_word_too_wide_for_its_room_stands_there_small() -> None:
    assert word_rows("COLLECTED", 20, 3) == [" " * 20, "     COLLECTED      ", " " * 20]


@pytest.mark.parametrize("height", [5, 7, 8, 9, 10, 14, 20])
def test_minutes_and_seconds_are_parted_by_two_dots(height: int) -> None:
    halves = "".join(
        "#" if set(row) & marks else " " for row in large_rows(":", 11, height) for marks in ({"▀", "█"}, {"▄", "█"})
    )
    assert len(halves.split()) == 2, halves
    assert large_rows("1:20", 44, height) != large_rows("1 20", 44, height)
