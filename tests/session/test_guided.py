"""A session that follows a guide: runs end by themselves, the next task comes at rest, corrections reach the guide."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.session.begun import REACTION_S, catches_due
from tests.session.hall import LATENCY_S, Hall
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.config import Settings
from trainer.errors import TrainerError
from trainer.library.catalogue import Choice
from trainer.practice.guide import Aim, Guide, Task
from trainer.practice.run import SETTLE_S, RunState
from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.siteswap.families import parse_any

THREE, FIVE = Choice(parse_any("3")), Choice(parse_any("5"))
TASKS = (
    Task(THREE, Fraction(240), Aim(catches=6), "first"),
    Task(THREE, Fraction(300), Aim(catches=6), "second", fixed="The ladder sets it."),
    Task(FIVE, None, Aim(seconds=2), "third"),
)
HELD_S = REACTION_S + SETTLE_S


@dataclass(frozen=True)
class Ladder(Guide):
    """The next task with each fair try that reaches its aim; in a pause the next one at a second."""

    tasks: tuple[Task, ...] = TASKS
    place: int = 0
    sound: str = ""
    pause_until_s: float = 0.0
    begun_s: float | None = None

    @property
    def task(self) -> Task | None:
        return self.tasks[self.place] if self.place < len(self.tasks) else None

    def begun(self, now_s: float) -> Ladder:
        return replace(self, begun_s=now_s)

    def at(self, now_s: float) -> Ladder:
        if self.task is not None and self.task.choice is None and now_s >= self.pause_until_s:
            return replace(self, place=self.place + 1, sound="block")
        return self

    def after(self, attempt: Attempt, now_s: float) -> Ladder:
        assert self.task is not None
        assert self.task.aim is not None
        if attempt.fair and self.task.aim.reached(attempt):
            return replace(self, place=self.place + 1, sound="rung-up")
        return replace(self, sound="")


class Book:
    """What a keeper was told."""

    def __init__(self) -> None:
        self.kept: list[Guide] = []

    def stamp(self, guide: Guide, attempt: Attempt) -> Attempt:
        return replace(attempt, note="", plan_run_uid=None, block=getattr(guide, "place", None))

    def keep(self, guide: Guide, now_s: float) -> None:
        self.kept.append(guide)


def led(folder: Path, settings: Settings | None = None, guide: Guide | None = None, book: Book | None = None) -> Hall:
    return Hall(folder, "3", 240, settings, guide=guide or Ladder(), keeper=book or Book())


def goal_s(hall: Hall, start_s: float, catches: int = 6) -> float:
    """When a catch of the 3 cascade is heard: catch n on beat n − 1 + 3 − 4/3."""
    return hall.first_beat_s(start_s) + (catches + 2 - 4 / 3) * 60 / float(hall.session.chosen.tempo_bpm)


def test_by_the_beat_a_run_ends_by_itself_once_its_goal_was_held(tmp_path: Path) -> None:
    hall = led(tmp_path)
    hall.press(1.0)
    reached_s = goal_s(hall, 1.0)
    hall.to(reached_s + HELD_S - 0.05)
    assert (hall.view.state, hall.view.catches) == (RunState.RUNNING, 6)
    hall.to(reached_s + HELD_S + 0.05)
    assert hall.view.state is RunState.ENDED
    hall.to(reached_s + HELD_S + SETTLE_S + 0.05)
    (attempt,) = hall.logged
    assert (attempt.ended, attempt.catches, attempt.block) == (Ended.GOAL, 6, 0)
    assert attempt.seconds == pytest.approx((8 - 4 / 3) / 4, abs=1e-3)
    assert (hall.view.state, hall.session.chosen.tempo_bpm) == (RunState.REST, 300)
    assert any(cue.voice.role == "rung-up" for cue in hall.performance.cues)


@pytest.mark.parametrize("late_s", [-0.2, 0.05, 0.2, 0.29])
def test_a_drop_of_the_goals_own_catch_pressed_in_time_is_a_drop(tmp_path: Path, late_s: float) -> None:
    hall = led(tmp_path)
    hall.press(1.0)
    drop_s = goal_s(hall, 1.0) + late_s
    hall.press(drop_s)
    hall.to(drop_s + 1)
    (attempt,) = hall.logged
    assert attempt.ended is Ended.DROP
    assert attempt.catches == catches_due("3", (drop_s - REACTION_S - hall.first_beat_s(1.0)) * 4) - 1 < 6
    assert (hall.session.chosen.tempo_bpm, hall.view.state) == (240, RunState.REST)


def test_a_repeat_taken_for_a_drop_does_not_lose_the_goal(tmp_path: Path) -> None:
    hall = led(tmp_path, Settings(count_in_beats=0))
    hall.press(1.0, 1.6, 1.633)  # held at the start: the first repeat comes while the run is on
    hall.to(6.0)
    assert [(each.ended, each.catches) for each in hall.logged] == [(Ended.GOAL, 6)]


def test_another_tempo_moves_the_moment_of_the_goal(tmp_path: Path) -> None:
    hall = led(tmp_path)
    hall.press(1.0)
    first_s = hall.first_beat_s(1.0)
    hall.to(first_s + 0.6)
    hall.session.set_tempo(Fraction(60))
    hall.to(first_s + 4)
    assert hall.view.state is RunState.RUNNING
    hall.to(first_s + 9)
    assert [(each.ended, each.catches) for each in hall.logged] == [(Ended.GOAL, 6)]


def test_by_taps_the_tap_that_makes_the_goal_ends_the_run(tmp_path: Path) -> None:
    hall = led(tmp_path, Settings(counted_by=CountedBy.TAPS))
    hall.press(1.0)
    first_s = hall.first_beat_s(1.0)
    hall.press(*(first_s + 0.5 + 0.2 * tap for tap in range(5)))
    assert hall.view.state is RunState.RUNNING
    hall.press(first_s + 1.5)
    assert hall.view.state is RunState.ENDED
    hall.press(first_s + 1.7, first_s + 1.9)  # going on, not having heard it: no catch, no start
    hall.to(first_s + 8)
    assert [(each.ended, each.catches) for each in hall.logged] == [(Ended.GOAL, 6)]
    assert hall.view.state is RunState.ARMED


def test_by_taps_the_goal_is_taken_back_with_its_tap(tmp_path: Path) -> None:
    hall = led(tmp_path, Settings(counted_by=CountedBy.TAPS))
    hall.press(1.0)
    first_s = hall.first_beat_s(1.0)
    hall.press(*(first_s + 0.5 + 0.8 * tap for tap in range(5)))
    held_s = first_s + 0.5 + 0.8 * 4  # the fifth tap is held: a first repeat makes six, the next one unmakes it
    hall.press(held_s + 0.4)
    assert hall.view.state is RunState.ENDED
    hall.press(held_s + 0.433)
    assert (hall.view.state, hall.view.catches) == (RunState.RUNNING, 5)
    hall.to(held_s + 6)
    assert [(each.ended, each.catches) for each in hall.logged] == [(Ended.DROP, 5)]


@pytest.mark.parametrize("counted_by", [CountedBy.BEAT, CountedBy.HAND])
def test_time_ends_a_run_once_it_was_held(tmp_path: Path, counted_by: CountedBy) -> None:
    hall = led(tmp_path, Settings(counted_by=counted_by), Ladder(place=2))
    assert (hall.view.chosen.score.pattern.text, hall.view.chosen.goals.flash) == ("5", 5)
    assert hall.session.chosen.tempo_bpm == 244  # the usual tempo of 5 objects (model, common practice)
    hall.press(1.0)
    hall.to(hall.first_beat_s(1.0) + 2 + HELD_S + SETTLE_S + 0.1)
    (attempt,) = hall.logged
    assert (attempt.ended, attempt.pattern) == (Ended.TIME, "5")
    assert attempt.seconds == pytest.approx(2.0, abs=1e-3)
    # 2 s are 8 2/15 beats; catches on beats 3 2/3, 4 2/3 … (model: t + n − r · min(n, 2))
    assert attempt.catches == (None if counted_by is CountedBy.HAND else 5)


def test_by_hand_the_guide_waits_for_the_count_and_follows_what_is_set_right(tmp_path: Path) -> None:
    hall = led(tmp_path, Settings(counted_by=CountedBy.HAND))
    hall.press(1.0, 5.0)
    hall.to(6.0)
    assert hall.session.chosen.tempo_bpm == 240
    hall.session.last_try.type_digit("7")
    hall.session.last_try.confirm()
    hall.to(6.1)
    assert hall.session.chosen.tempo_bpm == 300
    hall.session.last_try.toggle_fair()
    hall.to(6.2)
    assert hall.session.chosen.tempo_bpm == 240
    hall.session.last_try.undo()
    hall.to(6.3)
    assert hall.session.chosen.tempo_bpm == 300


def test_another_pattern_is_taken_at_rest_with_its_name_goals_and_usual_tempo(tmp_path: Path) -> None:
    hall = led(tmp_path, guide=Ladder(place=1))
    hall.press(1.0)
    hall.to(8.0)
    view = hall.view
    assert (view.chosen.score.pattern.text, view.chosen.goals.qualify, view.chosen.tempo_bpm) == ("5", 10, 244)
    hall.press(9.0)
    hall.to(10.5)
    hall.session.give_up(hall.now_s)
    hall.to(12.0)
    assert [(each.pattern, each.ended) for each in hall.logged] == [("3", Ended.GOAL), ("5", Ended.GIVEN_UP)]


def test_what_the_guide_fixes_no_key_changes(tmp_path: Path) -> None:
    hall = led(tmp_path, guide=Ladder(place=1))
    with pytest.raises(TrainerError, match="The ladder sets it"):
        hall.session.set_tempo(Fraction(100))
    with pytest.raises(TrainerError, match="The ladder sets it"):
        hall.session.set_dwell(Fraction(1, 2))
    assert (hall.session.chosen.tempo_bpm, hall.session.chosen.score.dwell) == (300, Fraction(2, 3))


def test_when_all_is_done_a_press_begins_nothing(tmp_path: Path) -> None:
    book = Book()
    hall = led(tmp_path, guide=Ladder(TASKS[:1]), book=book)
    hall.press(1.0)
    hall.to(8.0)
    hall.press(9.0, 9.5, 9.533)
    hall.to(12.0)
    assert (hall.view.state, len(hall.logged)) == (RunState.ARMED, 1)
    assert hall.view.guide is not None
    assert hall.view.guide.task is None
    assert [guide.task for guide in book.kept][-1] is None


def test_in_a_pause_a_press_only_tells_the_guide_and_time_brings_the_next_task(tmp_path: Path) -> None:
    pause = Task(None, say="Drink something.")
    hall = led(tmp_path, guide=Ladder((pause, *TASKS), pause_until_s=5.0))
    hall.press(1.0)
    hall.to(4.9)
    assert hall.view.state is RunState.ARMED
    assert isinstance(hall.view.guide, Ladder)
    assert hall.view.guide.begun_s == pytest.approx(1.0)
    hall.to(5.1)
    assert hall.view.guide is not None
    assert hall.view.guide.task == TASKS[0]
    hall.press(6.0)
    assert hall.view.state is RunState.COUNT_IN


def test_a_press_that_ends_a_pause_begins_no_try_and_the_next_one_does(tmp_path: Path) -> None:
    @dataclass(frozen=True)
    class Impatient(Ladder):
        def begun(self, now_s: float) -> Impatient:
            pause = self.task is not None and self.task.choice is None
            return replace(self, place=self.place + pause, sound="block" if pause else "")

    hall = led(tmp_path, guide=Impatient((Task(None), *TASKS), pause_until_s=60.0))
    hall.press(1.0)
    hall.to(1.2)
    assert hall.view.state is RunState.ARMED
    assert hall.view.guide is not None
    assert hall.view.guide.task == TASKS[0]
    assert [cue.voice.role for cue in hall.performance.cues] == ["block"]
    hall.press(2.0)
    assert hall.view.state is RunState.COUNT_IN


def test_the_end_of_a_pause_is_counted_down_to_its_second(tmp_path: Path) -> None:
    pause = Task(None, ends_s=9.0)
    hall = led(tmp_path, guide=Ladder((TASKS[0], pause, TASKS[1]), pause_until_s=9.0))
    hall.press(1.0)
    hall.to(6.0)
    heard = [(cue.voice.role, cue.at_frame / RATE_HZ + LATENCY_S) for cue in hall.performance.cues]
    countdown = [(role, second) for role, second in heard if role in ("countdown", "ready")]
    assert [role for role, _ in countdown] == ["countdown"] * 3 + ["ready"]
    assert [second for _, second in countdown] == pytest.approx([6.0, 7.0, 8.0, 9.0], abs=1.5 / RATE_HZ)
    hall.to(9.1)
    assert hall.view.guide is not None
    assert hall.view.guide.task == TASKS[1]


def test_in_one_task_the_tempo_that_keys_have_set_stays(tmp_path: Path) -> None:
    hall = led(tmp_path)
    hall.session.set_tempo(Fraction(200))
    hall.press(1.0, 3.5)
    hall.to(8.0)
    assert [(each.tempo, each.ended) for each in hall.logged] == [(200, Ended.DROP)]
    assert hall.session.chosen.tempo_bpm == 200


def test_leaving_in_the_middle_of_a_run_tells_the_guide_and_keeps_where_it_stands(tmp_path: Path) -> None:
    book = Book()
    hall = led(tmp_path, book=book)
    hall.press(1.0)
    hall.to(hall.first_beat_s(1.0) + 0.5)
    hall.session.leave(hall.now_s)
    assert [each.ended for each in hall.logged] == [Ended.GIVEN_UP]
    assert book.kept
    assert book.kept[-1] == hall.view.guide
