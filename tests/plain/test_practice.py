"""The plain mode: what is said, in what order, and that the same keys do the same as on the screen."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.commands.plain import use_a_pedal_that_is_heard
from trainer.keys.commands import commands_of
from trainer.keys.footswitch import Footswitch
from trainer.plain.practice import PlainPractice
from trainer.records.attempt import CountedBy, Ended
from trainer.session.sitting import Sitting


class Hall:
    """A plain practice at 240 beats a minute, two beats counted in, and the time under the test's hand."""

    def __init__(self, sitting: Sitting, pattern: str = "3", **settings: object) -> None:
        sitting.settings = replace(sitting.settings, count_in_beats=2, reaction_s=0.0, **settings)  # type: ignore[arg-type]
        sitting.apply()
        self.sitting, self.lines = sitting, list[str]()
        choice = sitting.library.to_choice(pattern)
        self.practice = PlainPractice(sitting, sitting.begin(choice, Fraction(240)), self.lines.append)
        self.practice.begin()

    def key(self, key: str) -> list[str]:
        """Press a key now; what was said since the last time."""
        self.practice.take(key, self.sitting.clock())
        return self.said()

    def wait(self, seconds: float) -> list[str]:
        for _ in range(round(seconds * 50)):
            self.sitting.output.advance(RATE_HZ // 50)  # type: ignore[attr-defined]
            self.practice.tick()
        return self.said()

    def said(self) -> list[str]:
        lines, self.lines[:] = list(self.lines), []
        return lines


def test_a_try_from_ready_to_rest_and_ready_again(sitting: Sitting) -> None:
    hall = Hall(sitting)
    begun = hall.said()
    assert begun[0] == "3 · 3 cascade · 3 objects."
    assert "Look up and around first" in begun[1]
    assert begun[2].startswith("240 beats a minute")
    assert begun[-1] == "Ready: press SPACE to start."
    assert hall.key("space") == ["Count-in: 2 beats."]
    running = hall.wait(3.05)  # 2 beats of 0.25 s, then throws; caught after 5/3 beats each
    assert running[0].startswith("Go: SPACE when you drop")
    assert running[1:] == ["Flash: 3 catches.", "Qualify: 6 catches."]
    assert hall.key("space") == [], "a second press may still make it a clean finish"
    ended = hall.wait(0.6)
    attempt = sitting.tries.attempts[-1]
    assert attempt.ended is Ended.DROP
    assert ended[0] == f"Drop: {attempt.catches} catches, qualify, best."
    assert ended[1] == f"Rest of 2 s. Best {attempt.catches}."
    assert hall.wait(2.5) == ["Ready: press SPACE to start."]


def test_one_beat_is_told_as_one(sitting: Sitting) -> None:
    hall = Hall(sitting)
    sitting.use(count_in_beats=1)
    hall.said()
    assert hall.key("space") == ["Count-in: 1 beat."]


def test_nothing_is_said_twice_while_time_passes(sitting: Sitting) -> None:
    hall = Hall(sitting)
    hall.said()
    assert hall.wait(5) == []


def test_keys_change_what_they_change_on_the_screen_and_say_so(sitting: Sitting) -> None:
    hall = Hall(sitting)
    hall.said()
    assert hall.key("up")[0].startswith("245 beats a minute")
    assert "Dwell 0.70." in hall.key("right")
    assert hall.key("k")[0].startswith("Kit ")
    assert "Counted by taps" in hall.key("c")[0]
    assert hall.key("x") == ["There is no try to set right: the first has not ended, or one is under way."]
    assert hall.key("f24") == [], "a key that means nothing"


def test_a_tempo_is_tapped_by_the_seconds_the_taps_came_at(sitting: Sitting) -> None:
    hall = Hall(sitting)
    hall.said()
    for _ in range(3):
        assert hall.key("t") == ["Go on tapping …"]
        hall.wait(0.4)
    tapped, told = hall.key("t")
    assert tapped == "150 beats/min by your taps."  # 60 / 0.4
    assert told.startswith("150 beats a minute")


def test_a_count_made_by_hand_is_typed_in(sitting: Sitting) -> None:
    hall = Hall(sitting, counted_by=CountedBy.HAND)
    hall.key("space")
    hall.wait(2)
    hall.key("space")
    assert any(line.startswith("Type the catches") for line in hall.wait(0.7))
    for key in ("1", "2", "enter"):
        hall.key(key)
    assert sitting.tries.attempts[-1].catches == 12


@pytest.mark.parametrize(("pedal", "told"), [("mouse_right", "RIGHT CLICK"), ("ctrl+f5", "Ctrl+F5"), ("f13", "")])
def test_a_pedal_that_is_not_heard_here_leaves_it_to_the_space_bar(sitting: Sitting, pedal: str, told: str) -> None:
    sitting.settings = replace(sitting.settings, pedal=pedal)
    use_a_pedal_that_is_heard(sitting, Footswitch(lambda *_: None, sitting.clock))
    assert sitting.settings.pedal == ("space" if told else pedal)
    said = [f"{told} is not heard in plain mode. SPACE is the pedal this time."] if told else []
    assert sitting.notices == said


def test_help_has_a_line_for_every_command(sitting: Sitting) -> None:
    hall = Hall(sitting)
    hall.said()
    told = "\n".join(hall.key("question_mark"))
    assert "the pedal" in told.lower()
    for command in commands_of("plain"):
        assert command.help in told


def test_every_command_of_the_table_is_carried_out(sitting: Sitting) -> None:
    for command in commands_of("plain"):
        assert callable(getattr(PlainPractice, f"action_{command.name}")), command.name


def test_leaving_gives_up_and_sums_up(sitting: Sitting) -> None:
    hall = Hall(sitting)
    hall.key("space")
    hall.wait(2)
    hall.key("q")
    hall.said()
    assert hall.practice.has_left
    hall.practice.leave()
    attempt = sitting.tries.attempts[-1]
    assert attempt.ended is Ended.GIVEN_UP
    given_up, summed_up = hall.said()
    assert given_up.startswith(f"Given up: {attempt.catches} catches")
    assert summed_up == "Left after 1 try."


@pytest.mark.parametrize("pattern", ["<3p 3|3p 3>", "(4,4)", "[43]23", "531 mess"])
def test_any_pattern(sitting: Sitting, pattern: str) -> None:
    hall = Hall(sitting, pattern)
    assert hall.said()[-1] == "Ready: press SPACE to start."
    hall.key("space")
    assert any(line.startswith("Go: ") for line in hall.wait(2))


def test_a_tempo_is_tapped_by_the_seconds_of_its_taps(sitting: Sitting) -> None:
    """Five taps half a second apart are 120 beats a minute, whenever they are handled."""
    hall = Hall(sitting)
    for tap in range(5):
        hall.practice.take("t", 0.5 * tap)
    assert hall.practice.session.chosen.tempo_bpm == 120
    assert "120 beats/min by your taps." in hall.said()
