"""The table of commands: each name has a module with its words, and stands in the introduction."""

from importlib import import_module

import pytest

from trainer.commands.practise import INTRODUCTION
from trainer.commands.words import COMMANDS, LOG_COMMANDS

MODULES = {name: name for name in COMMANDS} | {f"log {name}": f"log_{name}" for name in LOG_COMMANDS}


@pytest.mark.parametrize(("name", "module"), MODULES.items())
def test_a_command_has_its_words_beside_what_it_does(name: str, module: str) -> None:
    command = import_module(f"trainer.commands.{module}")
    assert command.words().prog == f"throwbeat {name}"
    assert command.words().description.endswith(".")
    assert callable(command.run)


@pytest.mark.parametrize("name", MODULES)
def test_the_introduction_tells_of_each_command(name: str) -> None:
    told = "".join(line for line in INTRODUCTION.splitlines() if line.startswith(f"  throwbeat {name.split()[0]}"))
    assert name.split()[-1] in told
