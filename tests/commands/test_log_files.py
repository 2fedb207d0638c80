"""The commands log export, import, backup, restore, best and calendar as a user calls them."""

from __future__ import annotations

import json
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from tests.commands.attempts import START, attempt
from tests.logbook.tried import uid_of
from trainer.files.places import Places
from trainer.logbook import opening
from trainer.logbook.store import Logbook


@pytest.fixture
def filled(kept: Places) -> Places:
    """Three attempts of invented people."""
    with Logbook.open(kept.logbook, now=START) as logbook:
        session_id = logbook.begin_session(START)
        rows = (attempt(0), attempt(1, catches=9, prop="clubs", juggler="=Ada"), attempt(2, catches=None))
        logbook.add_all(replace(each, session_id=session_id) for each in rows)
    return kept


@pytest.mark.parametrize("ending", ["csv", "json", "CSV"])
def test_out_and_in_to_another_place(
    cli: Callable[..., Any], filled: Places, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str
) -> None:
    path = tmp_path / f"out.{ending}"
    assert cli("log", "export", str(path)) == (0, f"{path}: 3 attempts\n", "")
    monkeypatch.setenv("THROWBEAT_HOME", str(tmp_path / "another"))
    assert cli("log", "import", str(path), "--dry-run") == (0, f"{path}: 3 attempts would be imported.\n", "")
    assert json.loads(cli("log", "--json").out) == []
    assert cli("log", "import", str(path)) == (0, f"{path}: 3 attempts were imported.\n", "")
    assert cli("log", "import", str(path)).out == (
        f"{path}: 0 attempts were imported.\n3 attempts in it were known already and left as they are.\n"
    )
    assert len(json.loads(cli("log", "list", "--json").out)) == 3


def test_an_export_writes_over_nothing_unless_told_to(
    cli: Callable[..., Any], refused: Callable[..., str], filled: Places, tmp_path: Path
) -> None:
    path = tmp_path / "out.csv"
    path.write_text("mine")
    kept = f"{path} was there already and was left as it was. Give --force to write over it."
    assert refused("log", "export", str(path)) == kept
    assert path.read_text() == "mine"
    assert cli("log", "export", str(path), "--force").status == 0
    assert path.read_text().startswith("uid,")


def test_a_bad_import_is_one_line(refused: Callable[..., str], filled: Places, tmp_path: Path) -> None:
    path = tmp_path / "bad.csv"
    path.write_text("uid,colour\n")
    assert refused("log", "import", str(path)) == f"{path}:1: colour: There is no such field."
    assert "no ending known here" in refused("log", "import", str(tmp_path / "bad.xlsx"))
    assert "no ending known here" in refused("log", "export", str(tmp_path / "out"))
    assert "could not be read: No such file" in refused("log", "import", str(tmp_path / "none.csv"))


def test_backup_and_restore(cli: Callable[..., Any], refused: Callable[..., str], filled: Places) -> None:
    said = cli("log", "backup")
    (backup,) = opening.backups(filled.logbook)
    assert said == (0, f"{backup}  (made now)\n", "")
    assert cli("log", "backup").out == f"{backup}\n", "one a day"
    with Logbook.open(filled.logbook) as logbook:
        logbook.remove(uid_of(logbook, 1), corrected_at=START)
    status, out, _ = cli("log", "restore", str(backup))
    assert status == 0
    first, second = out.splitlines()
    assert first == f"{filled.logbook}: 3 attempts, as in {backup}"
    assert second.startswith("What was there before is kept in ")
    assert len(json.loads(cli("log", "--json").out)) == 3
    assert "There was no such file" in refused("log", "restore", str(filled.logbook.parent / "none"))


def test_a_backup_to_a_file(
    cli: Callable[..., Any], refused: Callable[..., str], filled: Places, tmp_path: Path
) -> None:
    path = tmp_path / "copy.sqlite"
    assert cli("log", "backup", str(path)) == (0, f"{path}: the logbook as it is now\n", "")
    with Logbook.open_to_read(path) as logbook:
        assert len(logbook.attempts()) == 3
    assert "was there already" in refused("log", "backup", str(path))
    assert cli("log", "backup", str(path), "--force").status == 0
    assert "the logbook itself" in refused("log", "backup", str(filled.logbook), "--force")


def test_a_backup_that_is_told_to_stop_leaves_nothing(
    refused: Callable[..., str], filled: Places, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    copied = opening.copied

    @contextmanager
    def told_to_stop(*given: Any) -> Iterator[Any]:
        with copied(*given) as made:
            signal.raise_signal(signal.SIGTERM)
            yield made

    monkeypatch.setattr(opening, "copied", told_to_stop)
    (tmp_path / "out").mkdir()
    assert refused("log", "backup", str(tmp_path / "out" / "copy.sqlite")) == "Stopped."
    assert list((tmp_path / "out").iterdir()) == []


def test_no_backup_of_nothing(refused: Callable[..., str], kept: Places) -> None:
    assert "There was no logbook to back up yet" in refused("log", "backup")
    assert not kept.logbook.exists()


BEST = """\
pattern  who   prop   by    best  on          tries  flashed  qualified
531      =Ada  clubs  beat     9  2026-03-01      1        1          1
531            balls  beat     4  2026-03-01      1        1          0
"""

CALENDAR = """\
day         attempts  min:s  catches  flashed  qualified
2026-03-01         3   0:08       13        2          1
"""


def test_bests_and_days(cli: Callable[..., Any], filled: Places) -> None:
    assert sorted(cli("log", "best").out.splitlines()) == sorted(BEST.splitlines())
    assert cli("log", "calendar") == (0, CALENDAR, "")
    best = {row["prop"]: row for row in json.loads(cli("log", "best", "--json").out)}["clubs"]
    assert best == {
        "pattern": "531", "name": None, "juggler": "=Ada", "prop": "clubs", "counted_by": "beat", "best_catches": 9,
        "best_day": "2026-03-01", "tries": 1, "flashes": 1, "qualifies": 1, "catches": 9, "seconds": 2.5,
        "last_day": "2026-03-01",
    }  # fmt: skip
    (day,) = json.loads(cli("log", "calendar", "--json", "--juggler", "=Ada", "--limit", "1").out)
    assert day == {"day": "2026-03-01", "attempts": 1, "attempts_s": 2.5, "tries": 1, "catches": 9, "flashes": 1,
                   "qualifies": 1}  # fmt: skip


def test_nothing_yet(cli: Callable[..., Any], kept: Places) -> None:
    assert cli("log", "best") == (0, "No tries yet. Open “throwbeat” and make the first.\n", "")
    assert cli("log", "calendar") == (0, "No practice yet. Open “throwbeat” and begin.\n", "")
    assert cli("log", "best", "--json").out == cli("log", "calendar", "--json").out == "[]\n"
