"""The table of commands: complete, free of clashes, and the user's own keys checked against all of it."""

from __future__ import annotations

from itertools import combinations

import pytest
from textual.app import App
from textual.binding import Binding

from tests.each import each
from trainer.config import NOT_KEYS, Settings
from trainer.keys.commands import (
    ALL,
    COMMANDS,
    EVERYWHERE,
    KEYS_THAT_STAY,
    OF_THE_APP,
    Command,
    check_remapped,
    commands_of,
    find_command,
    keys_of,
    why_not,
)
from trainer.screens.app import TrainerApp
from trainer.screens.lookback.logbook import LogbookScreen
from trainer.screens.lookback.progress import ProgressScreen
from trainer.screens.parts.keyline import bindings_of
from trainer.screens.patterns.screen import PatternsScreen
from trainer.screens.practice.screen import PracticeScreen
from trainer.screens.setup.screen import SetupScreen

SCREENS = {
    "patterns": PatternsScreen,
    "practice": PracticeScreen,
    "setup": SetupScreen,
    "logbook": LogbookScreen,
    "progress": ProgressScreen,
}
FREE = [command for command in COMMANDS if not command.fixed]
PEDAL = Settings().pedal


@each(COMMANDS)
def test_a_command_is_complete(command: Command) -> None:
    assert command.keys
    assert command.label
    assert command.help.endswith((".", "?"))
    assert set(command.screens) <= set(EVERYWHERE)
    assert not set(command.keys) & NOT_KEYS.keys()


def test_each_name_is_given_once() -> None:
    assert len({command.name for command in COMMANDS}) == len(COMMANDS)


@pytest.mark.parametrize("screen", ALL)
def test_no_two_commands_of_a_screen_share_a_key(screen: str) -> None:
    for one, other in combinations(commands_of(screen), 2):
        assert not set(one.keys) & set(other.keys), (one.name, other.name)


@pytest.mark.parametrize("screen", ALL)
def test_help_and_leave_are_on_each_screen_and_in_its_footer(screen: str) -> None:
    bindings = [each for each in bindings_of(screen) if isinstance(each, Binding)]
    shown = {key for binding in bindings if binding.show for key in binding.key.split(",")}
    assert {"q", "question_mark"} <= shown


@pytest.mark.parametrize("screen", ALL)
def test_the_pedal_out_of_the_box_is_no_command(screen: str) -> None:
    assert all(PEDAL not in command.keys for command in commands_of(screen))


@pytest.mark.parametrize(("screen", "kind"), SCREENS.items())
def test_each_command_of_a_screen_has_an_action(screen: str, kind: type) -> None:
    for command in commands_of(screen):
        owner = TrainerApp if command.name in OF_THE_APP else kind
        assert callable(getattr(owner, f"action_{command.name}", None)), f"{owner.__name__} can't {command.name}"


def test_the_apps_commands_are_its_own_and_not_the_librarys() -> None:
    for name in OF_THE_APP:
        assert not hasattr(App, f"action_{name}"), name


@each(FREE)
def test_a_free_key_is_accepted(command: Command) -> None:
    assert check_remapped({command.name: "f12"}, (PEDAL,)) == ({command.name: "f12"}, [])
    assert keys_of(command, {command.name: "f12"}) == ("f12",)


@pytest.mark.parametrize("command", [each for each in COMMANDS if each.fixed], ids=lambda command: command.name)
def test_a_fixed_command_keeps_its_key(command: Command) -> None:
    accepted, notices = check_remapped({command.name: "f12"}, (PEDAL,))
    assert accepted == {}
    assert "keeps its key" in notices[0]
    assert keys_of(command, {command.name: "f12"}) == command.keys


@pytest.mark.parametrize("key", [*sorted(KEYS_THAT_STAY), *NOT_KEYS, PEDAL])
def test_a_key_that_means_something_else_is_refused(key: str) -> None:
    accepted, (notice,) = check_remapped({"faster": key}, (PEDAL,))
    assert accepted == {}
    assert notice.endswith(".")
    assert "faster" in notice


def test_every_clash_with_another_command_of_the_same_screen_is_refused_and_named() -> None:
    for command in FREE:
        for other in COMMANDS:
            if other.name == command.name or not set(other.screens) & set(command.screens):
                continue
            for key in other.keys:
                notice = why_not(command.name, key, {}, (PEDAL,))
                assert notice, (command.name, key)
                if "patterns" not in command.screens and key not in KEYS_THAT_STAY:
                    assert other.label in notice


def test_two_commands_cannot_be_put_on_one_key_and_the_first_keeps_it() -> None:
    accepted, notices = check_remapped({"faster": "f12", "slower": "f12"}, (PEDAL,))
    assert accepted == {"faster": "f12"}
    assert len(notices) == 1


def test_a_key_given_up_by_one_command_is_free_for_another() -> None:
    accepted, notices = check_remapped({"next_kit": "f12", "next_count": "k"}, (PEDAL,))
    assert (accepted, notices) == ({"next_kit": "f12", "next_count": "k"}, [])


def test_what_is_no_command_is_told() -> None:
    assert "no command" in why_not("fly", "f12", {}, ())
    assert find_command("fly") is None
