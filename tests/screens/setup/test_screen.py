"""The setup screen: every row changes what it says, by keyboard and by mouse, and nothing wrong gets in."""

from __future__ import annotations

import textwrap
from dataclasses import fields
from fractions import Fraction

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from tests.audio.manual_output import ManualOutput
from tests.screens.picture import all_of, shown
from tests.screens.setup.settled import LATER_S, Press, goto, index_of, opened, row_text, text_of, written
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.performance import Performance
from trainer.audio.sample import Sample
from trainer.config import SETTINGS, Changing, Settings
from trainer.keys.commands import COMMANDS, find_command
from trainer.keys.trial import Trial
from trainer.library.terms import read_terms
from trainer.screens.help import HelpScreen
from trainer.screens.parts.keyline import KeyLine
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.patterns.terms import TermsScreen
from trainer.screens.setup.rows import ROWS, TERMS
from trainer.screens.setup.screen import LABEL, SetupScreen
from trainer.session.sitting import Sitting


def test_every_setting_has_a_row_but_the_table_of_keys() -> None:
    shown = [row.name for row in ROWS if not row.command]
    assert sorted(shown) == sorted(each.name for each in fields(Settings) if each.name != "keys")


def test_every_command_that_can_be_remapped_has_a_row() -> None:
    shown = [row.name for row in ROWS if row.command]
    assert shown == [command.name for command in COMMANDS if not command.fixed]


def test_no_label_runs_into_its_value() -> None:
    assert [row.told.label for row in ROWS if len(row.told.label) >= LABEL] == []


async def test_what_was_measured_stands_in_its_row_on_coming_back(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        await pilot.press("m")
        await pilot.pause()
        sitting.use(latency_ms=85.0)  # as Enter there does
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert row_text(screen, "latency_ms").split() == ["latency", "85", "ms"]


async def test_a_notice_leaves_the_row_it_is_about_in_sight(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        while screen.row().name != "pedal":  # so it stands at the lower edge
            await pilot.press("down")
        screen.say("A notice that takes two rows of the list away, as one on keys and clicks and footswitches does.")
        await pilot.pause()
        assert "PEDAL" in "\n".join(shown(pilot.app))


async def test_enter_and_arrows_change_a_row_and_the_file(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "volume")
        await pilot.press("right")
        assert row_text(screen, "volume").split() == ["volume", "0.55"]
        goto(screen, "kit")
        await pilot.press("enter", "left", "left")
        assert row_text(screen, "kit").split() == ["kit", "headphones"]
    assert (sitting.settings.volume, sitting.settings.kit) == (0.55, "headphones")
    assert written(sitting) == {"volume": 0.55, "kit": "headphones"}


async def test_a_wrong_value_typed_is_refused_and_can_be_mended(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        before = sitting.settings
        goto(screen, "dwell")
        await pilot.press("enter")
        line = screen.query_one("#typed", Input)
        assert line.value == "2/3"
        line.value = "1"
        await pilot.press("enter")
        assert "out of range" in text_of(screen, "notice")
        assert line.value == "1"
        assert sitting.settings == before
        assert not sitting.places.settings.exists()
        line.value = "0.6"
        await pilot.press("enter")
        assert sitting.settings.dwell == Fraction(3, 5)
        assert not line.has_class("shown")
        assert screen.focused is screen.query_one("#settings")
        assert row_text(screen, "dwell").split() == ["dwell", "3/5"]


async def test_a_step_out_of_bounds_and_what_only_a_new_start_changes_are_told(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        sitting.use(volume=1.0)
        goto(screen, "volume")
        await pilot.press("right")
        assert sitting.settings.volume == 1.0
        assert "out of range" in text_of(screen, "notice")
        goto(screen, "output")
        await pilot.press("enter")
        assert "takes effect at the next start" in text_of(screen, "notice")


async def test_an_empty_line_leaves_a_setting_out(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        sitting.use(juggler="Ada")
        goto(screen, "juggler")
        await pilot.press("enter")
        screen.query_one("#typed", Input).value = ""
        await pilot.press("enter")
        assert sitting.settings.juggler is None
        assert row_text(screen, "juggler").endswith("none")
    assert "juggler" not in written(sitting)


async def test_q_and_the_help_key_in_the_list_and_in_the_line(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
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


# -- the mouse, the sizes, the sound ------------------------------------------------------------------------


async def test_a_click_changes_a_row(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        await pilot.click("#settings", offset=(3, index_of("heard")))
        assert sitting.settings.heard == "catches"
        await pilot.click("#settings", offset=(3, index_of("volume")))
        assert screen.query_one("#typed").has_class("shown")
        await pilot.click("#settings", offset=(3, index_of("heard")))
        await pilot.pause()
        assert not screen.query_one("#typed").has_class("shown")
        assert sitting.settings.heard == "both"


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_each_row_is_explained_by_its_sentence_of_the_settings_table_and_nothing_is_cut_off(
    sitting: Sitting, press: Press, size: tuple[int, int]
) -> None:
    async with opened(sitting, size) as (pilot, screen):
        box = screen.query_one("#sentence", Static)
        wide, high = box.size.width - 2, box.size.height
        for row in ROWS:
            goto(screen, row.name)
            await pilot.pause()
            command = find_command(row.name) if row.command else None
            explained = command.help if command else SETTINGS[row.name].sentence
            assert text_of(screen, "sentence").startswith(explained), row.name
            assert lines_needed(screen, wide) <= high, row.name
            if row.told.change is not Changing.CHOOSE:
                before = text_of(screen, "sentence")
                screen.action_change()
                if row.told.change is Changing.TYPE:
                    await pilot.pause()
                else:
                    assert text_of(screen, "sentence") != before, row.name  # told at once
                assert lines_needed(screen, wide) <= high, row.name
                screen.action_back() if row.told.change is Changing.TYPE else screen.highlighted()
        screen.trial = Trial("pagedown")
        for at_s in (LATER_S, LATER_S + 99.999):
            await press(pilot, "pagedown", at_s)
        assert "99999 ms" in text_of(screen, "sentence")
        assert lines_needed(screen, wide) <= high
        assert box.region.bottom <= size[1] - 1
        assert screen.query_one("#settings").size.height >= 10
        keys = screen.query_one(KeyLine)
        assert {each.description for each in keys.shown} == {"change", "more", "less", "leave", "help", "back", "terms"}
        assert len(keys.text) <= size[0]


def lines_needed(screen: SetupScreen, wide: int) -> int:
    return sum(len(textwrap.wrap(line, wide)) for line in text_of(screen, "sentence").splitlines())


async def test_a_kit_is_heard_when_chosen_and_then_there_is_silence(sitting: Sitting) -> None:
    output = sitting.output
    assert isinstance(output, ManualOutput)
    async with opened(sitting) as (pilot, screen):
        goto(screen, "kit")
        await pilot.press("enter")
        output.advance(RATE_HZ)
        assert isinstance(sitting.transport.scene, Sample)
        assert max(abs(int(block.max())) for block in output.played) > 300
        output.advance(3 * RATE_HZ)
        assert not output.played[-1].any()
        assert sitting.transport.failure is None


async def test_a_run_under_way_is_not_disturbed(sitting: Sitting, press: Press) -> None:
    output = sitting.output
    assert isinstance(output, ManualOutput)
    session = sitting.begin(sitting.library.to_choice("3"), Fraction(180))
    session.press(output.now_s)
    output.advance(3 * RATE_HZ)
    session.tick(output.now_s)
    async with opened(sitting) as (pilot, screen):
        goto(screen, "volume")
        await pilot.press("left")
        output.advance(RATE_HZ)
        scene = sitting.transport.scene
        assert isinstance(scene, Performance)
        assert scene.cues == ()
        assert session.view(output.now_s).beat == 8  # 4 s at 3 beats a second, less the count-in of 4


async def test_the_sample_is_part_of_a_run_that_has_ended(sitting: Sitting) -> None:
    output = sitting.output
    assert isinstance(output, ManualOutput)
    session = sitting.begin(sitting.library.to_choice("3"), Fraction(180))
    session.press(output.now_s)
    output.advance(3 * RATE_HZ)
    session.tick(output.now_s)
    session.press(output.now_s)
    output.advance(2 * RATE_HZ)
    session.tick(output.now_s)
    async with opened(sitting) as (pilot, screen):
        goto(screen, "volume")
        output.played.clear()
        await pilot.press("left")
        output.advance(RATE_HZ)
        assert max(abs(int(block.max())) for block in output.played) > 300
        assert isinstance(sitting.transport.scene, Performance)


async def test_a_settings_file_that_cannot_be_read_is_left_alone_and_the_change_holds_for_now(sitting: Sitting) -> None:
    sitting.places.settings.write_bytes(b"volume = [broken\n")
    async with opened(sitting) as (pilot, screen):
        goto(screen, "volume")
        await pilot.press("right")
        assert sitting.settings.volume == 0.55
        assert "settings.toml" in text_of(screen, "notice")
    assert sitting.places.settings.read_bytes() == b"volume = [broken\n"


def test_the_words_of_rows_are_terms_and_their_rows_are_there() -> None:
    assert set(TERMS) <= {row.name for row in ROWS}
    assert [word for word in TERMS.values() if read_terms().find(word) is None] == []


async def test_f3_opens_the_term_of_the_row_and_esc_comes_back_to_it(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        for row, title in (("dwell", "dwell"), ("latency_ms", "latency"), ("juggler", read_terms().terms[0].title)):
            goto(screen, row)
            await pilot.press("f3")
            await pilot.pause()
            assert term_of(pilot) == title, row
            await pilot.press("escape")
            await pilot.pause()
            assert pilot.app.screen is screen, row
            assert screen.row().name == row


async def test_f3_opens_the_term_of_an_exercise(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        for key, title in (("m", "latency"), ("r", "reaction time")):
            await pilot.press(key)
            await pilot.pause()
            await pilot.press("f3")
            await pilot.pause()
            assert term_of(pilot) == title, key
            await pilot.press("escape", "escape")
            await pilot.pause()
            assert pilot.app.screen is screen, key


def term_of(pilot: Pilot[None]) -> str:
    screen = pilot.app.screen
    assert isinstance(screen, TermsScreen)
    assert screen.term is not None
    return screen.term.title


async def test_a_pattern_of_a_term_opened_from_setup_leads_to_the_list(sitting: Sitting) -> None:
    async with opened(sitting) as (pilot, screen):
        goto(screen, "dwell")
        screen.navigator.open_terms("flash")
        await pilot.pause()
        screen.navigator.show_pattern("3 cascade")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PatternsScreen)
        assert pilot.app.screen.query_one("#query", Input).value == "3 cascade"


async def test_the_words_of_the_help_lead_to_their_terms(sitting: Sitting) -> None:
    term = read_terms().find("qualify")
    assert term is not None
    async with opened(sitting) as (pilot, screen):
        goto(screen, "dwell")
        for key, title in (("1", "flash"), ("4", "siteswap"), ("f3", "dwell")):
            await pilot.press("question_mark")
            await pilot.pause()
            assert term.text in all_of(pilot.app.screen.query_one("#helptext")), key
            await pilot.press(key)
            await pilot.pause()
            assert term_of(pilot) == title, key
            await pilot.press("escape")
            await pilot.pause()
            assert pilot.app.screen is screen, key
