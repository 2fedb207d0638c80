"""The setup screen: every row changes what it says, by keyboard and by mouse, and nothing wrong gets in."""

from __future__ import annotations

import textwrap
import tomllib
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from dataclasses import fields
from fractions import Fraction
from typing import Any

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Static

from tests.screens.conftest import Cables
from tests.screens.mouse import click
from trainer.audio.outputs import RATE_HZ, ManualOutput
from trainer.audio.performance import Performance
from trainer.audio.sample import Sample
from trainer.config import SENTENCES, Settings
from trainer.desk import Desk
from trainer.library.terms import read_terms
from trainer.screens.app import TrainerApp
from trainer.screens.commands import COMMANDS, find_command
from trainer.screens.help import HelpScreen
from trainer.screens.patterns import PatternsScreen
from trainer.screens.presses import KeyUp, RepeatedKey
from trainer.screens.rows import ROWS, TERMS, Change, why_no_pedal
from trainer.screens.setup import SetupScreen
from trainer.screens.terms import TermsScreen
from trainer.screens.trial import Trial

Press = Callable[[Pilot[None], str, float], Awaitable[None]]
LATER_S = 1e9
"""A stamp later than any the test driver gives."""


@asynccontextmanager
async def opened(desk: Desk, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[Pilot[None], SetupScreen]]:
    app = TrainerApp(desk)
    async with app.run_test(size=size) as pilot:
        await pilot.press("f2")
        await pilot.pause()
        assert isinstance(app.screen, SetupScreen)
        yield pilot, app.screen
    if app.failure is not None:
        raise app.failure


async def press_later(pilot: Pilot[None], key: str) -> None:
    """A key at a time when nothing can be repeating any more."""
    event = events.Key(key, key)
    event.time = LATER_S
    pilot.app.post_message(event)
    await pilot.pause()


def goto(screen: SetupScreen, name: str) -> None:
    screen.query_one("#settings", OptionList).highlighted = index_of(name)


def index_of(name: str) -> int:
    return next(index for index, row in enumerate(ROWS) if row.name == name)


def row_text(screen: SetupScreen, name: str) -> str:
    return str(screen.query_one("#settings", OptionList).get_option_at_index(index_of(name)).prompt)


def text_of(screen: SetupScreen, id: str) -> str:
    return str(screen.query_one(f"#{id}", Static).content)


def written(desk: Desk) -> dict[str, Any]:
    return tomllib.loads(desk.places.settings.read_text(encoding="utf-8"))


def test_every_setting_has_a_row_but_the_table_of_keys() -> None:
    shown = [row.name for row in ROWS if not row.command]
    assert sorted(shown) == sorted(each.name for each in fields(Settings) if each.name != "keys")


def test_every_command_that_can_be_remapped_has_a_row() -> None:
    shown = [row.name for row in ROWS if row.command]
    assert shown == [command.name for command in COMMANDS if not command.fixed]


async def test_each_row_is_explained_by_the_sentence_of_the_settings_table(desk: Desk) -> None:
    async with opened(desk) as (_, screen):
        for row in ROWS:
            goto(screen, row.name)
            screen._tell()
            command = find_command(row.name) if row.command else None
            explained = command.help if command else SENTENCES[row.name]
            assert text_of(screen, "sentence").startswith(explained), row.name


async def test_enter_and_arrows_change_a_row_and_the_file(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "volume")
        await pilot.press("right")
        assert row_text(screen, "volume").split() == ["volume", "0.55"]
        goto(screen, "kit")
        await pilot.press("enter", "left", "left")
        assert row_text(screen, "kit").split() == ["kit", "headphones"]
    assert (desk.settings.volume, desk.settings.kit) == (0.55, "headphones")
    assert written(desk) == {"volume": 0.55, "kit": "headphones"}


async def test_a_step_out_of_bounds_says_so(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        desk.use(volume=1.0)
        goto(screen, "volume")
        await pilot.press("right")
        assert desk.settings.volume == 1.0
        assert "out of range" in text_of(screen, "notice")


async def test_a_wrong_value_typed_is_refused_and_can_be_mended(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        before = desk.settings
        goto(screen, "dwell")
        await pilot.press("enter")
        line = screen.query_one("#typed", Input)
        assert line.value == "2/3"
        line.value = "1"
        await pilot.press("enter")
        assert "out of range" in text_of(screen, "notice")
        assert line.value == "1"
        assert desk.settings == before
        assert not desk.places.settings.exists()
        line.value = "0.6"
        await pilot.press("enter")
        assert desk.settings.dwell == Fraction(3, 5)
        assert not line.has_class("shown")
        assert screen.focused is screen.query_one("#settings")
        assert row_text(screen, "dwell").split() == ["dwell", "3/5"]


async def test_an_empty_line_leaves_a_setting_out(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        desk.use(juggler="Ada")
        goto(screen, "juggler")
        await pilot.press("enter")
        screen.query_one("#typed", Input).value = ""
        await pilot.press("enter")
        assert desk.settings.juggler is None
        assert row_text(screen, "juggler").endswith("none")
    assert "juggler" not in written(desk)


async def test_q_and_the_help_key_in_the_list_and_in_the_line(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "juggler")
        await pilot.press("enter", "q", "u")
        assert screen.query_one("#typed", Input).value == "qu"
        await pilot.press("question_mark")
        assert isinstance(pilot.app.screen, HelpScreen)
        await pilot.press("escape", "escape")
        assert pilot.app.screen is screen
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, PatternsScreen)
        await pilot.press("f2", "q")
        await pilot.pause()
        assert pilot.app._exit


# -- the pedal and the keys ---------------------------------------------------------------------------------


async def test_the_very_next_key_becomes_the_pedal(desk: Desk, press: Press) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        assert "Press the key or button now… (Esc leaves it as it was)" in text_of(screen, "sentence")
        await press(pilot, "b", LATER_S)
        assert desk.settings.pedal == "b"
        assert row_text(screen, "pedal").split() == ["PEDAL", "b"]
    assert written(desk) == {"pedal": "b"}


async def test_what_the_pedal_sends_is_shown_as_it_arrives(desk: Desk, press: Press) -> None:
    # A tap, its contact bouncing; half a second later a second tap that is held: after 500 ms it repeats every 33 ms.
    rows = [
        (0.000, "Last press: tap\n", "taps 1 · repeats 0 · bounces 0"),
        (0.005, "Last press: bounce, 5 ms after", "taps 1 · repeats 0 · bounces 1"),
        (1.000, "Last press: tap, 995 ms after", "taps 2 · repeats 0 · bounces 1"),
        (1.500, "Last press: tap, 500 ms after", "taps 3 · repeats 0 · bounces 1"),
        (1.533, "Last press: repeat, 33 ms after", "taps 2 · repeats 2 · bounces 1"),
        (1.566, "Last press: repeat, 33 ms after", "taps 2 · repeats 3 · bounces 1"),
    ]
    async with opened(desk) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        for at_s, last, counts in rows:
            await press(pilot, "b", LATER_S + at_s)
            assert last in text_of(screen, "sentence")
            assert counts in text_of(screen, "sentence")
        await press(pilot, "escape", LATER_S + 3)
        assert text_of(screen, "sentence").startswith(SENTENCES["pedal"])
        assert pilot.app.screen is screen


async def test_where_releases_are_told_the_trial_counts_them_and_guesses_nothing(desk: Desk) -> None:
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
    async with opened(desk) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        for event, at_s in told:
            event.time = LATER_S + at_s
            pilot.app.post_message(event)
        await pilot.pause()
        assert "taps 2 · repeats 2 · bounces 1 · releases 3" in text_of(screen, "sentence")


async def test_a_click_is_learned_as_a_pedal_and_its_release_seen(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        await click(pilot, "#sentence", 3, LATER_S, LATER_S + 0.1)
        assert desk.settings.pedal == "mouse_right"
        assert "RIGHT CLICK was learned" in text_of(screen, "sentence")
        assert "taps 1 · repeats 0 · bounces 0 · releases 1" in text_of(screen, "sentence")
    assert tomllib.loads(desk.places.settings.read_text())["pedal"] == "mouse_right"


async def test_a_footswitch_is_learned_tried_and_put_to_use(desk: Desk, cables: Cables) -> None:
    cables.connect("floor board")
    async with opened(desk) as (pilot, screen):
        assert cables.opened == {}
        goto(screen, "pedal")
        await pilot.press("enter")
        assert "the key, button or footswitch" in text_of(screen, "sentence")
        for value in (127, 0, 127, 0):
            cables.opened["floor board"].put(bytes([0xB0, 64, value]))
            await pilot.pause()
        assert desk.settings.pedal == "midi_control_64"
        assert "MIDI CONTROL 64 was learned" in text_of(screen, "sentence")
        assert "releases 2" in text_of(screen, "sentence")
        await pilot.press("escape")
        assert cables.opened, "it is the pedal now"
    assert cables.opened == {}


async def test_without_a_footswitch_learning_a_pedal_says_why_and_goes_on(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        assert "No MIDI input was found." in text_of(screen, "notice")
        await press_later(pilot, "b")
        assert desk.settings.pedal == "b"
        goto(screen, "double")
        screen.say("")
        await pilot.press("enter")
        assert "MIDI" not in text_of(screen, "notice")


async def test_inputs_opened_to_learn_are_closed_when_a_key_was_learned(desk: Desk, cables: Cables) -> None:
    cables.connect("floor board")
    async with opened(desk) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        await press_later(pilot, "b")
        await pilot.press("escape")
        assert cables.opened == {}


async def test_a_click_is_no_key_for_a_command(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "double")
        await pilot.press("enter")
        await click(pilot, "#sentence", 1, LATER_S, LATER_S + 0.1)
        assert desk.settings.keys == {}
        assert screen.learning is not None


def test_a_trial_of_one_press_has_no_gap() -> None:
    assert Trial("space").pressed(5.0).gap_s is None


@pytest.mark.parametrize("key", ["q", "up"])
async def test_a_key_that_cannot_be_the_pedal_is_refused_and_does_nothing_else(
    desk: Desk, press: Press, key: str
) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter")
        await press(pilot, key, LATER_S)
        assert text_of(screen, "notice") == why_no_pedal("pedal", key, desk.settings)
        assert pilot.app.screen is screen
        assert screen.row().name == "pedal"
        assert desk.settings.pedal == "space"
    assert not desk.places.settings.exists()


async def test_escape_leaves_the_pedal_as_it_was(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "pedal")
        await pilot.press("enter", "escape")
        assert desk.settings.pedal == "space"
        assert pilot.app.screen is screen
        assert text_of(screen, "sentence").startswith(SENTENCES["pedal"])


async def test_enter_held_down_is_not_learned_by_mistake_but_pressed_again_it_is(desk: Desk, press: Press) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "pedal")
        await press(pilot, "enter", LATER_S)
        for at_s in (0.5, 0.533, 0.566):
            await press(pilot, "enter", LATER_S + at_s)
        assert screen.learning is not None
        await press(pilot, "enter", LATER_S + 2)
        assert desk.settings.pedal == "enter"


async def test_the_end_pedal_is_learned_and_taken_out_and_never_the_pedal(desk: Desk, press: Press) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "end_pedal")
        await pilot.press("enter")
        await press(pilot, "space", LATER_S)
        assert desk.settings.end_pedal is None
        assert "The key SPACE is the pedal already." in text_of(screen, "notice")
        await pilot.press("enter")
        await press(pilot, "pagedown", LATER_S + 5)
        assert desk.settings.end_pedal == "pagedown"
        await pilot.press("escape", "left")
        assert desk.settings.end_pedal is None
        assert row_text(screen, "end_pedal").endswith("none")


async def test_a_command_is_put_on_another_key_and_given_back_its_own(desk: Desk, press: Press) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "faster")
        await pilot.press("enter")
        await press(pilot, "a", LATER_S)
        assert dict(desk.settings.keys) == {"faster": "a"}
        assert row_text(screen, "faster").split() == ["key:", "faster", "a"]
        assert written(desk) == {"keys": {"faster": "a"}}
        desk.begin(desk.library.to_choice("531"))
        await pilot.press("escape")
        pilot.app.practise(desk.library.to_choice("531"), Fraction(100))  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("a", "up")  # the old key is free now
        assert desk.session is not None
        assert desk.session.tempo_bpm == 105
        await pilot.press("f2")
        goto(pilot.app.screen, "faster")  # type: ignore[arg-type]
        await pilot.press("left")
        assert dict(desk.settings.keys) == {}
        await pilot.press("escape", "up")
        assert desk.session.tempo_bpm == 110


async def test_a_key_another_command_has_is_refused(desk: Desk, press: Press) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "faster")
        await pilot.press("enter")
        await press(pilot, "g", LATER_S)
        assert dict(desk.settings.keys) == {}
        assert "The key g is “give up”" in text_of(screen, "notice")


# -- the mouse, the sizes, the sound ------------------------------------------------------------------------


async def test_a_click_changes_a_row(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        await pilot.click("#settings", offset=(3, index_of("heard")))
        assert desk.settings.heard == "catches"
        await pilot.click("#settings", offset=(3, index_of("volume")))
        assert screen.query_one("#typed").has_class("shown")
        await pilot.click("#settings", offset=(3, index_of("heard")))
        await pilot.pause()
        assert not screen.query_one("#typed").has_class("shown")
        assert desk.settings.heard == "both"


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_nothing_is_cut_off_at_any_size(desk: Desk, size: tuple[int, int]) -> None:
    async with opened(desk, size) as (_, screen):
        box = screen.query_one("#sentence", Static)
        wide, high = box.size.width - 2, box.size.height
        for row in ROWS:
            goto(screen, row.name)
            screen._tell()
            assert lines_needed(screen, wide) <= high, row.name
            if row.change is not Change.CHOOSE:
                screen.action_change()
                assert lines_needed(screen, wide) <= high, row.name
                screen.action_back() if row.change is Change.TYPE else screen._settle()
        screen.trial = Trial("pagedown").pressed(0.0).pressed(99.999)
        screen._tell()
        assert lines_needed(screen, wide) <= high
        assert box.region.bottom <= size[1] - 1
        assert screen.query_one("#settings").size.height >= 10
        footer = screen.query_one("Footer").children
        assert {str(key.render()).split()[-1] for key in footer} == {
            "change", "more", "less", "leave", "help", "back", "terms"
        }  # fmt: skip
        assert sum(key.region.width for key in footer) <= size[0]
        assert max(key.region.right for key in footer) <= size[0]


def lines_needed(screen: SetupScreen, wide: int) -> int:
    return sum(len(textwrap.wrap(line, wide)) for line in text_of(screen, "sentence").splitlines())


async def test_a_kit_is_heard_when_chosen_and_then_there_is_silence(desk: Desk) -> None:
    output = desk.output
    assert isinstance(output, ManualOutput)
    async with opened(desk) as (pilot, screen):
        goto(screen, "kit")
        await pilot.press("enter")
        output.advance(RATE_HZ)
        assert isinstance(desk.transport.scene, Sample)
        assert max(abs(int(block.max())) for block in output.played) > 300
        output.advance(3 * RATE_HZ)
        assert not output.played[-1].any()
        assert desk.transport.failure is None


async def test_a_run_under_way_is_not_disturbed(desk: Desk, press: Press) -> None:
    output = desk.output
    assert isinstance(output, ManualOutput)
    session = desk.begin(desk.library.to_choice("3"), Fraction(180))
    session.press(output.now_s)
    output.advance(3 * RATE_HZ)
    session.tick(output.now_s)
    async with opened(desk) as (pilot, screen):
        goto(screen, "volume")
        await pilot.press("left")
        output.advance(RATE_HZ)
        scene = desk.transport.scene
        assert isinstance(scene, Performance)
        assert scene.cues == ()
        assert session.view(output.now_s).beat == 8  # 4 s at 3 beats a second, less the count-in of 4


async def test_the_sample_is_part_of_a_run_that_has_ended(desk: Desk) -> None:
    output = desk.output
    assert isinstance(output, ManualOutput)
    session = desk.begin(desk.library.to_choice("3"), Fraction(180))
    session.press(output.now_s)
    output.advance(3 * RATE_HZ)
    session.tick(output.now_s)
    session.press(output.now_s)
    output.advance(2 * RATE_HZ)
    session.tick(output.now_s)
    async with opened(desk) as (pilot, screen):
        goto(screen, "volume")
        output.played.clear()
        await pilot.press("left")
        output.advance(RATE_HZ)
        assert max(abs(int(block.max())) for block in output.played) > 300
        assert isinstance(desk.transport.scene, Performance)


async def test_what_only_a_new_start_changes_says_so(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "output")
        await pilot.press("enter")
        assert "takes effect at the next start" in text_of(screen, "notice")


async def test_a_settings_file_that_cannot_be_read_is_left_alone_and_the_change_holds_for_now(desk: Desk) -> None:
    desk.places.settings.write_bytes(b"volume = [broken\n")
    async with opened(desk) as (pilot, screen):
        goto(screen, "volume")
        await pilot.press("right")
        assert desk.settings.volume == 0.55
        assert "settings.toml" in text_of(screen, "notice")
    assert desk.places.settings.read_bytes() == b"volume = [broken\n"


def test_the_words_of_rows_are_terms_and_their_rows_are_there() -> None:
    assert set(TERMS) <= {row.name for row in ROWS}
    assert [word for word in TERMS.values() if read_terms().find(word) is None] == []


@pytest.mark.parametrize(("row", "title"), [("dwell", "dwell"), ("latency_ms", "latency"), ("juggler", "")])
async def test_f3_opens_the_term_of_the_row_and_esc_comes_back_to_it(desk: Desk, row: str, title: str) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, row)
        await pilot.press("f3")
        await pilot.pause()
        terms = pilot.app.screen
        assert isinstance(terms, TermsScreen)
        assert terms.term is not None
        assert terms.term.title == (title or read_terms().terms[0].title)
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert screen.row().name == row


@pytest.mark.parametrize(("key", "title"), [("m", "latency"), ("r", "reaction time")])
async def test_f3_opens_the_term_of_an_exercise(desk: Desk, key: str, title: str) -> None:
    async with opened(desk) as (pilot, _):
        await pilot.press(key)
        await pilot.pause()
        await pilot.press("f3")
        await pilot.pause()
        assert isinstance(pilot.app.screen, TermsScreen)
        assert pilot.app.screen.term is not None
        assert pilot.app.screen.term.title == title


async def test_a_pattern_of_a_term_opened_from_setup_leads_to_the_list(desk: Desk) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "dwell")
        screen.trainer.open_terms("flash")
        await pilot.pause()
        screen.trainer.show_pattern("3 cascade")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PatternsScreen)
        assert pilot.app.screen.query_one("#query", Input).value == "3 cascade"


@pytest.mark.parametrize(("key", "title"), [("1", "flash"), ("4", "siteswap"), ("f3", "dwell")])
async def test_the_words_of_the_help_lead_to_their_terms(desk: Desk, key: str, title: str) -> None:
    async with opened(desk) as (pilot, screen):
        goto(screen, "dwell")
        await pilot.press("question_mark")
        await pilot.pause()
        text = str(pilot.app.screen.query_one("#helptext", Static).content)
        term = read_terms().find("qualify")
        assert term is not None
        assert term.text in text
        await pilot.press(key)
        await pilot.pause()
        assert isinstance(pilot.app.screen, TermsScreen)
        assert pilot.app.screen.term is not None
        assert pilot.app.screen.term.title == title
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen
