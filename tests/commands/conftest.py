"""The command line as a user calls it, with a home folder of the test's own."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from trainer.commands.line import main
from trainer.files.places import Places, places


class Said(NamedTuple):
    """How a command ended and what it printed."""

    status: int
    out: str
    err: str


Cli = Callable[..., Said]


@pytest.fixture(autouse=True)
def ctrl_c() -> Iterator[None]:
    """Heard: a suite begun in a shell's background inherits that it is ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Places:
    """Where the trainer keeps things during the test; the folder is there and empty."""
    home = tmp_path / "home"
    home.mkdir()
    monkeypatch.setenv("THROWBEAT_HOME", str(home))
    return places({"THROWBEAT_HOME": str(home)})


@pytest.fixture
def cli(kept: Places, capsys: pytest.CaptureFixture[str]) -> Cli:
    """Run a command line: `cli("explain", "531")`."""

    def run(*words: str) -> Said:
        capsys.readouterr()
        status = main(words)
        return Said(status, *capsys.readouterr())

    return run


@pytest.fixture
def refused(cli: Cli) -> Callable[..., str]:
    """Run a command line that has to be refused: status 2, nothing printed but one message, which is returned."""

    def run(*words: str) -> str:
        said = cli(*words)
        assert said.status == 2, said
        assert said.out == ""
        first, *pointer = said.err.splitlines()
        assert first.startswith("throwbeat: ")
        assert all(line.startswith("  ") for line in pointer)  # the text of a pattern, a mark under it, a suggestion
        assert "Traceback" not in said.err
        assert all(char.isprintable() or char == "\n" for char in said.err)
        return first.removeprefix("throwbeat: ")

    return run
