"""The practice screen as it is seen: nothing cut, the count as large as can be, the far view, pictures."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.screens.mouse import click
from tests.screens.picture import assert_as_pictured
from tests.screens.practising import FIRST_BEAT_S, TEMPO_BPM, Press, practising
from trainer.practice.run import RunState
from trainer.records.attempt import CountedBy
from trainer.screens.parts.large import BigNumber, BigWord
from trainer.session.sitting import Sitting

# -- what is seen ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "pattern"),
    [
        ((80, 24), "3"),
        ((80, 24), "<3p 3|3p 3>"),
        ((80, 24), "123456789"),
        ((60, 20), "(4x,2x)"),
        ((60, 20), "<3p 3|3p 3>"),
        ((60, 20), "123456789"),
        ((120, 40), "531"),
    ],
)
async def test_nothing_that_matters_is_cut(sitting: Sitting, press: Press, size: tuple[int, int], pattern: str) -> None:
    async with practising(sitting, press, pattern, size) as hall:
        rows = hall.text.splitlines()
        assert len(rows) <= size[1]
        assert max(map(len, rows)) <= size[0]
        for text in (
            "READY   press SPACE to start",
            "q leave",
            "? help",
            "240 beats/min",
            "dwell 0.67",
            "flash",
            "qualify",
        ):
            assert text in hall.text, text
        goals = hall.screen.session.chosen.goals
        assert f"0/{goals.flash}" in hall.text
        assert f"0/{goals.qualify}" in hall.text
        for label in ("RIGHT", "LEFT") if hall.screen.choice.pattern.jugglers == 1 else ("1 R", "1 L", "2 R", "2 L"):
            assert label in hall.text
        await hall.run(1.0, 6.0)
        assert "ready again" in hall.text
        assert " drop" in hall.text, "this session's tries"


@pytest.mark.parametrize(("size", "rows"), [((80, 24), 7), ((60, 20), 4), ((120, 40), 15)])
async def test_the_count_is_as_large_as_its_room(
    sitting: Sitting, press: Press, size: tuple[int, int], rows: int
) -> None:
    async with practising(sitting, press, "3", size) as hall:
        left = [line[: size[0] - 37] for line in hall.text.splitlines()[4:]]
        assert sum("█" in line or "▀" in line for line in left if "RIGHT" not in line and "LEFT" not in line) >= rows


# -- the far view ---------------------------------------------------------------------------------------------

SCREEN_MM = 180
"""How high the picture of a 13-inch laptop is, near enough."""

LETTER_MM = 4000 * math.tan(math.radians(5 / 60))
"""What an eye of normal sight can just read at 4 m: a letter of 5 minutes of arc (ISO 8596, Snellen's letters)."""

EASILY = 3
"""Three times that is read at a glance, and with less than normal sight (common practice)."""


def drawn_rows(widget: BigNumber) -> int:
    """How many rows high the shapes in a widget are."""
    return sum(bool(widget.render_line(y).text.strip()) for y in range(widget.size.height))


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 60), (250, 70)])
async def test_the_far_view_can_be_read_from_four_metres(sitting: Sitting, press: Press, size: tuple[int, int]) -> None:
    async with practising(sitting, press, "531", size) as hall:
        await hall.pilot.press("f")
        count, word = hall.screen.query_one("#count", BigNumber), hall.screen.query_one("#word", BigWord)
        for text in ("READY", "COUNT-IN", "QUALIFY", "COLLECTED"):
            word.show(text, "plain")
            assert drawn_rows(word) / size[1] * SCREEN_MM >= EASILY * LETTER_MM, text
        for text in ("0", "28", "128", "1280"):
            count.show(text, "plain")
            assert drawn_rows(count) / size[1] * SCREEN_MM >= 2 * EASILY * LETTER_MM, text
        for text in ("press SPACE to start", "0/3", "0/6", "q leave", "? help", "f far"):
            assert text in hall.text, text
        assert len(hall.text.splitlines()) <= size[1]


async def test_the_far_view_tells_the_state_and_each_goal_and_the_pedal_works(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press, "531") as hall:
        await hall.press("f", 0.5)
        word = hall.screen.query_one("#word", BigWord)
        seen = [word.text]
        await hall.press("space", 1.0)
        count = hall.screen.query_one("#count", BigNumber)
        assert count.text == "4"
        for second in range(100):
            hall.pass_time(1.0 + second / 20)
            if word.text != seen[-1]:
                seen.append(word.text)
        await hall.press("up", 6.0)
        await hall.press("space", 6.1)
        await hall.to(7.0)
        assert [*seen, word.text] == ["READY", "COUNT-IN", "GO", "FLASH", "QUALIFY", "DROP"]
        assert hall.screen.session.chosen.tempo_bpm == TEMPO_BPM + 5
        assert count.text == str(sitting.tries.attempts[0].catches)
        hall.pass_time(10.5)  # the rest is over
        await click(hall.pilot, "#word", 1, 10.5, 10.6)
        assert hall.state is RunState.COUNT_IN
        assert "beats/min" not in hall.text
        await hall.press("f", 10.7)
        assert "beats/min" in hall.text


async def test_the_far_view_shows_the_count_being_typed(sitting: Sitting, press: Press) -> None:
    sitting.settings = replace(sitting.settings, counted_by=CountedBy.HAND)
    async with practising(sitting, press) as hall:
        await hall.press("f", 0.5)
        await hall.run(1.0, 5.0)
        await hall.press("1", 6.0)
        await hall.press("7", 6.1)
        await hall.to(6.2)
        assert hall.screen.query_one("#word", BigWord).text == "TYPE"
        assert hall.screen.query_one("#count", BigNumber).text == "17"


async def test_picture_far(sitting: Sitting, press: Press) -> None:
    """You should see: QUALIFY in large letters, a 6 as high as there is room, both bars, what to press, the keys."""
    async with practising(sitting, press, "531") as hall:
        await hall.press("f", 0.5)
        await hall.press("space", 1.0)
        await hall.to(1.0 + FIRST_BEAT_S + 1.7)
        assert_as_pictured(hall.pilot.app, "practice-far-80x24")


async def test_a_tiny_terminal_does_no_harm(sitting: Sitting, press: Press) -> None:
    async with practising(sitting, press, "531") as hall:
        for turn, size in enumerate([(1, 1), (2, 2), (10, 3), (37, 8), (80, 1), (80, 24)]):
            await hall.pilot.resize_terminal(*size)
            await hall.run(1.0 + 10 * turn, 5.0 + 10 * turn)
        assert len(sitting.tries.attempts) == 6
        assert "ready again" in hall.text


async def test_picture_ready(sitting: Sitting, press: Press) -> None:
    """You should see: 531, READY, a large 0, both bars empty, what each hand throws first, the keys."""
    async with practising(sitting, press, "531") as hall:
        assert_as_pictured(hall.pilot.app, "practice-ready-80x24")


async def test_picture_running(sitting: Sitting, press: Press) -> None:
    """You should see: GO and what to press, a large 8, flash and qualify reached, the throws of now at the left."""
    async with practising(sitting, press, "531") as hall:
        await hall.press("space", 1.0)
        await hall.to(1.0 + FIRST_BEAT_S + 2.45)
        assert_as_pictured(hall.pilot.app, "practice-running-80x24")


async def test_picture_rest(sitting: Sitting, press: Press) -> None:
    """You should see: DROP and when it is ready again, the count of the try, both tries with the last one first."""
    async with practising(sitting, press, "531") as hall:
        await hall.run(1.0, 4.0)
        await hall.to(10)
        await hall.run(10.0, 15.0, 15.2)
        assert_as_pictured(hall.pilot.app, "practice-rest-80x24")


async def test_picture_small(sitting: Sitting, press: Press) -> None:
    """You should see the same as on a larger screen, only smaller: nothing is missing."""
    async with practising(sitting, press, "(4x,2x)", (60, 20)) as hall:
        await hall.press("space", 1.0)
        await hall.to(1.0 + FIRST_BEAT_S + 1.0)
        assert_as_pictured(hall.pilot.app, "practice-running-60x20")
