"""The floors of the house: what may import what, read from the sources and seen in a fresh interpreter."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TRAINER = ROOT / "trainer"
HEAVY = frozenset({"textual", "rich", "numpy", "sqlite3", "miniaudio", "_miniaudio", "simpleaudio", "tomlkit"})
OWNERS = {
    "textual": ("screens",),
    "textual_plot": ("screens",),
    "sqlite3": ("logbook",),
    "numpy": ("audio",),
    "miniaudio": ("audio/outputs",),
    "simpleaudio": ("audio/outputs",),
}
"""A library → the only folders and files that may import it."""

WORLDLY = frozenset(
    [
        "asyncio",
        "datetime",
        "io",
        "os",
        "pathlib",
        "random",
        "secrets",
        "shutil",
        "socket",
        "subprocess",
        "tempfile",
        "threading",
        "time",
    ]
)
"""Ways to a clock, a file or chance: the core is given these, it never fetches them."""


def run(*arguments: str, home: Path) -> subprocess.CompletedProcess[str]:
    """A fresh interpreter in an empty folder, that finds this checkout and keeps its things in `home`."""
    environ = {**os.environ, "PYTHONPATH": str(ROOT), "THROWBEAT_HOME": str(home), "PYTHONIOENCODING": "utf-8"}
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=home,
        env=environ,
        capture_output=True,
        text=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
        check=False,
    )


def imported(file: Path) -> Iterator[str]:
    """The modules that a source file imports anywhere in it."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or ""


def sources(folder: str = "") -> list[Path]:
    files = sorted((TRAINER / folder).rglob("*.py"))
    assert files
    return files


def test_the_import_contract_is_kept(tmp_path: Path) -> None:
    program = (
        "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(sys.argv[1], no_cache=True))"
    )
    outcome = run("-c", program, str(ROOT / "pyproject.toml"), home=tmp_path)
    assert outcome.returncode == 0, outcome.stdout + outcome.stderr
    assert "0 broken" in outcome.stdout


@pytest.mark.parametrize(("library", "owners"), OWNERS.items())
def test_a_library_is_imported_in_its_folders_only(library: str, owners: tuple[str, ...]) -> None:
    users = {
        file.relative_to(TRAINER) for file in sources() if library in {name.split(".")[0] for name in imported(file)}
    }
    assert {user for user in users if not any(user.is_relative_to(owner) for owner in owners)} == set()


@pytest.mark.parametrize("folder", ["siteswap", "timing"])
def test_the_core_is_given_time_files_and_chance(folder: str) -> None:
    """The standard library only, and nothing of it that reads a clock, a file or a random source."""
    for file in sources(folder):
        names = {name.split(".")[0] for name in imported(file)} - {"trainer"}
        assert names <= sys.stdlib_module_names, file
        assert not names & WORLDLY, file


def test_the_core_pulls_in_nothing_heavy(tmp_path: Path) -> None:
    modules = [
        ".".join(file.relative_to(ROOT).with_suffix("").parts)
        for folder in ("siteswap", "timing")
        for file in sources(folder)
        if file.name != "__init__.py"
    ]
    program = f"import {', '.join(modules)}, sys; print(*sorted(name.split('.')[0] for name in sys.modules))"
    outcome = run("-c", program, home=tmp_path)
    assert outcome.returncode == 0, outcome.stderr
    loaded = set(outcome.stdout.split())
    assert "trainer" in loaded
    assert not loaded & HEAVY


def test_the_first_screen_waits_for_no_plots_and_pictures(tmp_path: Path) -> None:
    program = "import trainer.screens.app, sys; print(*sys.modules)"
    outcome = run("-c", program, home=tmp_path)
    assert outcome.returncode == 0, outcome.stderr
    assert not {"textual_plot", "resvg_py", "trainer.screens.lookback.progress"} & set(outcome.stdout.split())


@pytest.mark.parametrize(
    "words",
    [["--help"], ["explain", "--help"], ["explain", "531"], ["explain", "531", "--json"], ["explain", "543"]],
    ids=" ".join,
)
def test_a_silent_command_pulls_in_nothing_heavy(words: list[str], tmp_path: Path) -> None:
    """What the interpreter itself says it imported, of the very command a user types."""
    outcome = run("-X", "importtime", "-m", "trainer.commands.line", *words, home=tmp_path)
    assert outcome.returncode == (2 if "543" in words else 0), outcome.stderr
    lines = [line for line in outcome.stderr.splitlines() if line.startswith("import time:")]
    loaded = {line.rsplit("|", 1)[1].strip().split(".")[0] for line in lines}
    assert "argparse" in loaded
    assert not loaded & HEAVY
