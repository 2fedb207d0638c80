"""Ladders: the rungs there are, their tempos, heights and throws, and what is refused."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from trainer.config import Settings
from trainer.errors import TrainerError
from trainer.files.places import bundled
from trainer.library.catalogue import Choice, Library
from trainer.library.reading import read_library
from trainer.practice.climbs.ladder import (
    MOST_RUNGS,
    PLAIN,
    RungBy,
    TempoLadder,
    TempoStep,
    family_of,
    members,
    object_ladder,
    text_to_step,
)
from trainer.practice.demands import Demands, rung_demands
from trainer.practice.guide import Aim, goal_to_aim
from trainer.siteswap.families import parse_any
from trainer.timing.counting import Goals, throws_per_hand
from trainer.timing.score import Score

SIX = Aim(catches=6)
THREE = Choice(parse_any("3"))


def to_score(choice: Choice) -> Score:
    return Score(choice.pattern)


def to_choice(text: str) -> Choice:
    return Choice(parse_any(text))


@pytest.fixture(scope="module")
def library() -> Library:
    return read_library((Path(bundled("patterns")),))


# -- tempo ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "shown"), [("5", "5"), (" 2.5 ", "2.5"), ("3%", "3%"), ("1,5 %", "1.5%")])
def test_a_step_as_typed(text: str, shown: str) -> None:
    assert str(text_to_step(text)) == shown


@pytest.mark.parametrize("text", ["", "0", "0%", "-5", "five", "501", "51%", "1e3", "5 bpm"])
def test_what_is_no_step(text: str) -> None:
    with pytest.raises(TrainerError, match="no step of a climb"):
        text_to_step(text)


def test_rungs_of_a_tempo_climb() -> None:
    ladder = TempoLadder(THREE, Fraction(150), TempoStep(Fraction(20)), SIX, Fraction(200))
    assert ladder.last == 3
    assert [ladder.label(number) for number in range(-2, 4)] == ["110", "130", "150", "170", "190", "200"]
    assert ladder.rung(ladder.first).tempo_bpm == 50  # 150 / 4 = 37.5, and 30 would be below
    share = TempoLadder(THREE, Fraction(200), text_to_step("5%"), SIX)
    assert [share.label(number) for number in (-1, 0, 1, 2)] == ["190.5", "200", "210", "220.5"]
    assert share.last is not None
    assert share.rung(share.last).tempo_bpm == 2000


@pytest.mark.parametrize(("start", "step"), [(300, "0.1"), (280, "0.5"), (500, "0.2%")])
def test_fine_steps_go_down_so_many_rungs_and_no_further(start: int, step: str) -> None:
    """A quarter of the start lies further down than there are rungs."""
    ladder = TempoLadder(THREE, Fraction(start), text_to_step(step), SIX)
    assert ladder.first == -MOST_RUNGS
    assert ladder.rung(ladder.first).tempo_bpm > start / 4


def test_a_target_below_the_start_or_out_of_reach_is_refused() -> None:
    with pytest.raises(TrainerError, match="not above the start"):
        TempoLadder(THREE, Fraction(150), TempoStep(Fraction(5)), SIX, Fraction(150))
    with pytest.raises(TrainerError, match="rungs"):
        TempoLadder(THREE, Fraction(150), TempoStep(Fraction(1, 10)), SIX, Fraction(400))
    with pytest.raises(TrainerError, match="2000"):
        TempoLadder(THREE, Fraction(3000), TempoStep(Fraction(5)), SIX)


# -- objects --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "family"),
    [
        ("3", PLAIN), ("4", PLAIN), ("51", "shower"), ("(4x,2x)", "sync shower"), ("53", "half shower"),
        ("(4,4)", "columns"), ("(4,2x)*", "box"), ("531", None), ("3 mess", None), ("[43]23", None),
        ("<3p 3|3p 3>", None), ("[zz]", None),
    ],
)  # fmt: skip
def test_the_family_of_a_pattern(text: str, family: str | None) -> None:
    assert family_of(to_choice(text)) == family


def test_what_is_bounced_or_carried_is_of_no_family(library: Library) -> None:
    carried = [entry for entry in library.entries if not entry.is_plain]
    assert carried
    assert {family_of(Choice(entry.pattern, entry)) for entry in carried} == {None}


@pytest.mark.parametrize(
    ("family", "fewest", "most", "texts"),
    [
        # cascades odd, fountains even, showers of any number (common practice); a box takes an odd number
        ("cascade", 3, 9, ["3", "5", "7", "9"]),
        ("fountain", 3, 8, ["4", "6", "8"]),
        (PLAIN, 3, 6, ["3", "4", "5", "6"]),
        ("shower", 2, 5, ["31", "51", "71", "91"]),
        ("half shower", 3, 6, ["3", "53", "73", "75"]),
        ("box", 2, 5, ["(4,2x)*", "(8,2x)*"]),
        ("sync shower", 1, 4, ["(2x,2x)", "(4x,2x)", "(6x,2x)"]),
        ("shower", 17, 30, ["x1", "z1"]),
        ("cascade", 4, 4, []),
    ],
)
def test_only_those_there_are(family: str, fewest: int, most: int, texts: list[str]) -> None:
    assert [choice.pattern for choice in members(family, fewest, most, to_choice)] == [
        parse_any(text) for text in texts
    ]


def test_the_library_names_the_rungs(library: Library) -> None:
    names = [choice.entry.title for choice in members("cascade", 3, 7, library.to_choice) if choice.entry]
    assert len(names) == 3


def test_tempos_of_an_object_climb() -> None:
    patterns = members(PLAIN, 3, 7, to_choice)

    def tempos(rung_by: RungBy) -> list[int]:
        ladder = object_ladder(patterns, Fraction(180), rung_by, "qualify", to_score)
        return [int(rung.tempo_bpm) for rung in ladder.rungs]

    assert tempos(RungBy.TEMPO) == tempos(RungBy.HAND) == [180] * 5  # every hand throws every second beat
    # F = n − 4/3 beats in the air (model): as high is as long, so 5 goes (11/3) / (5/3) = 2.2 times as fast as 3
    assert tempos(RungBy.HEIGHT) == [180, 288, 396, 504, 612]
    heights = [
        rung_demands(to_score(rung.choice), rung.tempo_bpm).height_m
        for rung in object_ladder(patterns, Fraction(180), RungBy.HEIGHT, "flash", to_score).rungs
    ]
    assert heights == pytest.approx([heights[0]] * 5)


def test_hands_that_throw_less_often_are_given_a_quicker_tempo() -> None:
    # columns of 3: (4,4)(4,0), the right hand throws both times, the left once; of 2 there are none
    assert throws_per_hand(Score(parse_any("(4,4)(4,0)"))) == Fraction(1, 2)
    assert throws_per_hand(Score(parse_any("(4,2x)*"))) == Fraction(1, 2)
    assert throws_per_hand(Score(parse_any("42"))) == Fraction(1, 2)  # one hand all throws, the other holds
    assert throws_per_hand(Score(parse_any("411"))) == Fraction(1, 2)
    assert throws_per_hand(Score(parse_any("330"))) == Fraction(1, 3)
    slow, quick = to_choice("3"), to_choice("330")
    ladder = object_ladder((slow, quick), Fraction(180), RungBy.HAND, "flash", to_score)
    assert [int(rung.tempo_bpm) for rung in ladder.rungs] == [180, 270]


def test_each_rung_aims_at_its_own_goal() -> None:
    ladder = object_ladder(members("cascade", 3, 7, to_choice), Fraction(180), RungBy.TEMPO, "qualify", to_score)
    assert [rung.aim for rung in ladder.rungs] == [Aim(catches=6), Aim(catches=10), Aim(catches=14)]
    assert [ladder.label(number) for number in range(3)] == ["3", "5", "7"]
    assert (ladder.first, ladder.last) == (0, 2)


def test_a_family_without_rungs_is_refused() -> None:
    with pytest.raises(TrainerError, match="no rung"):
        object_ladder(members("cascade", 4, 4, to_choice), Fraction(180), RungBy.TEMPO, "flash", to_score)


# -- what a rung asks -----------------------------------------------------------------------------------------


def test_height_and_throws_of_a_rung() -> None:
    figures = rung_demands(Score(parse_any("3")), Fraction(120))
    # F = 5/3 beats = 0.8333 s, h = g F² / 8 = 0.851 m; each hand throws every second beat: 1 a second
    assert figures.height_m == pytest.approx(0.851, abs=0.001)
    assert figures.throws_per_s == pytest.approx(1.0)


def test_warnings_only_past_the_limits_that_are_set() -> None:
    figures = Demands(2.0, 3.0)
    assert figures.passed(Settings()) == figures.passed(Settings(ceiling_m=2.0, throws_per_s=3.0)) == {}
    assert figures.passed(Settings(ceiling_m=1.9)) == {"ceiling": "above your ceiling of 1.9 m"}
    assert figures.passed(Settings(ceiling_m=1.9, throws_per_s=2.5)) == {
        "ceiling": "above your ceiling of 1.9 m", "throws/s": "above your 2.5 throws/s a hand",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("goal", "aim"),
    [
        ("flash", Aim(catches=3)), ("Qualify ", Aim(catches=6)), ("12", Aim(catches=12)),
        ("12 catches", Aim(catches=12)), ("10 s", Aim(seconds=10)), ("10s", Aim(seconds=10)),
    ],
)  # fmt: skip
def test_a_goal_as_written(goal: str, aim: Aim) -> None:
    assert goal_to_aim(goal, Goals(1, 3, 6)) == aim


def test_where_nothing_is_caught_there_is_no_flash_to_aim_at() -> None:
    with pytest.raises(TrainerError, match="nothing to catch"):
        goal_to_aim("flash", Goals(0, 0, 0))


@pytest.mark.parametrize("goal", ["", "0", "0 s", "-3", "all", "3 m", "flashes", "9999999"])
def test_what_is_no_goal(goal: str) -> None:
    with pytest.raises(TrainerError, match="was not a goal"):
        goal_to_aim(goal, Goals(1, 3, 6))
