"""Opening a file that a user named: one way, which waits for nothing and holds no more than such a file has."""

from __future__ import annotations

import ast
import os
import sys
import time
from pathlib import Path

import pytest

import trainer
from trainer.files.checks import Wrong
from trainer.files.ordinary import Missing, open_ordinary, read_ordinary

OPENERS = {
    "files/ordinary.py": "the one way",
    "files/parts.py": "a new file, to be written",
    "logbook/processes.py": "what the system tells of processes",
}
"""The modules that open a file by its name for themselves, and which."""


def test_there_is_no_other_way_to_a_file() -> None:
    folder = Path(trainer.__file__).parent
    found = {}
    for file in sorted(folder.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                called = ast.unparse(node.func)
                if called in ("open", "io.open") or called.endswith((".read_text", ".read_bytes")):
                    found[file.relative_to(folder).as_posix()] = called
    assert found.keys() == OPENERS.keys()


@pytest.mark.skipif(sys.platform == "win32", reason="pipes and links of another kind")
def test_a_pipe_that_takes_the_place_of_a_file_is_not_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between the look at a name and its opening another may put something else there."""
    path, stat = tmp_path / "x", os.stat
    path.write_text("ordinary")

    def then_a_pipe(name: Path) -> os.stat_result:
        found = stat(name)
        path.unlink()
        os.mkfifo(path)
        return found

    monkeypatch.setattr(os, "stat", then_a_pipe)
    began_s = time.monotonic()
    with pytest.raises(Wrong, match="This was not an ordinary file"):
        open_ordinary(path, 100)
    assert time.monotonic() - began_s < 5


def test_of_a_file_that_grows_no_more_is_read_than_it_may_have(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, fstat = tmp_path / "x", os.fstat
    path.write_bytes(b"x" * 100)

    def then_more(descriptor: int) -> os.stat_result:
        found = fstat(descriptor)
        with path.open("ab") as file:
            file.write(b"x" * 1000)
        return found

    assert read_ordinary(path, 100) == b"x" * 100
    monkeypatch.setattr(os, "fstat", then_more)
    with pytest.raises(Wrong, match=r"The file was larger than 0 kB\."):
        read_ordinary(path, 100)


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights on this system")
def test_a_link_is_followed(tmp_path: Path) -> None:
    (tmp_path / "x").write_bytes(b"x")
    (tmp_path / "link").symlink_to(tmp_path / "x")
    assert read_ordinary(tmp_path / "link", 100) == b"x"
    (tmp_path / "nowhere").symlink_to(tmp_path / "none")
    with pytest.raises(Missing):
        read_ordinary(tmp_path / "nowhere", 100)


def test_no_descriptor_stays_open(tmp_path: Path) -> None:
    def next_number() -> int:
        number = os.open(os.devnull, os.O_RDONLY)
        os.close(number)
        return number

    (tmp_path / "x").write_bytes(b"x" * 200)
    before = next_number()
    for _ in range(50):
        with pytest.raises(Wrong):
            open_ordinary(tmp_path / "x", 100)
    assert next_number() == before
