"""Out and in again: nothing is lost on the way, nothing comes twice, and a bad file changes nothing."""

from __future__ import annotations

import csv
import json
import random
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.bench import million
from tests.logbook.mutating import mutated
from tests.logbook.tried import uid_of
from trainer.logbook.errors import LogbookError
from trainer.logbook.exchange import Imported, exported, import_file, try_import
from trainer.logbook.fields import FIELDS, moment
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit
from trainer.records.courses import ClimbKind, ClimbRule, LoggedClimb, PlanRun

AT = datetime(2026, 3, 29, 18, 30, 15, 250_001, tzinfo=timezone(timedelta(hours=2)))
PLAIN = Attempt(
    session_id=1, started_at=AT, pattern="441", objects=3, tempo=Fraction(515, 3), dwell=Fraction(2, 3), flash_at=3,
    qualify_at=6, catches=4, seconds=2.123456789, ended=Ended.DROP,
)  # fmt: skip
ODD = (
    "=HYPERLINK(1)", "+1", "-1", "@x", "\ttab", "\rreturn", "'quoted", "''", "a,b;c", 'say "x"', "two\r\nlines\n",
    "Ζωή עמית 🤹🏽\u200d♀️ ボール", "ordinary", " spaced ", "x" * 20_000,
)  # fmt: skip
"""Notes; those that are fit for names are names too."""


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a logbook with something of everything in it that has ended; made once."""
    with Logbook.open(tmp_path_factory.mktemp("filled") / "full.sqlite", now=AT) as book:
        book.begin_session(AT)
        climb = book.keep(LoggedClimb(
            session_id=1, started_at=AT, kind=ClimbKind.TEMPO, rule=ClimbRule.PLAIN, pattern="441",
            start=Fraction(515, 3), step="3%", goal="12 catches", up_after=2, down_after=1, target=Fraction(200),
            ended_at=AT + timedelta(minutes=3), threshold=181.5, spread=2.25,
        ))  # fmt: skip
        run = book.keep(PlanRun(session_id=1, started_at=AT, name="=Plan", plan="[[block]]\n", block=2))
        for number, odd in enumerate(ODD):
            name = odd if odd.isprintable() and len(odd) < 100 else None
            book.add(replace(
                PLAIN, started_at=AT + timedelta(seconds=number), catches=number, note=odd, juggler=name,
                prop=name or "balls", name=name,
            ))  # fmt: skip
        second = book.begin_session(AT + timedelta(days=1))
        book.add(replace(PLAIN, session_id=second, started_at=AT + timedelta(days=1), climb_uid=climb.uid))
        back = book.add(replace(PLAIN, session_id=second, plan_run_uid=run.uid, block=1, counted_by=CountedBy.TAPS,
                                taps_unit=TapsUnit.ROUND, catches=None, seconds=None, ended=Ended.TIME,
                                hiccups=3))  # fmt: skip
        book.correct(uid_of(book, back.id), corrected_at=AT, catches=40, fair=False)
        book.correct(uid_of(book, 3), note="@another", corrected_at=AT)
        book.remove(uid_of(book, 4), corrected_at=AT)
        return book.path


@pytest.fixture
def full(filled: Path, tmp_path: Path) -> Iterator[Logbook]:
    """A logbook with something of everything in it, and an attempt under way."""
    shutil.copy(filled, tmp_path / "full.sqlite")
    with Logbook.open(tmp_path / "full.sqlite", now=AT) as book:
        book.begin_attempt(replace(PLAIN, ended=None, catches=None, seconds=None))
        yield book


@pytest.fixture(scope="module")
def exported_lines(filled: Path) -> tuple[str, ...]:
    with Logbook.open_to_read(filled) as book:
        return tuple("".join(exported(book, ".json")).splitlines())


@pytest.fixture
def other(tmp_path: Path, empty_logbook: bytes) -> Iterator[Logbook]:
    """A new logbook."""
    (tmp_path / "logbook.sqlite").write_bytes(empty_logbook)
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        yield book


def told(book: Logbook) -> list[Any]:
    """All a logbook holds but its own numbers."""
    attempts = sorted((*book.attempts(), *book.removed()), key=lambda each: str(each.uid))
    return [
        [replace(each, id=None, session_id=0) for each in attempts],
        [(each.field, each.before, each.after, each.corrected_at)
         for attempt in attempts for each in book.corrections(attempt.uid or "")],
        [replace(climb, id=None, session_id=0) for climb in book.climbs()],
        [replace(run, id=None, session_id=0) for run in book.plan_runs()],
    ]  # fmt: skip


def written(book: Logbook, path: Path) -> Path:
    path.write_bytes("".join(exported(book, path.suffix)).encode())
    return path


@pytest.mark.parametrize("ending", [".csv", ".json"])
def test_out_and_in_again_and_a_second_time(full: Logbook, tmp_path: Path, ending: str) -> None:
    path = written(full, tmp_path / f"out{ending}")
    count = len(ODD) + 2
    with Logbook.open(tmp_path / "other.sqlite") as other:
        first = import_file(other, path, ending)
        assert first == (Imported(count, 0, 1, 1, 0) if ending == ".json" else Imported(count, 0, 0, 0, 2))
        attempts, corrections, climbs, runs = told(full)
        if ending == ".csv":  # one table: no climbs, plan runs and corrections
            attempts = [replace(each, climb_uid=None, plan_run_uid=None) for each in attempts]
            corrections, climbs, runs = [], [], []
        assert told(other) == [attempts, corrections, climbs, runs]
        assert [each.day for each in other.practised()] == [each.day for each in full.practised()]
        assert other.standings() == full.standings()
        assert import_file(other, path, ending) == Imported(known=count)
        assert told(other) == [attempts, corrections, climbs, runs]
        assert other.problems() == ()
        if ending == ".json":
            assert "".join(exported(other, ending)) == path.read_bytes().decode(), "every byte comes out again"
    assert import_file(full, path, ending) == Imported(known=count), "and into the logbook it is from"


@pytest.mark.parametrize("ending", [".csv", ".json"])
def test_the_made_up_tries_of_the_benches_come_in_again(tmp_path: Path, ending: str) -> None:
    million.made(tmp_path / "made.sqlite", 500)
    with Logbook.open_to_read(tmp_path / "made.sqlite") as book, Logbook.open(tmp_path / "other.sqlite") as other:
        path = written(book, tmp_path / f"out{ending}")
        assert import_file(other, path, ending) == Imported(attempts=500)
        assert other.standings() == book.standings()


def test_a_dry_run_says_the_same_and_changes_nothing(full: Logbook, tmp_path: Path) -> None:
    path = written(full, tmp_path / "out.json")
    with Logbook.open(tmp_path / "other.sqlite") as other:
        before = list(other.connection.iterdump())
        assert try_import(other, path, ".json") == Imported(len(ODD) + 2, 0, 1, 1, 0)
        assert list(other.connection.iterdump()) == before
        assert import_file(other, path, ".json").attempts == len(ODD) + 2


def test_no_cell_of_a_spreadsheet_begins_a_formula(full: Logbook, tmp_path: Path) -> None:
    """Signs that begin a formula: OWASP, CSV Injection."""
    with written(full, tmp_path / "out.csv").open(newline="", encoding="utf-8") as file:
        cells = [cell for row in csv.reader(file, strict=True) for cell in row]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    assert "'=HYPERLINK(1)" in cells


def test_the_table_is_as_the_standard_has_it(full: Logbook, tmp_path: Path) -> None:
    """RFC 4180: lines end in CR LF, quotes are doubled, and each line has as many fields."""
    content = written(full, tmp_path / "out.csv").read_bytes()
    assert content.startswith(",".join(field.name for field in FIELDS).encode() + b"\r\n")
    assert content.endswith(b"\r\n")
    assert b'"say ""x"""' in content


def test_a_file_without_identities_is_known_again(full: Logbook, tmp_path: Path) -> None:
    path = tmp_path / "by-hand.csv"
    path.write_text(
        "started_at,pattern,objects,prop,tempo_bpm,dwell_ratio,counted_by,ended,flash_at_catches,qualify_at_catches\n"
        "2026-01-02T10:00:00+01:00,5 3 4,4,rings,172.5,2/3,hand,drop,4,8\n"
    )
    assert import_file(full, path, ".csv") == Imported(attempts=1)
    assert import_file(full, path, ".csv") == Imported(known=1)
    found = full.attempts()[0]
    assert (found.pattern, found.tempo, found.dwell) == ("534", Fraction(345, 2), Fraction(2, 3))


def test_two_logbooks_brought_together_have_the_bests_of_both(full: Logbook, tmp_path: Path) -> None:
    with Logbook.open(tmp_path / "older.sqlite") as older:
        older.begin_session(AT)
        older.add(replace(PLAIN, started_at=AT - timedelta(days=100), catches=9))
        path = written(older, tmp_path / "older.csv")
    with Logbook.open(tmp_path / "newer.sqlite") as newer:
        newer.begin_session(AT)
        newer.add_all(replace(PLAIN, started_at=AT + timedelta(days=day), catches=8 + day) for day in range(4))
        import_file(newer, path, ".csv")
        assert [(each.catches, each.best) for each in newer.attempts()] == [
            (9, True), (8, False), (9, False), (10, True), (11, True),
        ]  # fmt: skip


BAD: list[tuple[str, Callable[[dict[str, Any]], object], str]] = [
    ("ended", lambda row: row.update(ended="bored"), "“bored” was none of drop, collected, goal, given-up, time."),
    ("tempo_bpm", lambda row: row.update(tempo_bpm="172/0"), "“172/0” was no number above 0"),
    ("tempo_bpm", lambda row: row.update(tempo_bpm="9" * 100), "was no number above 0"),
    ("dwell_ratio", lambda row: row.update(dwell_ratio="3/2"), "“3/2” was not between 0 and 1."),
    ("catches", lambda row: row.update(catches=-1), "“-1” was no whole number from 0."),
    ("catches", lambda row: row.update(catches=1.5), "“1.5” was no whole number from 0."),
    ("seconds", lambda row: row.update(seconds="nan"), "“nan” was no number of seconds."),
    ("started_at", lambda row: row.update(started_at="2026-03-29T18:30:15"), "was no moment such as"),
    ("started_at", lambda row: row.update(started_at="0001-01-01T00:00:00+00:00"), "was not in the years"),
    ("started_at", lambda row: row.update(started_at=None), "The value was missing."),
    ("pattern", lambda row: row.update(pattern="432"), "“432” was no pattern: "),
    ("objects", lambda row: row.update(objects=4), "The pattern has 3 objects, not 4."),
    ("qualify_at_catches", lambda row: row.update(qualify_at_catches=2), "a qualify as many or more."),
    ("taps_unit", lambda row: row.update(taps_unit="right"), "goes with counting by taps"),
    ("juggler", lambda row: row.update(juggler="a\x1b[31m"), "The text had a control character in it."),
    ("note", lambda row: row.update(note="\ud800"), "The text was no UTF-8."),
    ("uid", lambda row: row.update(uid="z" * 13), "was no identity"),
    ("fair", lambda row: row.update(fair="yes"), "“yes” was neither true nor false."),
    ("colour", lambda row: row.update(colour="red"), "There is no such field."),
    ("prop", lambda row: row.update(prop=["balls"]), "The value was a list or a table."),
    ("corrections", lambda row: row.update(corrections=[{}]), "A correction was no table of corrected_at"),
    ("corrections.field", lambda row: row["corrections"][0].update(field="prop"), "The value was none of catches"),
    ("corrections.after", lambda row: row["corrections"][0].update(after="x"), "could not be one of “catches”."),
]


@pytest.mark.parametrize(("field", "spoil", "says"), BAD, ids=[f"{row[0]}-{n}" for n, row in enumerate(BAD)])
def test_what_is_refused_names_line_and_field_and_changes_nothing(
    exported_lines: tuple[str, ...],
    other: Logbook,
    tmp_path: Path,
    field: str,
    spoil: Callable[[dict[str, Any]], object],
    says: str,
) -> None:
    path, lines = tmp_path / "out.json", list(exported_lines)
    place = next(n for n, line in enumerate(lines) if '"corrections": [{"corrected_at"' in line and "catches" in line
                 and '"field": "catches"' in line)  # fmt: skip
    comma = lines[place].endswith(",")
    row = json.loads(lines[place].rstrip(","))
    row |= {"uid": None, "counted_by": "beat", "taps_unit": None}
    spoil(row)
    lines[place] = json.dumps(row) + "," * comma
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(LogbookError) as caught:
        import_file(other, path, ".json")
    assert str(caught.value).startswith(f"{path}:{place + 1}: {field}: ")
    assert says in str(caught.value)
    assert (other.attempts(), other.climbs(), other.plan_runs()) == ((), (), ())
    assert other.read_one("SELECT COUNT(*) FROM sessions") == 0


BAD_FILES = [
    (".csv", b"", ":1: The file was empty."),
    (".csv", b"uid,color\r\n", ":1: color: There is no such field."),
    (".csv", b"uid,uid\r\n", ":1: uid: The field was there twice."),
    (".csv", b"uid\r\n", ":1: started_at: The field was missing in the first line."),
    (".json", b"", ":1: The file was no JSON: “{” was missing."),
    (".json", b"{}", ":1: format: The field was missing."),
    (".json", b'{"format": "recipes"}', ":1: format: The file was no exported logbook."),
    (".json", b'{"format": "throwbeat logbook",\n"version": 2}', ":2: version: The version was not 1"),
    (".json", b'{"format": "throwbeat logbook",\n\n"version": 1, "attempts": [{"uid": 1, "uid": 2}]}', ":3: uid: "),
    (".json", b'{"attempts": [\n[NaN]]}', ":2: The record could not be read: NaN is no number."),
    (".json", b'{"attempts": [' + b"[" * 100_000, ":1: The record could not be read: "),
    (".json", b'{"format": "throwbeat logbook", "version": 1, "attempts": []}\n}', ":2: Something stood behind"),
    (".json", b"\xff\xfe{}", ":1: The file was no UTF-8."),
]  # fmt: skip


@pytest.mark.parametrize(("ending", "content", "says"), BAD_FILES)
def test_a_file_that_is_none_of_ours(other: Logbook, tmp_path: Path, ending: str, content: bytes, says: str) -> None:
    path = tmp_path / f"bad{ending}"
    path.write_bytes(content)
    with pytest.raises(LogbookError) as caught:
        import_file(other, path, ending)
    assert str(caught.value).startswith(f"{path}{says}")
    with pytest.raises(LogbookError, match="The file could not be read: No such file or directory"):
        import_file(other, tmp_path / "none.csv", ending)


def test_a_full_disk_in_the_middle_of_an_import_leaves_nothing_of_it(full: Logbook, tmp_path: Path) -> None:
    path = written(full, tmp_path / "out.json")
    with Logbook.open(tmp_path / "other.sqlite") as other:
        pages = other.read_one("PRAGMA page_count")
        other.read_one(f"PRAGMA max_page_count = {pages + 5}")
        with pytest.raises(LogbookError, match="The disk was full, and nothing was written"):
            import_file(other, path, ".json")
        assert other.attempts() == ()
        assert other.problems() == ()
        other.read_one("PRAGMA max_page_count = 1000000")
        assert import_file(other, path, ".json").attempts == len(ODD) + 2


@pytest.mark.parametrize("ending", [".csv", ".json"])
def test_a_spoilt_file_is_read_or_refused_with_its_line_and_never_by_halves(
    full: Logbook, tmp_path: Path, ending: str
) -> None:
    chance = random.Random(2026)
    full.correct(uid_of(full, len(ODD)), note="short", corrected_at=AT)  # a long text only makes it slow
    whole = written(full, tmp_path / f"out{ending}").read_bytes()
    path = tmp_path / f"spoilt{ending}"
    read, refused = 0, []
    with Logbook.open(tmp_path / "other.sqlite") as other:
        before = list(other.connection.iterdump())
        for _ in range(40):
            path.write_bytes(mutated(whole, chance))
            try:
                try_import(other, path, ending)
            except LogbookError as error:
                refused.append(error)
            else:
                read += 1
        assert list(other.connection.iterdump()) == before
        assert other.problems() == ()
    assert read
    assert refused
    assert [error for error in refused if error.line is None or "\n" in str(error)] == []


@pytest.mark.parametrize("sign", ["\udcff", "x", "\n", "T "])
def test_a_moment_has_nothing_but_a_t_or_a_space_between_date_and_time(sign: str) -> None:
    with pytest.raises(ValueError, match="was no moment"):
        moment(f"2026-03-29{sign}18:30:15+02:00")
    assert moment("2026-03-29 18:30:15Z").utcoffset() == timedelta(0)
