"""The command log: a table for people, JSON for programs, one message where there is nothing to read."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest

from tests.commands.attempts import START, attempt
from trainer.commands.log import COLUMNS, cell_width, to_columns
from trainer.files.places import Places
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit


@pytest.fixture
def filled(kept: Places) -> Places:
    """A logbook of four attempts at two patterns."""
    with Logbook.open(kept.logbook, now=START) as logbook:
        session_id = logbook.begin_session(START)
        for each in (
            attempt(0),
            attempt(1, catches=9, ended=Ended.COLLECTED, prop="clubs"),
            attempt(2, pattern="3 mess", catches=None, ended=Ended.GIVEN_UP),
            attempt(3, catches=2, counted_by=CountedBy.TAPS, taps_unit=TapsUnit.ROUND, tempo=Fraction(515, 3)),
        ):
            logbook.add(Attempt(**{**{f: getattr(each, f) for f in each.__slots__}, "session_id": session_id}))
    return kept


TABLE = """\
when              pattern  prop     tempo  catches  by            ended      reached
2026-03-01 18:05  531      balls      180        4  beat          drop       flash best
2026-03-01 18:06  531      clubs      180        9  beat          collected  qualify best
2026-03-01 18:07  3 mess   balls      180        –  beat          given-up
2026-03-01 18:08  531      balls  171.667        2  taps (round)  drop       best

4 attempts at 2 patterns: 2 flashed, 1 qualified.
"""


def test_the_table_oldest_first_with_a_summary(cli: Callable[..., Any], filled: Places) -> None:
    assert cli("log") == (0, TABLE, "")


def test_the_last_few(cli: Callable[..., Any], filled: Places) -> None:
    out = cli("log", "--limit", "1")[1]
    assert [line[:16] for line in out.splitlines()[1:-2]] == ["2026-03-01 18:08"]
    assert out.endswith("\n1 attempt at 531: 0 flashed, 0 qualified.\n")


@pytest.mark.parametrize(("words", "found"), [(("5 3 1",), 3), (("mills", "mess"), 1), (("441",), 0)])
def test_of_one_pattern_however_it_is_written(
    cli: Callable[..., Any], filled: Places, words: tuple[str, ...], found: int
) -> None:
    status, out, _ = cli("log", *words, "--json")
    assert status == 0
    assert len(json.loads(out)) == found


def test_json_is_plain_ascii_whatever_the_names(cli: Callable[..., Any], kept: Places) -> None:
    with Logbook.open(kept.logbook, now=START) as logbook:
        session_id = logbook.begin_session(START)
        logbook.add(attempt(session_id=session_id, prop="ボール"))
    out = cli("log", "--json")[1]
    assert out.isascii()  # a terminal that is not UTF-8 still gets JSON
    (row,) = json.loads(out)
    assert row["prop"] == "ボール"
    assert row["started_at"] == "2026-03-01T18:05:00+01:00"


def test_no_logbook_is_no_fault_and_none_is_made(cli: Callable[..., Any], kept: Places) -> None:
    assert cli("log") == (0, "No attempts yet. Open “throwbeat” and make the first.\n", "")
    assert cli("log", "531") == (0, "No attempts at 531 yet. Open “throwbeat” and make the first.\n", "")
    assert cli("log", "--json") == (0, "[]\n", "")
    assert not kept.logbook.exists()


BAD = [
    (("--limit", "0"), "a whole number from 1"),
    (("--limit=-1",), "a whole number from 1"),
    (("--limit", "1.5"), "a whole number from 1"),
    (("--limit", "many"), "“many” was given as a limit"),
    (("--limit", "9" * 400), "limit"),
    (("532",), "come down on beat 5"),
]


@pytest.mark.parametrize(("words", "says"), BAD)
def test_bad_words_are_refused(refused: Callable[..., str], filled: Places, words: tuple[str, ...], says: str) -> None:
    assert says in refused("log", *words)


def test_a_damaged_logbook_is_named_and_left_as_it_was(refused: Callable[..., str], kept: Places) -> None:
    kept.logbook.write_bytes(b"not a database at all, " * 200)
    before = kept.logbook.read_bytes()
    assert refused("log").startswith(f"{kept.logbook}: The file was no logbook")
    assert refused("log", "--json").startswith(str(kept.logbook))
    assert kept.logbook.read_bytes() == before


def test_a_locked_logbook_is_named(
    refused: Callable[..., str], filled: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    open_to_read = Logbook.open_to_read
    monkeypatch.setattr(Logbook, "open_to_read", lambda path: open_to_read(path, wait_s=0.0))
    other = sqlite3.connect(filled.logbook, isolation_level=None)
    other.execute("PRAGMA locking_mode = EXCLUSIVE")
    other.execute("BEGIN EXCLUSIVE")
    try:
        assert "The logbook was locked by another program." in refused("log")
    finally:
        other.close()


def test_columns_line_up_where_letters_are_wide_and_long_ones_are_cut() -> None:
    attempts = (attempt(prop="ボール"), attempt(pattern="(6x,4)(4,6x)" * 4, juggler="Ada"), attempt(prop="x"))
    rows = to_columns(COLUMNS, attempts)
    assert len({cell_width(row[: row.index("180") if "180" in row else row.index("tempo") + 2]) for row in rows}) == 1
    assert "(6x,4)(4,6x)(6x…" in rows[2]
    assert "Ada" in rows[2]
    assert "who" in rows[0]
