"""Setting a climb up: what the fields start with, the climb they make, and one clear message for each that is wrong."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.practice.climbs.climb import STAIRCASE, Climb, plain
from trainer.practice.climbs.form import Form, explain_climb, form_to_climb, usual_form
from trainer.practice.climbs.ladder import RungBy
from trainer.practice.guide import Aim
from trainer.records.attempt import CountedBy
from trainer.records.courses import ClimbKind, ClimbRule
from trainer.siteswap.families import parse_any
from trainer.timing.score import Score

THREE = Choice(parse_any("3"))
TEMPO = usual_form(THREE, Fraction(175))
OBJECTS = usual_form(THREE, Fraction(175), ClimbKind.OBJECTS)


def made(form: Form, choice: Choice = THREE) -> Climb:
    return form_to_climb(
        form, choice, CountedBy.BEAT, lambda text: Choice(parse_any(text)), lambda each: Score(each.pattern)
    )


@pytest.mark.parametrize(
    ("usual_bpm", "start", "target"), [(175, "150", "205"), (20, "15", "25"), (2, "1", "6"), (2000, "1700", "2000")]
)
def test_a_tempo_climb_starts_below_the_usual_tempo_and_ends_above(usual_bpm: int, start: str, target: str) -> None:
    form = usual_form(THREE, Fraction(usual_bpm))
    assert (form.start, form.target, form.step, form.goal) == (start, target, "5", "qualify")
    assert made(form).rung.aim == Aim(catches=6)


def test_what_the_fields_make() -> None:
    climb = made(replace(TEMPO, start="160", target="200", step="5%", goal="12 catches", up="3", down="1"))
    assert [climb.ladder.label(number) for number in range(3)] == ["160", "168", "176.4"]
    assert (climb.rung.aim, climb.rule, climb.ladder.rung(climb.ladder.last or 0).tempo_bpm) == (
        Aim(catches=12), plain(3, 1), 200,
    )  # fmt: skip
    assert made(replace(TEMPO, goal="10 s")).rung.aim == Aim(seconds=10)
    assert made(replace(TEMPO, target=" ")).ladder.rung(366).tempo_bpm > 1900


def test_a_staircase_has_its_own_rule_and_no_target() -> None:
    climb = made(replace(TEMPO, rule=ClimbRule.STAIRCASE, target="what?", up="0", down=""))
    assert climb.rule == STAIRCASE
    assert "70.7 %" in explain_climb(climb)


def test_an_object_climb() -> None:
    climb = made(replace(OBJECTS, rung_by=RungBy.TEMPO))
    assert [climb.ladder.label(number) for number in range(4)] == ["3", "4", "5", "6"]
    assert [climb.ladder.rung(number).tempo_bpm for number in (0, 3)] == [175, 175]
    shower = made(OBJECTS, Choice(parse_any("51")))
    assert [shower.ladder.rung(number).choice.pattern.text for number in range(4)] == ["51", "71", "91", "b1"]


@pytest.mark.parametrize(
    ("form", "message"),
    [
        (replace(TEMPO, start="quick"), "a tempo"),
        (replace(TEMPO, start=""), "a tempo"),
        (replace(TEMPO, target="100"), "not above the start"),
        (replace(TEMPO, step="0"), "no step"),
        (replace(TEMPO, goal="all"), "not a goal"),
        (replace(TEMPO, up="0"), "step up"),
        (replace(TEMPO, down="2.5"), "step down"),
        (replace(TEMPO, down="²"), "step down"),
        (replace(OBJECTS, start="0"), "first number of objects"),
        (replace(OBJECTS, target="36"), "last number of objects"),
        (replace(OBJECTS, target="3"), "goes nowhere"),
        (replace(OBJECTS, tempo="-1"), "tempo"),
        (replace(OBJECTS, goal="x"), "not a goal"),
    ],
)
def test_each_wrong_field_has_its_message(form: Form, message: str) -> None:
    with pytest.raises(TrainerError, match=message) as told:
        made(form)
    assert "\n" not in str(told.value)


def test_a_pattern_of_no_family_climbs_its_tempo_only() -> None:
    with pytest.raises(TrainerError, match="of no family"):
        made(OBJECTS, Choice(parse_any("531")))
    assert made(TEMPO, Choice(parse_any("531"))).rung.choice.pattern.text == "531"


def test_how_it_goes_is_told() -> None:
    assert explain_climb(made(replace(TEMPO, up="1", down="3"))) == (
        "Up when a try made 6 catches, down when 3 tries in a row did not. It ends when the last rung is held."
    )
    assert explain_climb(made(replace(TEMPO, target=""))).endswith("It goes on until you leave.")
    assert "made the goal" in explain_climb(made(OBJECTS))
