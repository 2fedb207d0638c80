"""Progress in words, as lines and as a picture: worked out by hand, read back by other readers."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest

from trainer.progress import wording
from trainer.progress.figure import FigureProgress, progress
from trainer.progress.learning import Curve
from trainer.progress.lines import calendar_lines, day_lines, tempo_lines
from trainer.progress.picture import picture
from trainer.progress.ticks import ticks
from trainer.records.attempt import CountedBy
from trainer.records.totals import Figure, Tally, Total

FIGURE = Figure("3 mess", "Mills Mess", "balls", CountedBy.BEAT, "Ona")
TODAY = date(2026, 3, 4)  # a Wednesday
SVG = "{http://www.w3.org/2000/svg}"


def grown(figure: Figure = FIGURE, days: int = 30) -> FigureProgress:
    """A made-up figure whose catches grow with the square root of practice, a little up and down."""
    tallies = []
    for number in range(days):
        caught = round(10 * 4 * (10 * number + 5) ** 0.5 * (0.8, 1.2, 1.0)[number % 3])
        day = TODAY - timedelta(days=days - 1 - number)
        tallies.append(Tally(figure, day, Total(10, 9, 5, caught, caught // 4, 60.0, drops=10)))
    return progress(figure, tallies, {Fraction(170): Total(100, 90, 45, 999, 40), Fraction(181): Total(1, 0, 0, 2, 2)})


@pytest.mark.parametrize(
    ("low", "high", "most", "expected"),
    [
        (0, 100, 6, (0, 20, 40, 60, 80, 100)),
        (0, 100, 5, (0, 50, 100)),
        (0, 0.7, 4, (0, 0.5)),
        (176, 204.5, 4, (180, 190, 200)),
        (-3, 3, 4, (-2, 0, 2)),
        (0, 31, 2, (0,)),
        (5, 5, 4, (5,)),
    ],
)
def test_ticks_are_round_and_no_more_than_there_is_room_for(
    low: float, high: float, most: int, expected: tuple[float, ...]
) -> None:
    assert ticks(low, high, most) == pytest.approx(expected)


def test_what_is_said_of_a_figure() -> None:
    found = grown()
    assert wording.heading(FIGURE) == "Mills Mess (3 mess) · balls · counted by the beat · Ona"
    assert wording.heading(replace(FIGURE, name=None, juggler=None)) == "3 mess · balls · counted by the beat"
    said = dict(wording.lines(found))
    assert said["rests on"] == "balls, counted by the beat"
    assert said["flash"] == "90 % (86 to 93 %) of 300 tries"  # Wilson's interval of 270 in 300: 0.861 to 0.929
    assert said["practice"] == "30 days since 2026-02-03"
    assert isinstance(found.curve, Curve)
    grows, ahead = wording.curve(found.curve)
    assert grows.startswith("Catches grow with practice to the power 0.5")
    assert ahead.startswith("After 150 tries more, if it goes on like this: ")


def test_lines_by_tempo() -> None:
    """45 in 100 is 0.356 to 0.548 by Wilson, 0 in 1 is 0 to 0.793."""
    assert tempo_lines(grown().tempos, 47) == [
        "tempo                qualify       tries  best",
        "170–179  ████░░░░░░  45 % (36–55)    100    40",
        "180–189  ░░░░░░░░░░  0 % (0–79)        1     2",
    ]
    assert all(len(line) <= 40 for line in tempo_lines(grown().tempos, 40))


def test_the_calendar_needs_no_colour() -> None:
    days = {TODAY - timedelta(days=back): Total(tries) for back, tries in ((0, 5), (1, 40), (3, 10), (9, 20))}
    assert calendar_lines(days, TODAY, 9) == [
        "       Mar",
        "Mon  ▓ ·",
        "Tue  · █",
        "Wed  · ░",
        "Thu  ·",
        "Fri  ·",
        "Sat  ·",
        "Sun  ▒",
        "· none; ░ ▒ ▓ █ more and more tries",
    ]


def test_the_last_days() -> None:
    days = {TODAY: Total(1, catches=7, best=7), TODAY - timedelta(days=2): Total(12, catches=240, best=60)}
    assert day_lines(days, 5) == [
        "2026-03-04   1 try    mean  7.0  best 7",
        "2026-03-02  12 tries  mean   20  best 60",
    ]


def texts(svg: str) -> str:
    return "\n".join(element.text or "" for element in ET.fromstring(svg).iter(f"{SVG}text"))


def test_a_picture_is_sound_svg_and_tells_what_it_rests_on() -> None:
    found = grown()
    svg = picture(found, TODAY)
    root = ET.fromstring(svg)
    assert len(list(root.iter(f"{SVG}circle"))) == len(found.curve.stretches)
    dashed = [path for path in root.iter(f"{SVG}path") if path.get("stroke-dasharray")]
    assert len(dashed) == 1
    said = texts(svg)
    for part in ("Mills Mess", "3 mess · balls · counted by the beat · Ona", "made with throwbeat", "300", "90 %"):
        assert part in said
    assert "http" not in svg.replace("http://www.w3.org/2000/svg", "")  # nothing from elsewhere


def test_tries_are_numbered_in_whole_ones_however_few() -> None:
    few = progress(FIGURE, [Tally(FIGURE, TODAY, Total(3, 2, 2, 13, 6, 9.0, 3))], {})
    along = [element for element in ET.fromstring(picture(few, TODAY)).iter(f"{SVG}text")
             if element.get("text-anchor") == "middle" and (element.text or "").isdigit()]  # fmt: skip
    assert [element.text for element in along] == ["0", "1", "2", "3"]


def test_a_picture_without_a_curve_says_why() -> None:
    svg = picture(grown(days=3), TODAY)
    assert "No curve and no forecast, because there were too few days" in texts(svg).replace("\n", " ")
    assert "stroke-dasharray" not in svg


@pytest.mark.parametrize("name", ["<b>&\"'", "ひかり نور", "a\x00\x1b[31m\u202e\n", "x" * 500])
def test_any_name_gives_sound_svg(name: str) -> None:
    figure = replace(FIGURE, name=name, prop=name, juggler=name)
    assert ET.fromstring(picture(grown(figure, 3), TODAY)) is not None
