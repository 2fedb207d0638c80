"""What the screens take from private names of textual: all of it is in the table, and without it the trainer plays."""

from __future__ import annotations

import ast
import inspect
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import textual
from textual.app import App
from textual.drivers.linux_driver import LinuxDriver
from textual.screen import Screen
from textual.scroll_view import ScrollView
from textual.widgets import Checkbox, Input

from trainer.screens.terminal.keyboard import KeyboardParser

ROOT = Path(__file__).parents[2]
SCREENS = ROOT / "trainer" / "screens"

PRIVATE = {
    # file → the names, and what is lost without each
    "parts/private.py": {
        "_handle_exception": "a fault is written over the screen, not told in a line when the trainer has ended",
        "_pruning": "a key that comes while a screen is being closed may end the trainer",
        "_dispatch_message": "as _pruning",
        "_scroll_update": "a list of another length lays its screen out anew, as with each letter of the filter",
        "_compositor": "what moves is drawn by the library: a tenth of a core more",
        "_batch_count": "as _compositor",
        "_layout_required": "as _compositor",
        "_scroll_required": "as _compositor",
        "_display": "as _compositor",
        "visible_widgets": "as _compositor",
        "_styles_cache": "each look at the help takes half a megabyte for good",
        "get_inner_outer": "as _styles_cache",
    },
    "terminal/driver.py": {
        "_sigcont_application": "after SIGSTOP and SIGCONT each key is read twice, and it may hang",
        "_sigtstp_application": "with SIGTSTP it may hang",
        "_key_thread": "as _sigcont_application",
        "_auto_restart": "as _sigcont_application",
        "_must_signal_resume": "nobody is told of going on after SIGSTOP",
        "_app": "a terminal closed in the middle of leaving may keep the process alive",
        "_exit": "as _app",
        "_writer_thread": "no terminal is asked to tell when keys are let go; a held pedal is told by its repeats",
        "exit_event": "the library reads the keys: bytes that are no text end that, and no key is let go",
    },
    "terminal/keyboard.py": {
        "_ansi_sequences": "as exit_event",
        "_keyboard_protocol": "as exit_event",
        "_xterm_parser": "as exit_event",
        "_sequence_to_key_events": "the library's parser reads the keys: none is let go, F13 to F20 of old are others",
    },
}
"""A module stands for the names in it. Three have no underscore, but the library's manual does not tell of them."""

OURS = frozenset({"_replace"})
"""Names with an underscore that others document: the standard library's, of named tuples."""


@pytest.mark.live
@pytest.mark.parametrize("file", PRIVATE)
def test_with_each_name_called_otherwise_the_trainer_starts_practises_and_leaves(file: str, tmp_path: Path) -> None:
    environ = {**os.environ, "PYTHONPATH": str(ROOT)}
    program = [sys.executable, str(Path(__file__).with_name("renamed.py")), str(tmp_path), *PRIVATE[file]]
    ran = subprocess.run(program, env=environ, capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False)
    assert ran.returncode == 0, ran.stderr
    failed = json.loads(ran.stdout)
    assert failed == {}, "\n".join(f"{name}: {why}" for name, why in failed.items())


def private_names(file: Path, defined: set[str]) -> Iterator[str]:
    """The names of somebody else's private things that a source uses."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Attribute):
            names = [node.attr]
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("textual"):
            names = [*(node.module or "").split("."), *(alias.name for alias in node.names)]
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") in ("getattr", "hasattr"):
            names = [str(arg.value) for arg in node.args if isinstance(arg, ast.Constant)]
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            names = [node.name] if node.name in LIBRARY else []
        else:
            continue
        yield from (name for name in names if is_private(name) and (name in LIBRARY or name not in defined))


def is_private(name: str) -> bool:
    return name.startswith("_") and not name.startswith("__")


def own_names(file: Path) -> Iterator[str]:
    """What a source defines itself."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store):
            yield node.attr
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id


LIBRARY = {
    name
    for kind in (App, Screen, ScrollView, Input, Checkbox, LinuxDriver, KeyboardParser.__base__)
    for name in dir(kind)
    if is_private(name)
}
"""Private names of the library's classes that ours are made from: to define one is to use it."""


def test_no_other_private_name_of_the_library_is_used() -> None:
    files = sorted(SCREENS.rglob("*.py"))
    defined = {name for file in files for name in own_names(file)}
    used = {
        (file.relative_to(SCREENS).as_posix(), name)
        for file in files
        for name in private_names(file, defined)
        if name not in OURS
    }
    known = {(file, name) for file, names in PRIVATE.items() for name in names}
    assert used - known == set()


def test_each_name_of_the_table_is_the_librarys_and_is_used() -> None:
    """With a newer library one that is gone is found here first; what is lost then stands beside it."""
    folder = Path(inspect.getfile(textual)).parent
    library = {file.stem for file in folder.rglob("*.py")}
    sources = "\n".join(file.read_text(encoding="utf-8") for file in folder.rglob("*.py"))
    for file, names in PRIVATE.items():
        source = (SCREENS / file).read_text(encoding="utf-8")
        for name in names:
            assert name in source, (file, name)
            assert name in sources or name in library, name
