"""The rows of the setup screen: what a step and a typed text make of each setting, and which are refused."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from trainer.config import Settings
from trainer.files.toml import DataError
from trainer.keys.commands import why_no_pedal
from trainer.screens.setup.rows import NEXT, PREVIOUS, ROWS, SettingRow, shown_value, stepped, typed
from trainer.session.sitting import Sitting


def row_of(name: str) -> SettingRow:
    return next(row for row in ROWS if row.name == name)


STEPS = [
    # row, steps (> next, < previous), the setting afterwards, how its row then reads
    ("output", ">", "miniaudio", "miniaudio"),
    ("output", "<", "silent", "silent"),
    ("volume", ">", 0.55, "0.55"),
    ("volume", "<<", 0.4, "0.4"),
    ("kit", ">", "park", "park"),
    ("kit", "<", "headphones", "headphones"),
    ("heard", ">", "catches", "catches"),
    ("latency_ms", ">>", 5.0, "5 ms"),  # the output is 0 ms late, so the steps begin there
    ("latency_ms", "><", None, "0 ms, not set by you"),
    ("reaction_s", ">", 0.35, "0.35 s"),
    ("dwell", ">", Fraction(7, 10), "7/10"),  # from 2/3 to the next whole step
    ("dwell", "<", Fraction(13, 20), "13/20"),
    ("count_in_beats", "<<<<", 0, "0 beats"),
    ("counted_by", ">>", "hand", "hand"),
    ("taps_count", ">", "right", "right"),
    ("rest_s", ">", 2.5, "2.5 s"),
    ("ceiling_m", ">>", 1.6, "1.6 m"),
    ("start_hand", ">", "L", "left"),
    ("active_twos", ">", True, "yes"),
    ("animate", ">", True, "yes"),  # the sitting of the tests begins with a still screen
]


@pytest.mark.parametrize(("name", "steps", "value", "reads"), STEPS)
def test_steps(sitting: Sitting, name: str, steps: str, value: object, reads: str) -> None:
    row = row_of(name)
    for step in steps:
        after = stepped(row, sitting, NEXT if step == ">" else PREVIOUS)
        sitting.settings = replace(sitting.settings, **{name: after})
    assert getattr(sitting.settings, name) == value
    assert shown_value(row, sitting) == reads


AT_THE_END = [("volume", 1.0, NEXT), ("count_in_beats", 0, PREVIOUS), ("dwell", Fraction(19, 20), NEXT)]


@pytest.mark.parametrize(("name", "value", "direction"), AT_THE_END)
def test_a_step_out_of_bounds_is_refused(sitting: Sitting, name: str, value: Any, direction: int) -> None:
    sitting.settings = replace(sitting.settings, **{name: value})
    with pytest.raises(DataError, match="out of range"):
        stepped(row_of(name), sitting, direction)


def test_a_kit_that_is_gone_steps_to_the_first_one_there_is(sitting: Sitting) -> None:
    sitting.settings = replace(sitting.settings, kit="sold")
    assert stepped(row_of("kit"), sitting, NEXT) == sitting.kits[0].name
    assert stepped(row_of("kit"), sitting, PREVIOUS) == sitting.kits[-1].name


TYPED = [
    # row, what is typed, the setting afterwards
    ("volume", "0.2", 0.2),
    ("volume", "0,2", 0.2),  # a comma for a point
    ("latency_ms", "120", 120.0),
    ("dwell", "3/5", Fraction(3, 5)),
    ("dwell", "0.6", Fraction(3, 5)),
    ("count_in_beats", "8", 8),
    ("prop", "q-clubs", "q-clubs"),
    ("juggler", "Ada from Nowhere", "Ada from Nowhere"),
    ("ceiling_m", "2.4", 2.4),
]


@pytest.mark.parametrize(("name", "text", "value"), TYPED)
def test_typed(sitting: Sitting, name: str, text: str, value: object) -> None:
    assert typed(row_of(name), text, sitting) == value


REFUSED = [
    # row, what is typed, a word of the sentence that refuses it
    ("volume", "2", "out of range"),
    ("volume", "loud", "not a number"),
    ("volume", "nan", "finite"),
    ("volume", "1e999", "finite"),
    ("volume", "", "not a number"),
    ("dwell", "1", "out of range"),
    ("dwell", "2/0", "not a number"),
    ("count_in_beats", "1.5", "whole number"),
    ("count_in_beats", "9" * 100, "out of range"),
    ("latency_ms", "-1", "out of range"),
    ("prop", "   ", "empty"),
    ("prop", "x" * 61, "61 characters"),
]


@pytest.mark.parametrize(("name", "text", "says"), REFUSED)
def test_a_wrong_text_is_refused(sitting: Sitting, name: str, text: str, says: str) -> None:
    with pytest.raises(DataError) as refusal:
        typed(row_of(name), text, sitting)
    assert says in refusal.value.message


@pytest.mark.parametrize("name", ["latency_ms", "ceiling_m", "juggler"])
def test_an_empty_text_leaves_out_what_may_be(sitting: Sitting, name: str) -> None:
    assert typed(row_of(name), "  ", sitting) is None


NO_PEDAL = [
    # which, the key, what the sentence says
    ("pedal", "q", "it leaves the trainer"),
    ("pedal", "ctrl+j", "terminals send it as enter"),
    ("pedal", "f1", "“help” in practice."),  # it always is, so no advice to move it
    ("pedal", "up", "“faster” in practice. Put that on another key first."),
    ("end_pedal", "space", "is the pedal already"),
    ("pedal", "f12", "“faster”"),  # the user's own key for it, see below
]


@pytest.mark.parametrize(("which", "key", "says"), NO_PEDAL)
def test_keys_that_cannot_be_a_pedal(which: str, key: str, says: str) -> None:
    settings = replace(Settings(), keys={"faster": "f12"} if key == "f12" else {})
    assert says in why_no_pedal(which, key, settings)


@pytest.mark.parametrize("key", ["space", "b", "pagedown", "f13", "enter", "tab", "ü"])
def test_keys_that_can(key: str) -> None:
    assert why_no_pedal("pedal", key, Settings()) == ""


def test_a_key_whose_command_was_moved_can_be_the_pedal() -> None:
    assert why_no_pedal("pedal", "up", replace(Settings(), keys={"faster": "f12"})) == ""
