"""The flight view: what is drawn is the score's, and its keys before and during a run."""

from __future__ import annotations

import random
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from tests.screens.conftest import Press
from tests.screens.picture import assert_as_pictured, shown
from tests.screens.practising import FIRST_BEAT_S, TEMPO_BPM, Hall
from trainer.screens.app import TrainerApp
from trainer.screens.practice.drawing import shape_of
from trainer.screens.practice.flight import FlightView
from trainer.screens.practice.watching import NOT_SHOWN, WHAT_IS_HEARD
from trainer.session.sitting import Sitting
from trainer.timing.score import EventKind, Score

Dots = set[tuple[int, int]]
BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))


class Watched(Hall):
    """A practice screen with its flight view, and its time."""

    @property
    def view(self) -> FlightView:
        return self.screen.query_one(FlightView)

    @property
    def beat(self) -> Fraction:
        """The beat that is drawn."""
        beat = self.screen.show_flight(self.screen.session.view(self.sitting.clock()))
        assert beat is not None
        return beat

    async def key(self, key: str) -> None:
        await self._press(self.pilot, key, self.sitting.clock())
        self.screen.tick()
        await self.pilot.pause()

    def dots(self) -> tuple[Dots, Dots]:
        """The dots drawn, and those that letters hide, counted from the left and from the top."""
        drawn: Dots = set()
        hidden: Dots = set()
        for row in range(self.view.sheet.rows):
            text = "".join(text for text, _ in self.view.sheet.runs(row))
            for column, sign in enumerate(text):
                if sign == " ":
                    continue
                cell = {(2 * column + x, 4 * row + y): BITS[y][x] for x in (0, 1) for y in range(4)}
                if 0x2800 <= ord(sign) < 0x2900:
                    drawn |= {dot for dot, bit in cell.items() if (ord(sign) - 0x2800) & bit}
                else:
                    hidden |= set(cell)
        return drawn, hidden


@asynccontextmanager
async def watching(
    sitting: Sitting, press: Press, pattern: str, size: tuple[int, int] = (80, 24), bpm: int = TEMPO_BPM
) -> AsyncIterator[Watched]:
    sitting.settings = replace(sitting.settings, practice_shows="flight", animate=True)
    app = TrainerApp(sitting, sitting.library.to_choice(pattern), Fraction(bpm))
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        yield Watched(pilot, sitting, press)
    if app.failure is not None:
        raise app.failure


def heights_m(score: Score, beat: float) -> dict[int, float]:
    """Object → its height above the hands by the model, for those in the air: 4 h u (1 − u), h = g (F·60/T)² / 8."""
    found = {}
    for event in score.events(0, Fraction(beat)):
        if event.kind is EventKind.THROW:
            length = float(score.flight(score.pattern.throws[event.throw]))
            done = (beat - float(event.beat)) / length
            found[event.thing] = 4 * (9.80665 * (length * 60 / TEMPO_BPM) ** 2 / 8) * done * (1 - done)
        elif event.kind in (EventKind.CATCH, EventKind.HOLD):
            found.pop(event.thing, None)
    return found


@pytest.mark.parametrize(
    ("pattern", "size"),
    [
        *((each, (80, 24)) for each in ("5", "mills mess", "4 columns", "[43]23", "<3p 3|3p 3>")),
        ("531", (60, 20)),
        ("97531", (250, 70)),
    ],
)
async def test_every_object_is_drawn_within_a_dot_of_the_formula(
    sitting: Sitting, press: Press, pattern: str, size: tuple[int, int]
) -> None:
    """At 15 times of a run, in their order."""
    dice = random.Random(pattern)
    async with watching(sitting, press, pattern, size) as watched:
        await watched.key("space")
        for second in sorted(dice.uniform(FIRST_BEAT_S, 20) for _ in range(15)):
            watched.pass_time(second)
            fit, motion = watched.view.fit, watched.view.motion
            assert fit is not None
            assert motion is not None
            seen_beat = watched.screen.session.view(sitting.clock()).beat
            assert seen_beat is not None
            score, beat = watched.screen.session.chosen.score, float(seen_beat)
            drawn, hidden = watched.dots()
            heights = heights_m(score, beat)
            for thing, spot in enumerate(motion.things(beat)):
                height_m = heights.get(thing, spot.y_m)
                x, y = fit.x + spot.x_m * fit.across, fit.y - height_m * fit.up
                assert _is_drawn(thing, x, y, fit.reach, drawn, hidden), (thing, beat)


def _is_drawn(thing: int, x: float, y: float, reach: int, drawn: Dots, hidden: Dots) -> bool:
    """Whether the object's shape stands with its middle within a dot of a place."""
    middles = [(round(x) + right, round(y) + down) for right in (-1, 0, 1) for down in (-1, 0, 1)]
    return any(
        all((at_x + dx, at_y + dy) in drawn or (at_x + dx, at_y + dy) in hidden for dx, dy in shape_of(thing, reach))
        for at_x, at_y in middles
        if abs(at_x - x) <= 1 and abs(at_y - y) <= 1
    )


async def test_the_scale_beside_it_is_true(sitting: Sitting, press: Press) -> None:
    """The marks of half a metre and of a metre stand so many dots above that of the hands."""
    async with watching(sitting, press, "5", (80, 30)) as watched:
        fit = watched.view.fit
        assert fit is not None
        marks = sorted({y for x, y in watched.dots()[0] if x in (12, 13, 14)})
        assert len(marks) == 3  # the hands, 0.5 m, 1 m
        assert marks[2] - marks[0] == pytest.approx(fit.up, abs=1.01)
        assert marks[2] - marks[1] == pytest.approx(fit.up / 2, abs=1.01)
        assert "0.5 m" in watched.text
        assert "1 m" in watched.text


async def test_before_a_run_the_pattern_goes_on_in_silence_and_with_it_the_coming_throws(
    sitting: Sitting, press: Press
) -> None:
    async with watching(sitting, press, "531") as watched:
        before = watched.dots()
        watched.pass_time(5.3)
        assert watched.dots() != before
        assert watched.screen.session.view(sitting.clock()).beat is None
        await watched.pilot.pause()
        assert "preview" in watched.text


async def test_slow_motion_is_a_half_a_quarter_and_all_of_it_again(sitting: Sitting, press: Press) -> None:
    async with watching(sitting, press, "3") as watched:
        for words, speed in (("at half speed", 0.5), ("at a quarter", 0.25), ("preview", 1.0)):
            await watched.key("s")
            assert words in watched.text
            before = watched.beat
            watched.pass_time(sitting.clock() + 1)
            assert float(watched.beat - before) == pytest.approx(speed * TEMPO_BPM / 60)


async def test_step_by_step_it_stops_at_each_beat_and_goes_on_from_there(sitting: Sitting, press: Press) -> None:
    async with watching(sitting, press, "3") as watched:
        watched.pass_time(0.6)  # two beats before the first throw, and 2.4 beats on
        await watched.key("full_stop")
        assert "stopped at beat 2" in watched.text
        assert "s go on" in watched.text
        stopped = watched.dots()
        watched.pass_time(4.0)
        assert watched.dots() == stopped
        await watched.key("full_stop")
        assert "stopped at beat 3" in watched.text
        await watched.key("comma")
        assert watched.dots() == stopped
        for _ in range(4):
            await watched.key("comma")
        assert "stopped before the start" in watched.text
        await watched.key("s")
        assert "preview" in watched.text
        assert "half" not in watched.text


async def test_in_a_run_what_is_seen_is_what_is_heard(sitting: Sitting, press: Press) -> None:
    """Slow motion and steps are refused, with the reason; the preview is gone, and back after the run."""
    async with watching(sitting, press, "3", (120, 30)) as watched:
        await watched.key("s")
        await watched.key("space")
        watched.pass_time(FIRST_BEAT_S + 1.0)
        for key in ("s", "comma", "full_stop"):
            watched.screen.say("")
            await watched.key(key)
            assert WHAT_IS_HEARD in watched.text
        assert "half speed" not in watched.text
        beat = watched.screen.session.view(sitting.clock()).beat
        assert beat is not None
        assert watched.view.motion is not None
        await watched.key("space")
        watched.pass_time(FIRST_BEAT_S + 2.0)
        await watched.pilot.pause()
        assert "half speed" in watched.text


async def test_one_key_shows_the_count_or_the_flight_and_the_choice_is_kept(sitting: Sitting, press: Press) -> None:
    async with watching(sitting, press, "3") as watched:
        await watched.key("v")
        assert sitting.settings.practice_shows == "count"
        assert not watched.view.display
        await watched.key("s")
        assert NOT_SHOWN in watched.text
        await watched.key("v")
        assert watched.view.display
        assert 'practice_shows = "flight"' in sitting.places.settings.read_text(encoding="utf-8")


async def test_coming_throws_move_toward_now_and_are_there_on_their_beat(sitting: Sitting, press: Press) -> None:
    """Half a beat before its beat a throw is half the width of a beat, 4 columns, to the right of its place."""
    async with watching(sitting, press, "5", (80, 24)) as watched:
        await watched.key("space")
        columns = []
        for eighths in (0, 2, 4, 6, 8):
            watched.pass_time(FIRST_BEAT_S + (8 + eighths / 8) * 60 / TEMPO_BPM + 0.002)
            await watched.pilot.pause()
            row = next(line for line in shown(watched.pilot.app) if line.startswith(" LEFT"))
            columns.append(row.index("▀▀█"))
        assert [column - columns[-1] for column in columns] == [8, 6, 4, 2, 0]
        assert columns[-1] == 8


async def test_without_animation_it_jumps_from_beat_to_beat(sitting: Sitting, press: Press) -> None:
    async with watching(sitting, press, "3") as watched:
        sitting.settings = replace(sitting.settings, animate=False)
        await watched.key("space")
        seen = []
        for number in range(40):
            watched.pass_time(FIRST_BEAT_S + 1 + number / 40)
            seen.append(watched.dots()[0])
        assert sum(one != other for one, other in pairwise(seen)) in (3, 4)


@pytest.mark.parametrize(
    ("pattern", "size", "bpm", "at_s"),
    [
        ("3", (80, 24), 240, 2.35),
        ("7", (60, 20), 289, 4.1),
        ("<3p 3|3p 3>", (120, 40), 157, 4.3),
        ("3 lift bounce", (80, 24), 83, 6.3),
        ("mills mess", (80, 24), 175, 4.0),
    ],
)
async def test_pictures(
    sitting: Sitting, press: Press, pattern: str, size: tuple[int, int], bpm: int, at_s: float
) -> None:
    """You should see: objects of different shapes on their arcs, hands with R and L, a scale, the count, the lanes."""
    async with watching(sitting, press, pattern, size, bpm) as watched:
        await watched.key("space")
        watched.pass_time(at_s)
        await watched.pilot.pause()
        name = pattern.strip("<>").replace(" ", "-").replace("|", "-")
        assert_as_pictured(watched.pilot.app, f"flight-{name}-{size[0]}x{size[1]}")


async def test_a_picture_of_the_preview(sitting: Sitting, press: Press) -> None:
    """You should see: the five in the hands or on their way, the preview stopped at a beat, and the keys for it."""
    async with watching(sitting, press, "5") as watched:
        watched.pass_time(3.0)
        await watched.key("full_stop")
        assert_as_pictured(watched.pilot.app, "flight-stopped-80x24")
