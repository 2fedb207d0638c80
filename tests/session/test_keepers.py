"""Climbs through a session, on a clock moved by hand: runs end by themselves, every attempt is in the logbook once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest

from tests.practice.climbs.jugglers import Juggler, attempt_of, tempo_ladder
from tests.session.hall import MORNING, Hall
from trainer.config import Settings
from trainer.library.catalogue import Choice
from trainer.practice.climbs.climb import STAIRCASE, Climb, plain
from trainer.practice.climbs.ladder import RungBy, members, object_ladder
from trainer.practice.run import RunState
from trainer.records.attempt import CountedBy, Ended
from trainer.records.courses import ClimbKind, ClimbRule
from trainer.session.guided import Guided
from trainer.session.keepers import ClimbKeeper
from trainer.session.tries import Tries
from trainer.siteswap.families import parse_any
from trainer.timing.score import Score

WAY = Settings(rest_s=1.0, count_in_beats=1, countdown_s=0)


class Climbing(Hall):
    """A hall in which somebody climbs."""

    def __init__(self, folder: Path, climb: Climb, settings: Settings = WAY, rung_by: str | None = None) -> None:
        super().__init__(folder, "3", 240, settings)
        keeper = ClimbKeeper(self.tries, lambda: MORNING, "balls", "qualify", rung_by)
        self.begin(Guided(climb, self.tries, keeper))

    @property
    def climb(self) -> Climb:
        guide = self.view.guide
        assert isinstance(guide, Climb)
        return guide

    def attempt(self, holds: bool) -> None:
        """One try from the press to the next time one can press: held to its goal, or dropped on the third catch."""
        self.press(self.now_s + 0.1)
        while self.view.state is not RunState.RUNNING:
            self.to(self.now_s + 0.05)
        if not holds:
            self.press(self.now_s + 4 * 60 / float(self.session.chosen.tempo_bpm))
        while self.view.state is not RunState.ARMED:
            self.to(self.now_s + 0.1)


@pytest.fixture
def staircase(tmp_path: Path) -> Iterator[Climbing]:
    hall = Climbing(tmp_path, Climb(tempo_ladder(400, 40), STAIRCASE, CountedBy.BEAT))
    yield hall
    hall.logbook.close()


def test_a_staircase_climbed_hands_free_is_in_the_logbook_try_by_try(staircase: Climbing) -> None:
    chance, juggler = Random(7), Juggler(520, 30)
    tempos = []
    while staircase.climb.task is not None:
        tempos.append(staircase.session.chosen.tempo_bpm)
        assert staircase.session.chosen.tempo_bpm == staircase.climb.rung.tempo_bpm
        staircase.attempt(juggler.holds(float(staircase.session.chosen.tempo_bpm), chance))
    logged = staircase.logged
    assert [attempt.tempo for attempt in logged] == tempos
    assert len({attempt.uid for attempt in logged}) == len(logged) == len(staircase.climb.tries)
    assert {attempt.climb_uid for attempt in logged} == {staircase.logbook.climbs()[0].uid}
    assert [attempt.ended is Ended.GOAL for attempt in logged] == [each.held for each in staircase.climb.tries]
    (kept,) = staircase.logbook.climbs()
    found = staircase.climb.threshold
    assert found is not None
    assert (kept.kind, kept.rule, kept.start, kept.step, kept.goal, kept.target) == (
        ClimbKind.TEMPO, ClimbRule.STAIRCASE, 400, "40", "qualify", None,
    )  # fmt: skip
    assert (kept.threshold, kept.spread) == (pytest.approx(found.tempo_bpm), pytest.approx(found.spread))
    assert kept.ended_at is not None
    again = Climb(staircase.climb.ladder, STAIRCASE, CountedBy.BEAT)
    for attempt in logged:  # where it stands is a fold over its attempts
        again = again.after(attempt, 0.0)
    assert again == staircase.climb


def test_the_end_in_the_logbook_follows_what_is_set_right(tmp_path: Path) -> None:
    hall = Climbing(tmp_path, Climb(tempo_ladder(400, 40, 440), plain(1, 1), CountedBy.BEAT))
    hall.attempt(True)
    hall.attempt(True)
    assert hall.climb.done
    assert hall.logbook.climbs()[0].ended_at is not None
    hall.session.last_try.toggle_fair()
    hall.to(hall.now_s + 0.1)
    assert not hall.climb.done
    assert hall.logbook.climbs()[0].ended_at is None
    hall.session.last_try.undo()
    hall.to(hall.now_s + 0.1)
    assert hall.climb.done
    assert hall.logbook.climbs()[0].ended_at is not None
    hall.logbook.close()


def test_steps_and_the_end_are_heard(tmp_path: Path) -> None:
    hall = Climbing(tmp_path, Climb(tempo_ladder(400, 40, 440), plain(1, 1), CountedBy.BEAT))
    heard = []
    for holds in (True, False, False, True, True, True):
        hall.attempt(holds)
        heard.append(hall.performance.cues[-1].voice.role)
    assert heard == ["rung-up", "rung-down", "rung-down", "rung-up", "rung-up", "target"]
    assert hall.climb.done
    count = len(hall.logged)
    hall.press(hall.now_s + 1)
    hall.to(hall.now_s + 5)
    assert (hall.view.state, len(hall.logged)) == (RunState.ARMED, count)
    hall.logbook.close()


def test_a_try_that_is_not_fair_takes_its_step_back(tmp_path: Path) -> None:
    hall = Climbing(tmp_path, Climb(tempo_ladder(400, 40), plain(1, 1), CountedBy.BEAT))
    hall.attempt(True)
    assert hall.session.chosen.tempo_bpm == 440
    hall.session.last_try.toggle_fair()
    hall.to(hall.now_s + 0.1)
    assert (hall.climb.place, hall.session.chosen.tempo_bpm) == (0, 400)
    hall.session.last_try.undo()
    hall.to(hall.now_s + 0.1)
    assert (hall.climb.place, hall.session.chosen.tempo_bpm) == (1, 440)
    hall.logbook.close()


def test_a_count_set_right_decides_the_step_anew(tmp_path: Path) -> None:
    hall = Climbing(tmp_path, Climb(tempo_ladder(400, 40), plain(1, 1), CountedBy.BEAT))
    hall.attempt(False)
    missing = 6 - (hall.logged[0].catches or 0)
    assert hall.climb.place == -1
    hall.session.last_try.add(missing)
    hall.to(hall.now_s + 0.1)
    assert (hall.climb.place, hall.session.chosen.tempo_bpm) == (1, 440)
    hall.logbook.close()


def test_giving_up_and_an_early_press_of_the_count_in_move_nothing(tmp_path: Path) -> None:
    hall = Climbing(tmp_path, Climb(tempo_ladder(400, 40), plain(1, 1), CountedBy.BEAT), replace(WAY, count_in_beats=8))
    hall.press(1.0, 1.5)  # a press in the count-in is nothing
    hall.to(1.6)
    hall.session.give_up(hall.now_s)
    assert (hall.view.state, hall.logbook.climbs()) == (RunState.ARMED, ())
    hall.press(3.0)
    hall.to(4.5)
    hall.session.give_up(hall.now_s)
    hall.to(8.0)
    assert [each.ended for each in hall.logged] == [Ended.GIVEN_UP]
    assert (hall.climb.place, hall.climb.tries) == (0, ())
    hall.logbook.close()


def test_an_object_climb_goes_on_to_the_next_pattern(tmp_path: Path) -> None:
    patterns = members("cascade", 3, 5, lambda text: Choice(parse_any(text)))
    ladder = object_ladder(patterns, Fraction(400), RungBy.TEMPO, "qualify", lambda choice: Score(choice.pattern))
    hall = Climbing(tmp_path, Climb(ladder, plain(1, 2), CountedBy.BEAT), rung_by="tempo")
    for holds in (True, False, False, True, True):
        hall.attempt(holds)
    assert [(each.pattern, each.ended) for each in hall.logged] == [
        ("3", Ended.GOAL), ("5", Ended.DROP), ("5", Ended.DROP), ("3", Ended.GOAL), ("5", Ended.GOAL),
    ]  # fmt: skip
    assert hall.climb.done
    (kept,) = hall.logbook.climbs()
    assert (kept.kind, kept.start, kept.target, kept.rung_by) == (ClimbKind.OBJECTS, 3, 5, "tempo")
    assert kept.threshold is None
    hall.logbook.close()


def test_a_climb_broken_off_has_no_end(tmp_path: Path) -> None:
    hall = Climbing(tmp_path, Climb(tempo_ladder(400, 40, 600), plain(1, 1), CountedBy.BEAT))
    hall.attempt(True)
    hall.session.leave(hall.now_s)
    (kept,) = hall.logbook.climbs()
    assert (kept.ended_at, kept.target, kept.up_after, kept.down_after) == (None, 600, 1, 1)
    hall.logbook.close()


def test_without_a_logbook_the_climb_goes_on() -> None:
    tries = Tries(None, MORNING)
    keeper = ClimbKeeper(tries, lambda: MORNING, "balls")
    climb = Climb(tempo_ladder(400, 40), plain(1, 1), CountedBy.BEAT)
    attempt = attempt_of(climb, 6)
    assert replace(keeper.stamp(climb, attempt), climb_uid=None) == attempt
    keeper.keep(replace(climb, done=True), 0.0)
