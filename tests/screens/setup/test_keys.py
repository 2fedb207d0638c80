"""The pedal and the keys in Setup: learned, tried, refused, put on other keys."""

from __future__ import annotations

import tomllib
from fractions import Fraction

import pytest
from textual import events

from tests.screens.conftest import Cables
from tests.screens.mouse import click
from tests.screens.setup.settled import LATER_S, Press, goto, opened, press_later, row_text, text_of, written
from trainer.config import SETTINGS
from trainer.keys.commands import why_no_pedal
from trainer.keys.trial import Trial
from trainer.screens.terminal.presses import KeyUp, RepeatedKey
from trainer.session.sitting import Sitting


async def test_the_very_next_key_becomes_the_pedal(sitting: Sitting, press: Press) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        assert "Press the key or button now… (Esc leaves it as it was)" in text_of(screen, "sentence")
        await press(pilot, "b", LATER_S)
        assert sitting.settings.pedal == "b"
        assert row_text(screen, "pedal").split() == ["PEDAL", "b"]
    assert written(sitting) == {"pedal": "b"}


async def test_what_the_pedal_sends_is_shown_as_it_arrives(sitting: Sitting, press: Press) -> None:
    # A tap, its contact bouncing; half a second later a second tap that is held: after 500 ms it repeats every 33 ms.
    rows = [
        (0.000, "Last press: tap\n", "taps 1 · repeats 0 · bounces 0"),
        (0.005, "Last press: bounce, 5 ms after", "taps 1 · repeats 0 · bounces 1"),
        (1.000, "Last press: tap, 995 ms after", "taps 2 · repeats 0 · bounces 1"),
        (1.500, "Last press: tap, 500 ms after", "taps 3 · repeats 0 · bounces 1"),
        (1.533, "Last press: repeat, 33 ms after", "taps 2 · repeats 2 · bounces 1"),
        (1.566, "Last press: repeat, 33 ms after", "taps 2 · repeats 3 · bounces 1"),
    ]
    async with opened(sitting) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        for at_s, last, counts in rows:
            await press(pilot, "b", LATER_S + at_s)
            assert last in text_of(screen, "sentence")
            assert counts in text_of(screen, "sentence")
        await press(pilot, "escape", LATER_S + 3)
        assert text_of(screen, "sentence").startswith(SETTINGS["pedal"].sentence)
        assert pilot.app.screen is screen


async def test_where_releases_are_told_the_trial_counts_them_and_guesses_nothing(sitting: Sitting) -> None:
    """Down, its contact bouncing, up; then held: the terminal says that it repeats."""
    told = [
        (events.Key("b", "b"), 0.0),
        (KeyUp("b"), 0.003),
        (events.Key("b", "b"), 0.006),
        (KeyUp("b"), 0.2),
        (events.Key("b", "b"), 0.25),
        (RepeatedKey("b", "b"), 0.75),
        (RepeatedKey("b", "b"), 0.78),
        (KeyUp("b"), 0.8),
    ]
    async with opened(sitting) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        for event, at_s in told:
            event.time = LATER_S + at_s
            pilot.app.post_message(event)
        await pilot.pause()
        assert "taps 2 · repeats 2 · bounces 1 · releases 3" in text_of(screen, "sentence")


async def test_a_click_is_learned_as_a_pedal_and_its_release_seen(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        await click(pilot, "#sentence", 3, LATER_S, LATER_S + 0.1)
        assert sitting.settings.pedal == "mouse_right"
        assert "RIGHT CLICK was learned" in text_of(screen, "sentence")
        assert "taps 1 · repeats 0 · bounces 0 · releases 1" in text_of(screen, "sentence")
    assert tomllib.loads(sitting.places.settings.read_text())["pedal"] == "mouse_right"


async def test_a_footswitch_is_learned_tried_and_put_to_use(sitting: Sitting, cables: Cables) -> None:
    cables.connect("floor board")
    async with opened(sitting) as (pilot, screen):
        assert cables.opened == {}
        goto(screen, "pedal")
        await pilot.press("enter")
        assert "the key, button or footswitch" in text_of(screen, "sentence")
        for value in (127, 0, 127, 0):
            cables.opened["floor board"].put(bytes([0xB0, 64, value]))
            await pilot.pause()
        assert sitting.settings.pedal == "midi_control_64"
        assert "MIDI CONTROL 64 was learned" in text_of(screen, "sentence")
        assert "releases 2" in text_of(screen, "sentence")
        await pilot.press("escape")
        assert cables.opened, "it is the pedal now"
    assert cables.opened == {}


async def test_without_a_footswitch_learning_a_pedal_says_why_and_goes_on(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        assert "No MIDI input was found." in text_of(screen, "notice")
        await press_later(pilot, "b")
        assert sitting.settings.pedal == "b"
        goto(screen, "double")
        screen.say("")
        await pilot.press("enter")
        assert "MIDI" not in text_of(screen, "notice")


async def test_inputs_opened_to_learn_are_closed_when_a_key_was_learned(sitting: Sitting, cables: Cables) -> None:
    cables.connect("floor board")
    async with opened(sitting) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        await press_later(pilot, "b")
        await pilot.press("escape")
        assert cables.opened == {}


async def test_a_click_is_no_key_for_a_command(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "double")
        await pilot.press("enter")
        await click(pilot, "#sentence", 1, LATER_S, LATER_S + 0.1)
        assert sitting.settings.keys == {}
        assert screen.learning is not None


def test_a_trial_of_one_press_has_no_gap() -> None:
    assert Trial("space").pressed(5.0).gap_s is None


@pytest.mark.parametrize("key", ["q", "up"])
async def test_a_key_that_cannot_be_the_pedal_is_refused_and_does_nothing_else(
    sitting: Sitting, press: Press, key: str
) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        await press(pilot, key, LATER_S)
        assert text_of(screen, "notice") == why_no_pedal("pedal", key, sitting.settings)
        assert pilot.app.screen is screen
        assert screen.row().name == "pedal"
        assert sitting.settings.pedal == "space"
    assert not sitting.places.settings.exists()


async def test_escape_leaves_the_pedal_as_it_was(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter", "escape")
        assert sitting.settings.pedal == "space"
        assert pilot.app.screen is screen
        assert text_of(screen, "sentence").startswith(SETTINGS["pedal"].sentence)


async def test_enter_held_down_is_not_learned_by_mistake_but_pressed_again_it_is(
    sitting: Sitting, press: Press
) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "pedal")
        await press(pilot, "enter", LATER_S)
        for at_s in (0.5, 0.533, 0.566):
            await press(pilot, "enter", LATER_S + at_s)
        assert screen.learning is not None
        await press(pilot, "enter", LATER_S + 2)
        assert sitting.settings.pedal == "enter"


async def test_the_end_pedal_is_learned_and_taken_out_and_never_the_pedal(sitting: Sitting, press: Press) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "end_pedal")
        await pilot.press("enter")
        await press(pilot, "space", LATER_S)
        assert sitting.settings.end_pedal is None
        assert "The key SPACE is the pedal already." in text_of(screen, "notice")
        await pilot.press("enter")
        await press(pilot, "pagedown", LATER_S + 5)
        assert sitting.settings.end_pedal == "pagedown"
        await pilot.press("escape", "left")
        assert sitting.settings.end_pedal is None
        assert row_text(screen, "end_pedal").endswith("none")


async def test_a_command_is_put_on_another_key_and_given_back_its_own(sitting: Sitting, press: Press) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "faster")
        await pilot.press("enter")
        await press(pilot, "a", LATER_S)
        assert dict(sitting.settings.keys) == {"faster": "a"}
        assert row_text(screen, "faster").split() == ["key:", "faster", "a"]
        assert written(sitting) == {"keys": {"faster": "a"}}
        sitting.begin(sitting.library.to_choice("531"))
        await pilot.press("escape")
        pilot.app.practise(sitting.library.to_choice("531"), Fraction(100))  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("a", "up")  # the old key is free now
        assert sitting.session is not None
        assert sitting.session.chosen.tempo_bpm == 105
        await pilot.press("f2")
        goto(pilot.app.screen, "faster")  # type: ignore[arg-type]
        await pilot.press("left")
        assert dict(sitting.settings.keys) == {}
        await pilot.press("escape", "up")
        assert sitting.session.chosen.tempo_bpm == 110


async def test_a_key_another_command_has_is_refused(sitting: Sitting, press: Press) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "faster")
        await pilot.press("enter")
        await press(pilot, "g", LATER_S)
        assert dict(sitting.settings.keys) == {}
        assert "The key g is “give up”" in text_of(screen, "notice")
