"""What the commands say: nothing that moves a terminal's cursor, to streams that are closed, full or unread as well."""

from __future__ import annotations

import ast
import json
import os
import shlex
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.commands.attempts import START, attempt
from tests.commands.streams import HEARD
from trainer import commands
from trainer.commands import terminal
from trainer.files.places import Places
from trainer.files.texts import one_line
from trainer.logbook import backups
from trainer.logbook.exchange import exported
from trainer.logbook.store import Logbook

ROOT = Path(__file__).parents[2]
EVIL = "a\x1b]0;owned\x07\x1b[2J\x9b31m\u202eb\u200bc\x7f\rd\ne"
"""A title for the window, a wiped screen, a colour, a line read from its end, a sign that can't be seen, line ends."""

OF_WORDS = (
    "{evil}", "{evil} --plain", "531 --tempo {evil}", "531 --dwell {evil}", "531 --count {evil}", "531 --plain {evil}",
    "plan {evil}", "plan --list {evil}", "plan {evil}.toml", "plan --{evil}", "sheet --out {evil}",
    "sheet --out {evil}.html", "explain {evil}", "explain 531 --tempo {evil}", "find --objects {evil} --period 3",
    "find --objects 3 --period 3 --contains {evil}", "link {evil} 531", "link 531 {evil}",
    "link 531 441 --highest {evil}", "render 531 --out {evil}", "render 531 --out {evil}.vtt --seconds 1",
    "render 531 --out x.wav --kit {evil}", "render 531 --out x.wav --hear {evil}", "render 531 --out {evil}/x.wav",
    "render 531 --out {evil}.csv --bits 24", "pack {evil} --out d", "pack first-week --out {evil} --kit {evil}",
    "sounds {evil}", "log {evil}", "log --limit {evil}", "log best {evil}", "log progress --prop {evil}",
    "log progress --count {evil}", "log progress --juggler {evil}", "log calendar --limit {evil}",
    "log chart --out {evil}", "log chart --out {evil}.svg", "log export {evil}", "log export {evil}.csv",
    "log export {evil}/x.csv", "log import {evil}", "log import {evil}.csv", "log import bad-{evil}.csv",
    "log backup {evil}", "log backup {evil}/x", "log restore {evil}", "log restore good-{evil}", "terms {evil}",
    "terms --json {evil}", "check {evil}", "demo {evil}", "log {evil} {evil}",
)  # fmt: skip


@pytest.fixture
def here(kept: Places, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Places:
    """In a folder with files of evil names, and a logbook with a try of evil names, as an older version let in."""
    monkeypatch.chdir(tmp_path)
    name = EVIL.replace("\n", "").replace("\r", "")
    with Logbook.open(kept.logbook, now=START) as book:
        book.begin_session(START)
        book.add(replace(attempt(0), session_id=1, juggler=name, prop=name, name=name, note=EVIL))
    backups.copy(kept.logbook, Path(f"good-{EVIL}"))
    Path(f"bad-{EVIL}.csv").write_text("uid\n")
    Path(f"{EVIL}.toml").write_text("x =\n")
    return kept


@pytest.mark.parametrize("words", OF_WORDS)
def test_words_and_names_of_files_reach_no_terminal_raw(cli: Callable[..., Any], here: Places, words: str) -> None:
    said = cli(*(word.format(evil=EVIL) for word in words.split()))
    told = said.out + said.err
    assert told
    assert one_line(told.replace("\n", "")) == told.replace("\n", "")
    assert all(line.startswith(("throwbeat: ", "  ")) for line in said.err.splitlines())


@pytest.mark.parametrize("words", ["log", "log best", "log progress", "log calendar", "log chart --out x.svg", "check"])
def test_a_logbook_with_such_names_is_told_of_too(cli: Callable[..., Any], here: Places, words: str) -> None:
    out = cli(*words.split()).out
    assert one_line(out.replace("\n", "")) == out.replace("\n", "")


@pytest.mark.parametrize("words", ["log --json", "log best --json", "log progress --json"])
def test_json_with_such_names_is_json_and_says_the_same(cli: Callable[..., Any], here: Places, words: str) -> None:
    out = cli(*words.split()).out
    assert one_line(out.replace("\n", "")) == out.replace("\n", "")
    assert json.loads(out)[0]["juggler"] == EVIL.replace("\n", "").replace("\r", "")


def test_json_escapes_signs_beyond_the_first_plane_as_two_halves(capsys: pytest.CaptureFixture[str]) -> None:
    terminal.tell_json(["\U000e0001\u061c\x7f🤹🏽\u200d♀️"], ensure_ascii=False)
    out = capsys.readouterr().out
    assert "\\udb40\\udc01\\u061c\\u007f🤹🏽\u200d♀️" in out
    assert json.loads(out) == ["\U000e0001\u061c\x7f🤹🏽\u200d♀️"]


def test_there_is_no_other_way_out() -> None:
    """No module of the commands prints or writes to a standard stream but through the gate."""
    for file in sorted(Path(commands.__file__).parent.glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if file.name != "terminal.py" and isinstance(node, ast.Call):
                called = ast.unparse(node.func)
                assert called != "print", file
                assert not called.endswith(("stdout.write", "stderr.write")), file


# -- streams that are closed, full or unread ------------------------------------------------------------------------

DONE, REFUSED = 0, 2
COMMANDS = (
    "--version", "--help", "log export --help", "explain 531", "explain 531 --json", "find --objects 3 --period 3",
    "find --objects 3 --period 3 --json", "find --objects 3 --period 3 --count", "link 531 441", "terms flash",
    "sounds", "plan --list", "plan first-week --list", "log", "log --json", "log best", "log calendar", "log progress",
    "log backup", "log export {home}/out.csv --force", "log import {home}/given.csv --dry-run",
    "render 531 --out {home}/out.vtt --seconds 2 --force", "log chart --out {home}/out.svg --force", "531 --plain",
    "531", "532",
)  # fmt: skip
REFUSED_ANYHOW = ("531", "532")
STREAMS = {
    ">&-": REFUSED,
    "2>&-": DONE,
    "<&-": DONE,
    ">/dev/full": REFUSED,
    "2>/dev/full": DONE,
    ">&- 2>&- <&-": REFUSED,
}


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home with a logbook, and beside it an exported one."""
    home = tmp_path_factory.mktemp("home")
    with Logbook.open(home / "logbook.sqlite", now=START) as book:
        book.begin_session(START)
        book.add(replace(attempt(0), session_id=1))
        (home / "given.csv").write_text("".join(exported(book, ".csv")), encoding="utf-8")
    (home / "settings.toml").write_text('output = "silent"\ntour = false\n')
    return home


def in_shell(line: str, home: Path, **more: str) -> subprocess.CompletedProcess[str]:
    environ = {**os.environ, "THROWBEAT_HOME": str(home), "PYTHONIOENCODING": "utf-8", **more}
    return subprocess.run(
        ["sh", "-c", line],
        cwd=ROOT,
        env=environ,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


PYTHON = shlex.quote(sys.executable)


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no device that is full")
@pytest.mark.parametrize(("streams", "unbuffered"), [*((streams, "") for streams in STREAMS), (">/dev/full", "1")])
def test_a_stream_that_is_closed_or_full_is_a_status_and_one_line(home: Path, streams: str, unbuffered: str) -> None:
    results = home / "results.json"
    heard = "" if "2>" in streams else HEARD
    lines = "\n".join(words.format(home=home) for words in COMMANDS)
    line = f"{PYTHON} -m tests.commands.streams {shlex.quote(str(results))} {heard} {streams}"
    done = in_shell(line, home, LINES_TO_RUN=lines, PYTHONUNBUFFERED=unbuffered)
    assert done.returncode == 0, done
    told = json.loads(results.read_text(encoding="utf-8"))
    assert len(told) == len(COMMANDS)
    for words, status, err in told:
        assert status == (REFUSED if words in REFUSED_ANYHOW else STREAMS[streams]), (words, err)
        assert "Error" not in err, words
        assert "went wrong" not in err, words
        if STREAMS[streams] is REFUSED and heard and words not in REFUSED_ANYHOW:
            assert err.count("\n") == 1, (words, err)
            assert err.startswith("throwbeat: What there was to say could not be written: "), words


@pytest.mark.skipif(sys.platform == "win32", reason="a shell of another kind")
def test_a_logbook_never_takes_the_place_of_a_closed_stream(home: Path) -> None:
    """What a library says on standard error went into the file that was opened next: number 2 was free."""
    program = (
        "import os, sys\n"
        "from trainer.commands.terminal import open_streams\n"
        "open_streams()\n"
        "file = open(sys.argv[1], 'wb')\n"
        "os.write(2, b'a warning of a library')\n"
        "sys.exit(file.fileno() < 3)\n"
    )
    line = f"{PYTHON} -c {shlex.quote(program)} {shlex.quote(str(home / 'next'))}"
    for streams in ("2>&-", "<&- 2>&-", ">&- 2>&- <&-"):
        assert in_shell(f"{line} {streams}", home).returncode == 0
        assert (home / "next").read_bytes() == b""


@pytest.mark.parametrize("words", ["explain 531", "terms"])
def test_who_reads_no_further_ends_a_command_in_silence(home: Path, words: str) -> None:
    done = in_shell(f"{PYTHON} -m trainer.commands.line {words} | head -1", home)
    assert done.returncode == 0
    assert done.stderr == ""
    assert done.stdout.count("\n") == 1
