"""The player: what is sounded between tries falls on its second, and what is taken back stays unheard."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tests.audio.manual_output import ManualOutput
from tests.audio.speaking import speaking_kit
from tests.session.hall import BANK, LATENCY_S, Hall
from trainer.audio.kitfiles import load_kit
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.performance import Performance
from trainer.audio.player import SPOKEN_AFTER_S, Player, countdown
from trainer.audio.synth import Bank, Voice
from trainer.audio.transport import Transport
from trainer.config import Settings
from trainer.practice.run import SETTLE_S, RunState
from trainer.siteswap.families import parse_any
from trainer.timing.score import Score


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    hall = Hall(tmp_path, "3", 240, Settings(rest_s=8.0))
    yield hall
    hall.logbook.close()


def rested(hall: Hall, drop_s: float = 6.0) -> float:
    """A run that ended at a second; the second its rest ends by the settings."""
    hall.press(1.0, drop_s)
    hall.to(drop_s + SETTLE_S + 0.1)
    assert hall.view.state is RunState.REST
    return drop_s + SETTLE_S + hall.session.settings.rest_s


def heard(hall: Hall, *roles: str) -> list[tuple[str, float]]:
    """The sounds placed by hand of some roles, and the second each is heard."""
    return [
        (cue.voice.role, cue.at_frame / RATE_HZ + LATENCY_S) for cue in hall.performance.cues if cue.voice.role in roles
    ]


def test_the_last_seconds_of_a_rest_are_heard_on_their_seconds(hall: Hall) -> None:
    end_s = rested(hall)
    sounds = heard(hall, "countdown", "ready")
    assert [role for role, _ in sounds] == ["countdown"] * 3 + ["ready"]
    assert [at_s for _, at_s in sounds] == pytest.approx([end_s - 3, end_s - 2, end_s - 1, end_s], abs=1.5 / RATE_HZ)
    hall.to(end_s + 0.02)
    assert hall.view.state is RunState.ARMED
    assert [role for role, _ in heard(hall, "ready")] == ["ready"]


def test_a_rest_left_early_is_counted_down_no_more(hall: Hall) -> None:
    end_s = rested(hall)
    hall.press(end_s - 1.5)
    hall.to(end_s - 1.4)
    assert hall.view.state is RunState.ARMED
    assert [round(end_s - at_s) for _, at_s in heard(hall, "countdown", "ready")] == [3, 2]


def test_leaving_in_a_rest_leaves_nothing_to_be_heard(hall: Hall) -> None:
    rested(hall)
    hall.session.leave(hall.now_s)
    hall.to(hall.now_s + 0.1)
    assert heard(hall, "countdown", "ready") == []
    assert [role for role, _ in heard(hall, "drop")] == ["drop"]


@pytest.mark.parametrize(("rest_s", "countdown_s", "pips"), [(2.0, 3, 1), (1.0, 3, 0), (8.0, 5, 4), (8.0, 1, 1)])
def test_no_more_than_half_a_rest_is_counted_down(tmp_path: Path, rest_s: float, countdown_s: int, pips: int) -> None:
    hall = Hall(tmp_path, "3", 240, Settings(rest_s=rest_s, countdown_s=countdown_s))
    rested(hall)
    assert len(heard(hall, "countdown")) == pips
    hall.logbook.close()


def test_without_a_countdown_a_rest_is_silent(tmp_path: Path) -> None:
    hall = Hall(tmp_path, "3", 240, Settings(rest_s=8.0, countdown_s=0))
    rested(hall)
    assert heard(hall, "countdown", "ready") == []
    hall.logbook.close()


def test_another_setting_in_a_rest_moves_the_countdown_with_it(hall: Hall) -> None:
    end_s = rested(hall)
    hall.session.use(Settings(rest_s=12.0), BANK)
    hall.to(hall.now_s + 0.1)
    assert [at_s for _, at_s in heard(hall, "ready")] == pytest.approx([end_s + 4], abs=1.5 / RATE_HZ)


def test_a_kit_with_numbers_speaks_the_countdown(tmp_path: Path) -> None:
    bank = Bank(load_kit(speaking_kit(tmp_path, 2)), RATE_HZ)
    voices = [placed.voice for placed in countdown(bank, 10 * RATE_HZ, 3)]
    assert voices == [Voice("countdown"), Voice("count-in", 2), Voice("count-in", 1), Voice("ready")]
    frames = [placed.at_frame for placed in countdown(BANK, 10 * RATE_HZ, 3)]
    assert frames == [7 * RATE_HZ, 8 * RATE_HZ, 9 * RATE_HZ, 10 * RATE_HZ]


def test_a_number_is_spoken_after_the_sound_that_announces_it_where_the_kit_can(tmp_path: Path) -> None:
    for bank, spoken in ((Bank(load_kit(speaking_kit(tmp_path, 2)), RATE_HZ), [1, 2, None]), (BANK, [None] * 3)):
        transport, output = Transport(RATE_HZ), ManualOutput()
        output.open(transport.pull)
        player = Player(transport, output)
        player.stand_by(Score(parse_any("3")), Fraction(240), bank)
        for number, expected in enumerate(spoken, start=1):
            player.cue("block", number)
            output.advance(RATE_HZ * 2)
            assert isinstance(transport.scene, Performance)
            (announced, *numbers) = [cue for cue in transport.scene.cues if cue.at_frame >= (number - 1) * 2 * RATE_HZ]
            assert announced.voice == Voice("block")
            assert [each.voice.value for each in numbers] == ([] if expected is None else [expected])
            assert all(each.at_frame - announced.at_frame == round(SPOKEN_AFTER_S * RATE_HZ) for each in numbers)


def test_before_the_first_try_a_stage_that_attends_is_heard_and_one_that_does_not_is_silent() -> None:
    for attends in (True, False):
        transport, output = Transport(RATE_HZ), ManualOutput()
        output.open(transport.pull)
        player = Player(transport, output)
        if attends:
            player.stand_by(Score(parse_any("3")), Fraction(240), BANK)
        player.cue("block")
        output.advance(RATE_HZ)
        assert np.concatenate(output.played).any() == attends
