"""The floors of the house: what may import what, read from the sources and seen in a fresh interpreter."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from functools import cache
from graphlib import TopologicalSorter
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


@cache
def parsed(file: Path) -> ast.Module:
    return ast.parse(file.read_text(encoding="utf-8"))


@cache
def imported(file: Path) -> frozenset[str]:
    """The modules that a source file imports anywhere in it."""
    names: set[str] = set()
    for node in ast.walk(parsed(file)):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module or "")
    return frozenset(names)


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


PROGRAM = """
import contextlib, importlib, io, json, sys
seen = {}

def note(name, status=0):
    seen[name] = [status, sorted(sys.modules)]

for module in sys.argv[1].split():
    importlib.import_module(module)
note("the core")
from trainer.commands.line import main
for words in sys.argv[2].splitlines():
    status = 0
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        try:
            status = main(words.split())
        except SystemExit as left:
            status = left.code
    note(words, status)
import trainer.screens.app
note("the first screen")
print(json.dumps(seen))
"""

SILENT = {"--help": 0, "explain --help": 0, "explain 531": 0, "explain 531 --json": 0, "explain 543": 2}
"""Commands that make no sound, and what they leave with."""


@pytest.fixture(scope="module")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[int, set[str]]]:
    """What one fresh interpreter has loaded after one thing and the next, and what that left with: lightest first."""
    modules = [
        ".".join(file.relative_to(ROOT).with_suffix("").parts)
        for folder in ("siteswap", "timing")
        for file in sources(folder)
        if file.name != "__init__.py"
    ]
    outcome = run("-c", PROGRAM, " ".join(modules), "\n".join(SILENT), home=tmp_path_factory.mktemp("home"))
    assert outcome.returncode == 0, outcome.stderr
    return {name: (status, set(names)) for name, (status, names) in json.loads(outcome.stdout).items()}


def test_the_core_pulls_in_nothing_heavy(loaded: dict[str, tuple[int, set[str]]]) -> None:
    _, names = loaded["the core"]
    assert "trainer.timing.score" in names
    assert not names & HEAVY


@pytest.mark.parametrize("words", SILENT)
def test_a_silent_command_pulls_in_nothing_heavy(words: str, loaded: dict[str, tuple[int, set[str]]]) -> None:
    status, names = loaded[words]
    assert (status or 0) == SILENT[words]
    assert "argparse" in names
    assert not names & HEAVY


def test_the_first_screen_waits_for_no_plots_and_pictures(loaded: dict[str, tuple[int, set[str]]]) -> None:
    _, names = loaded["the first screen"]
    assert "textual" in names
    assert not {"textual_plot", "resvg_py", "trainer.screens.lookback.progress"} & names


# -- the shape of the house ---------------------------------------------------------------------------------------

MOST_ROOMS, MOST_FLOORS, MOST_LOOSE, MOST_LINES = 18, 8, 4, 400


def name_of(file: Path) -> str:
    return ".".join(file.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def arrows() -> dict[str, set[str]]:
    """Each module of ours with those it imports anywhere in it, for the type checker too."""
    files = {name_of(file): file for file in sources()}
    found: dict[str, set[str]] = {name: set() for name in files}
    for name, file in files.items():
        for node in ast.walk(parsed(file)):
            if isinstance(node, ast.Import):
                found[name].update(alias.name for alias in node.names if alias.name in files)
            elif isinstance(node, ast.ImportFrom) and node.module in files:
                full = [f"{node.module}.{alias.name}" for alias in node.names]
                found[name].update(each if each in files else node.module for each in full)
        found[name].discard(name)
    return found


def rooms() -> dict[str, set[str]]:
    """Each package and loose module of trainer/ with those it imports from."""
    found: dict[str, set[str]] = {}
    for name, others in arrows().items():
        if name != "trainer":
            room = name.split(".")[1]
            found.setdefault(room, set()).update({each.split(".")[1] for each in others - {"trainer"}} - {room})
    return found


def test_there_are_few_rooms_and_fewer_floors() -> None:
    house = rooms()
    assert "siteswap" in house["timing"]
    assert len(house) <= MOST_ROOMS
    floor: dict[str, int] = {}
    for room in TopologicalSorter(house).static_order():
        floor[room] = 1 + max((floor[each] for each in house[room]), default=0)
    assert max(floor.values()) <= MOST_FLOORS


def test_no_files_import_each_other_in_a_circle() -> None:
    files = arrows()
    assert "trainer.siteswap.pattern" in files["trainer.timing.score"]
    assert len(list(TopologicalSorter(files).static_order())) == len(files)


def test_few_modules_stand_loose_and_no_file_is_long() -> None:
    assert len([file for file in TRAINER.glob("*.py") if file.name != "__init__.py"]) <= MOST_LOOSE
    assert [file for file in sources() if len(file.read_text(encoding="utf-8").splitlines()) > MOST_LINES] == []
