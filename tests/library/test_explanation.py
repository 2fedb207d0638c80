"""The explanation: its figures against the model's formulas reckoned here, its page within a screen."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from itertools import pairwise, product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bundled import LIBRARY
from tests.each import each
from trainer.config import Settings
from trainer.library.catalogue import Choice
from trainer.library.chosen import choose
from trainer.library.entries import Entry
from trainer.library.explanation import Explanation, start_hands, to_json
from trainer.library.page import to_lines
from trainer.siteswap.families import parse_any
from trainer.siteswap.throws import Hand
from trainer.timing.score import Score

PROMISED = {"pattern", "kind", "objects", "period", "highest", "round", "ground", "prime", "flash", "qualify", "tempo",
            "dwell", "throws", "all_up"}  # fmt: skip
PROMISED_OF_A_THROW = {"beat", "hand", "juggler", "value", "crosses", "to_hand", "held", "flight_s", "dwell_s",
                       "apex_m"}  # fmt: skip
PATTERNS = (
    "3", "4", "5", "1", "2", "0", "531", "441", "423", "51", "42", "501", "97531", "7531", "b97531", "744", "645",
    "40", "50505", "3 mess", "3 reverse", "5 cascade", "4 fountain", "3 shower", "(4,4)", "(4x,2x)", "(6x,4)*",
    "(4,2x)*", "([44],2)", "[43]23", "[54]24", "[33]", "24[54]", "<3p 3|3p 3>", "<4p 3|3 4p>", "<3p2 3|3p3 3|3p1 3>",
    "db97531", "zzz", "123456789", "9" * 30, "[zz]",
)  # fmt: skip
GRAVITY_M_S2 = 9.80665


def explained(pattern: str, tempo_bpm: int = 200, dwell: Fraction = Fraction(2, 3)) -> Explanation:
    return Explanation(choose(Choice(parse_any(pattern)), Settings(), Fraction(tempo_bpm), dwell), 0.8)


# -- figures --------------------------------------------------------------------------------------------------


@each(PATTERNS)
def test_all_that_is_promised_is_there_and_can_be_written_as_json(pattern: str) -> None:
    figures = to_json(explained(pattern))
    assert figures.keys() >= PROMISED
    for throw in figures["throws"]:
        assert throw.keys() >= PROMISED_OF_A_THROW
        assert throw["hand"] in ("R", "L")
        assert throw["to_hand"] in ("R", "L")
    for window in figures["all_up"]:
        assert window.keys() >= {"start_beat", "beats", "seconds"}
    assert json.loads(json.dumps(figures, allow_nan=False)) == figures


@pytest.mark.parametrize(
    ("pattern", "figures"),
    [
        # common practice for flash and qualify; objects are the average (Buhler et al. 1994)
        ("3", {"kind": "async", "objects": 3, "period": 1, "highest": 3, "round": 1, "flash": 3, "qualify": 6,
               "ground": True, "prime": True}),
        ("4", {"kind": "async", "objects": 4, "flash": 4, "qualify": 8, "ground": True}),
        ("3 mess", {"objects": 3, "period": 1, "round": 6, "flash": 6, "qualify": 12}),
        ("531", {"objects": 3, "period": 3, "highest": 5, "flash": 3, "qualify": 6, "ground": True, "prime": True}),
        # 51 throws from the state in which an object is due on beats 0, 2 and 4: not the ground state 0, 1, 2
        ("51", {"objects": 3, "period": 2, "highest": 5, "ground": False, "prime": True}),
        ("(4,4)", {"kind": "sync", "objects": 4, "period": 2, "flash": 4, "qualify": 8}),
        ("<3p 3|3p 3>", {"kind": "passing", "objects": 6, "period": 2}),
        ("[43]23", {"kind": "async", "objects": 4, "period": 3, "highest": 4}),
    ],
)  # fmt: skip
def test_the_figures_of_known_patterns(pattern: str, figures: dict[str, object]) -> None:
    found = to_json(explained(pattern))
    assert {name: found[name] for name in figures} == figures


def test_the_throws_of_531_are_those_written() -> None:
    throws = to_json(explained("531"))["throws"]
    rows = [(each["beat"], each["hand"], each["value"], each["crosses"], each["to_hand"]) for each in throws]
    assert rows == [(0, "R", 5, True, "L"), (1, "L", 3, True, "R"), (2, "R", 1, True, "L")]


def test_the_throws_of_a_shower_with_both_hands_are_those_written() -> None:
    throws = to_json(explained("(4x,2x)"))["throws"]
    rows = [(each["beat"], each["hand"], each["value"], each["crosses"], each["to_hand"]) for each in throws]
    assert rows == [(0, "R", 4, True, "L"), (0, "L", 2, True, "R")]


def test_passed_throws_tell_juggler_and_receiver_counted_from_one() -> None:
    throws = to_json(explained("<3p 3|3p 3>"))["throws"]
    rows = sorted((each["juggler"], each["beat"], each["to_juggler"]) for each in throws)
    assert rows == [(1, 0, 2), (1, 1, 1), (2, 0, 1), (2, 1, 2)]


@given(
    st.sampled_from(PATTERNS),
    st.integers(30, 600),
    st.fractions(Fraction(1, 20), Fraction(19, 20), max_denominator=40),
)
def test_flight_dwell_and_height_are_the_formulas(pattern: str, tempo_bpm: int, dwell: Fraction) -> None:
    figures = to_json(explained(pattern, tempo_bpm, dwell))
    beat_s = 60 / tempo_bpm
    for throw in figures["throws"]:
        value = throw["value"]
        thrown = value > 0 and not throw["held"]
        flight_s = float(value - dwell * min(value, 2)) * beat_s if thrown else 0  # F(n) = n − r · min(n, 2): Shannon
        assert throw["flight_s"] == pytest.approx(flight_s)
        assert throw["flight_s"] + throw["dwell_s"] == pytest.approx(value * beat_s)
        assert throw["apex_m"] == pytest.approx(GRAVITY_M_S2 * flight_s**2 / 8)  # h = g F² / 8
        assert throw["held"] is (value == 2 and not throw["crosses"])
    assert figures["tempo"] == tempo_bpm
    assert figures["dwell"] == pytest.approx(float(dwell))
    assert figures["objects"] * figures["period"] == sum(throw["value"] for throw in figures["throws"])


@pytest.mark.parametrize("dwell", [Fraction(1, 4), Fraction(1, 2), Fraction(2, 3)])
@pytest.mark.parametrize("pattern", ["3", "531", "501", "5", "50505", "(4,4)", "(6x,4)*", "[43]23", "42", "1", "97531"])
def test_all_hands_are_empty_in_the_windows_and_nowhere_else(pattern: str, dwell: Fraction) -> None:
    shown = explained(pattern, 60, dwell)
    figures = to_json(shown)
    period = figures["period"]
    held = []
    for throw in figures["throws"]:
        if throw["value"]:
            # in the hand from its catch to when it is thrown again, `value` beats after it left: the model
            flight = Fraction(0) if throw["held"] else throw["value"] - dwell * min(throw["value"], 2)
            held.append((throw["beat"] + flight, Fraction(throw["beat"] + throw["value"])))
    for sixtieth in range(0, 60 * period, 7):
        beat = Fraction(sixtieth, 60) + Fraction(1, 1000)
        rounds = range(40)  # earlier periods, whose throws may still be in a hand
        in_hand = any(start <= beat + turn * period < stop for start, stop in held for turn in rounds)
        in_window = any(
            window["start_beat"] <= float(beat) + turn * period < window["start_beat"] + window["beats"]
            for window in figures["all_up"]
            for turn in (0, 1)
        )
        assert in_window is not in_hand, (pattern, float(beat))
    for window in figures["all_up"]:
        assert window["seconds"] == pytest.approx(window["beats"])  # at 60 beats a minute


@pytest.mark.parametrize(
    ("pattern", "right", "left"),
    # common practice: the hand that throws first begins with one more; of a shower the throwing hand with all but one
    [("3", 2, 1), ("4", 2, 2), ("5", 3, 2), ("7", 4, 3), ("531", 2, 1), ("(4,4)", 2, 2), ("1", 1, 0), ("2", 1, 1)],
)
def test_how_many_each_hand_holds_to_begin(pattern: str, right: int, left: int) -> None:
    held = start_hands(Score(parse_any(pattern)))
    assert (held.get((0, Hand.RIGHT), 0), held.get((0, Hand.LEFT), 0)) == (right, left)
    other = start_hands(Score(parse_any(pattern), start_hand=Hand.LEFT))
    assert (other.get((0, Hand.LEFT), 0), other.get((0, Hand.RIGHT), 0)) == (right, left)


@each(PATTERNS)
def test_the_hands_hold_all_objects_to_begin(pattern: str) -> None:
    assert sum(start_hands(Score(parse_any(pattern))).values()) == parse_any(pattern).objects


# -- the page -------------------------------------------------------------------------------------------------


@each(PATTERNS)
def test_the_page_fits_a_screen(pattern: str) -> None:
    lines = to_lines(explained(pattern))
    assert len(lines) <= 24
    assert max(map(len, lines)) <= 80
    assert not [line for line in lines if line != line.rstrip()]


def test_the_page_of_each_pattern_in_the_library_fits_a_screen() -> None:
    for entry in LIBRARY.entries:
        lines = to_lines(Explanation(choose(Choice(entry.pattern, entry), Settings(), Fraction(200)), 0.8))
        assert len(lines) <= 24, entry.title
        assert max(map(len, lines)) <= 80, entry.title


@each(product(PATTERNS, [30, 31, 40, 46, 59, 79]))
def test_no_line_is_wider_than_the_page(pattern: str, width: int) -> None:
    assert max(map(len, to_lines(explained(pattern), width))) <= width


@settings(max_examples=60)
@given(st.sampled_from(PATTERNS), st.integers(30, 80), st.integers(1, 2000))
def test_no_line_is_wider_at_any_tempo_and_no_number_is_parted_from_its_unit(
    pattern: str, width: int, tempo_bpm: int
) -> None:
    lines = to_lines(explained(pattern, tempo_bpm), width)
    assert max(map(len, lines)) <= width
    for line, following in pairwise(lines):
        assert not (line[-1:].isdigit() and re.match(r" *(m|cm|s)\b", following)), (line, following)


def test_the_page_says_what_a_learner_asks() -> None:
    """You should see: whether it works, the drawing, each throw's height and time, how to begin, both goals."""
    tower = Entry(("tower",), parse_any("531"), "In turn.", (), 1.0, "siteswap", (), "", "", None, Path("mine.toml"))
    chosen = choose(Choice(tower.pattern, tower), Settings(), Fraction(200))
    page = " ".join(" ".join(to_lines(Explanation(chosen, 0.8))).split())
    for told in (
        "531 · tower", "It works", "3 objects", "At 200 beats a minute", "5 to the other hand", "m up", "s in the air",
        "handed quickly across", "How to begin: hold 2 in the right hand, 1 in the left", "The right hand throws first",
        "Flash: 3 catches", "Qualify: 6 catches",
    ):  # fmt: skip
        assert told in page


@pytest.mark.parametrize(
    ("pattern", "rows"),
    [
        ("531", ["beat 1 2 3 4 5 6", "right 5 · 1 · 3 ·", "left · 3 · 5 · 1"]),
        ("4", ["beat 1 2", "right 4 ·", "left · 4"]),
        ("(4x,2x)", ["beat 1 2", "right 4x ·", "left 2x ·"]),
        ("[43]23", ["beat 1 2 3 4 5 6", "right [43] · 3 · 2 ·", "left · 2 · [43] · 3"]),
    ],
)
def test_the_drawing_of_a_round(pattern: str, rows: list[str]) -> None:
    """You should see a row for each hand and a column for each beat, the mirrored second half too."""
    lines = [" ".join(line.split()) for line in to_lines(explained(pattern))]
    start = next(index for index, line in enumerate(lines) if line.startswith("beat 1"))
    assert lines[start : start + 3] == rows


def test_empty_hands_and_patterns_without_catches_say_so() -> None:
    nothing = " ".join(to_lines(explained("0")))
    assert "both hands are empty" in nothing
    assert "How hard" not in nothing
    held = " ".join(to_lines(explained("2")))
    assert "stays in the hand" in held
    assert "no object leaves a hand" in held
