"""The commands plan and sheet, as far as they need no screen."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from tests.commands.attempts import START, attempt
from tests.commands.conftest import Cli
from trainer.files.places import Places
from trainer.logbook.store import Logbook
from trainer.records.courses import PlanRun

JUDGED = 'name = "Judged"\nfor = "x"\n[[block]]\nkind = "judged"\npattern = "531"\nattempts = 3\n'


def judge(kept: Places, name: str, plan: str, *all_catches: int) -> None:
    """A run of a plan, with tries in its first block: invented figures."""
    with Logbook.open(kept.logbook, now=START) as logbook:
        session_id = logbook.begin_session(START)
        run = logbook.keep(PlanRun(session_id=session_id, started_at=START, name=name, plan=plan))
        for number, catches in enumerate(all_catches):
            tried = attempt(number, catches=catches, plan_run_uid=run.uid, block=0)
            logbook.add(replace(tried, session_id=session_id))


@pytest.fixture
def judged(kept: Places) -> Places:
    """A logbook with three judged tries at 531."""
    judge(kept, "judged", JUDGED, 4, 7, 2)
    return kept


def test_the_plans_are_listed_by_the_names_they_are_started_by(cli: Cli) -> None:
    said = cli("plan", "--list")
    assert said.status == 0
    assert {line.split()[0] for line in said.out.splitlines()} >= {"first-week", "fives", "passing-pair"}


def test_one_plan_is_printed_block_by_block(cli: Cli) -> None:
    said = cli("plan", "first", "week", "--list")
    assert re.search(r"4 climb +3 cascade +140 to 180, qualify", said.out)
    assert max(map(len, said.out.splitlines())) <= 79


def test_a_wrong_plan_is_told_and_the_others_are_listed(cli: Cli, kept: Places) -> None:
    (kept.patterns / "plans").mkdir(parents=True)
    (kept.patterns / "plans" / "bad.toml").write_text("name = 3\n", encoding="utf-8")
    said = cli("plan", "--list")
    assert said.status == 1
    assert "first-week" in said.out
    assert "bad.toml:1: name" in said.err


def test_an_unknown_plan_is_refused_before_the_screen_opens(refused: Callable[..., str]) -> None:
    assert "first-week" in refused("plan", "nosuch")


def test_a_plan_of_pauses_alone_is_refused_before_the_screen_opens(refused: Callable[..., str], tmp_path: Path) -> None:
    path = tmp_path / "pause.toml"
    path.write_text('name = "Pause"\nfor = "x"\n[[block]]\nkind = "rest"\nminutes = 1\n', encoding="utf-8")
    assert refused("plan", str(path)) == "There was no pattern in this plan. Add a block with one."


def test_the_sheet_of_the_last_judged_attempts(cli: Cli, judged: Places, tmp_path: Path) -> None:
    said = cli("sheet")
    assert "Judged attempts: 531" in said.out
    assert "Best: try 2, 7 catches (qualify)" in said.out
    out = tmp_path / "sheet.html"
    assert cli("sheet", "--out", str(out)).status == 0
    assert "<table>" in out.read_text(encoding="utf-8")


def test_a_run_that_cannot_be_read_any_more_hides_no_earlier_one(cli: Cli, judged: Places, tmp_path: Path) -> None:
    gone = JUDGED.replace("531", "Alder")  # no pattern of the library
    judge(judged, "never-tried", gone)
    judge(judged, "gone", gone, 9)
    said = cli("sheet")
    assert said.status == 0
    assert "Best: try 2, 7 catches (qualify)" in said.out
    (told,) = said.err.splitlines()
    assert told.startswith("throwbeat: A later run was left out: gone.toml:5: block[1].pattern: No pattern was called")
    assert cli("sheet", "--out", str(tmp_path / "sheet.html")).err == said.err


def test_of_runs_that_cannot_be_read_the_last_one_says_why(refused: Callable[..., str], kept: Places) -> None:
    judge(kept, "gone", JUDGED.replace("531", "Alder"), 9)
    assert "gone.toml:5: block[1].pattern: No pattern was called" in refused("sheet")


def test_a_sheet_that_is_there_is_kept_unless_forced(cli: Cli, refused: Callable[..., str], judged: Places) -> None:
    out = judged.logbook.with_name("sheet.txt")
    out.write_text("mine", encoding="utf-8")
    assert "there already" in refused("sheet", "--out", str(out))
    assert out.read_text(encoding="utf-8") == "mine"
    assert cli("sheet", "--out", str(out), "--force").status == 0
    assert "531" in out.read_text(encoding="utf-8")


def test_without_judged_attempts_and_with_another_ending_it_is_refused(refused: Callable[..., str]) -> None:
    assert "no judged attempts" in refused("sheet")
    assert ".html and .txt" in refused("sheet", "--out", "sheet.pdf")
