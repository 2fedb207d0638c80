"""The coming throws: a lane a hand, now first, as written on paper."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.library.entries import Cue
from trainer.screens.practice.coming import coming_lanes, next_cue, signs_told, widest_cell
from trainer.siteswap.families import parse_any
from trainer.siteswap.throws import Hand
from trainer.timing.score import Score


def lanes(pattern: str, beat: Fraction | int | None, beats: int, start_hand: Hand = Hand.RIGHT) -> list[str]:
    """The lanes as rows of text: the label, then a cell a beat, a dot for none."""
    found = coming_lanes(
        Score(parse_any(pattern), start_hand=start_hand), None if beat is None else Fraction(beat), beats
    )
    return [" ".join([lane.label, *(cell.text or "." for cell in lane.cells)]) for lane in found]


@pytest.mark.parametrize(
    ("pattern", "beat", "rows"),
    [
        ("3", None, ["RIGHT 3 . 3 . 3 .", "LEFT . 3 . 3 . 3"]),
        ("531", None, ["RIGHT 5 . 1 . 3 .", "LEFT . 3 . 5 . 1"]),
        ("531", 1, ["RIGHT . 1 . 3 . 5", "LEFT 3 . 5 . 1 ."]),
        ("531", Fraction(19, 10), ["RIGHT . 1 . 3 . 5", "LEFT 3 . 5 . 1 ."]),
        ("531", 2, ["RIGHT 1 . 3 . 5 .", "LEFT . 5 . 1 . 3"]),
        ("531", 600, ["RIGHT 5 . 1 . 3 .", "LEFT . 3 . 5 . 1"]),
        ("501", 0, ["RIGHT 5 . 1 . 0 .", "LEFT . 0 . 5 . 1"]),
        ("(4x,2x)", 0, ["RIGHT 4x 4x 4x 4x 4x 4x", "LEFT 2x 2x 2x 2x 2x 2x"]),
        ("(4x,2x)", Fraction(39, 10), ["RIGHT 4x 4x 4x 4x 4x 4x", "LEFT 2x 2x 2x 2x 2x 2x"]),
        ("(6x,4)*", 2, ["RIGHT 4 6x 4 6x 4 6x", "LEFT 6x 4 6x 4 6x 4"]),
        ("[43]23", 0, ["RIGHT 43 . 3 . 2 .", "LEFT . 2 . 43 . 3"]),
        ("<3p 3|3p 3>", 1, ["1 R . 3p . 3p . 3p", "1 L 3 . 3 . 3 .", "2 R . 3p . 3p . 3p", "2 L 3 . 3 . 3 ."]),
    ],
)
def test_the_lanes(pattern: str, beat: Fraction | int | None, rows: list[str]) -> None:
    assert lanes(pattern, beat, 6) == rows


@pytest.mark.parametrize(
    ("pattern", "right", "left", "told"),
    [
        ("531", "5╲ . 1╲ . 3╲ .", ". 3╱ . 5╱ . 1╱", "╲╱ crosses"),
        ("42", "4∩ . 4∩ . 4∩ .", ". 2▁ . 2▁ . 2▁", "∩ same hand   ▁ stays"),
        ("501", "5╲ . 1╲ . · .", ". · . 5╱ . 1╱", "╲╱ crosses   · empty"),
        ("(4,2x)*", "4∩ 2╲ 4∩ 2╲ 4∩ 2╲", "2╱ 4∩ 2╱ 4∩ 2╱ 4∩", "╲╱ crosses   ∩ same hand"),
        ("[43]23", "4∩3╲ . 3╲ . 2▁ .", ". 2▁ . 4∩3╱ . 3╱", "╲╱ crosses   ∩ same hand   ▁ stays"),
        ("<3p 3|3p 3>", "3» . 3» . 3» .", ". 3╱ . 3╱ . 3╱", "╲╱ crosses   » passed"),
        ("<3p2 3|3p3 3|3p1 3>", "3»2 . 3»2 . 3»2 .", ". 3╱ . 3╱ . 3╱", "╲╱ crosses   »2 passed to 2"),
    ],
)
def test_the_kind_of_a_throw_is_a_sign_beside_its_value(pattern: str, right: str, left: str, told: str) -> None:
    """A stroke into the other lane, an arch back, a line it lies on, a point for none, an arrow to somebody else."""
    score = Score(parse_any(pattern))
    drawn = [" ".join(cell.drawn or "." for cell in lane.cells) for lane in coming_lanes(score, None, 6)]
    assert drawn[:2] == [right, left]
    assert signs_told(score) == told
    assert widest_cell(score) == max(len(cell) for line in drawn for cell in line.split())


def test_the_left_hand_begins_where_it_is_to() -> None:
    assert lanes("531", None, 3, Hand.LEFT) == ["RIGHT . 3 .", "LEFT 5 . 1"]


def test_in_the_count_in_the_first_throw_comes_nearer() -> None:
    assert lanes("531", -2, 5)[0] == "RIGHT . . 5 . 1"
    assert lanes("531", Fraction(-1, 2), 5)[0] == "RIGHT . 5 . 1 ."


def test_what_stays_in_the_hand_and_an_empty_hand_are_faint() -> None:
    (right, left) = coming_lanes(Score(parse_any("42")), None, 2)
    assert [cell.faint for cell in (*right.cells, *left.cells)] == [False, True, True, True]
    (right, _) = coming_lanes(Score(parse_any("501")), None, 5)
    assert [cell.faint for cell in right.cells] == [False, True, False, True, True]


@given(
    st.sampled_from(["3", "531", "97531", "(4,4)", "(6x,4)*", "[43]23", "<3p 3|3p 3>"]),
    st.fractions(0, 1000, max_denominator=12),
    st.integers(1, 12),
)
def test_the_next_beats_lanes_are_this_ones_moved_on(pattern: str, beat: Fraction, beats: int) -> None:
    step = parse_any(pattern).beat_step
    score = Score(parse_any(pattern))
    for now, later in zip(coming_lanes(score, beat, beats + 1), coming_lanes(score, beat + step, beats), strict=True):
        assert now.cells[1:] == later.cells


def test_the_next_cue_is_the_one_whose_beat_comes_next() -> None:
    score = Score(parse_any("531"))
    cues = (Cue(1, "under the leg"), Cue(3, "clap", say="now"))
    assert next_cue(cues, score, None) == "beat 1: under the leg"
    assert next_cue(cues, score, Fraction(0)) == "beat 1: under the leg"
    assert next_cue(cues, score, Fraction(1)) == "beat 3: clap (“now”)"
    assert next_cue(cues, score, Fraction(7, 2)) == "beat 1: under the leg"
    assert next_cue((), score, Fraction(1)) == ""
