"""Tables of events, read back by the csv and json modules of Python and held against the notation's rules."""

from __future__ import annotations

import csv
import json
from fractions import Fraction
from math import floor
from pathlib import Path
from random import Random
from typing import Any

import pytest

from tests.export.passages import passage
from tests.export.reckoned import KINDS, random_pattern
from trainer.export.passage import Passage
from trainer.export.tables import COLUMNS, event_to_json, second_to_text, write_csv, write_json
from trainer.files.whole import Existing


def rows_of_csv(what: Passage, folder: Path) -> list[dict[str, str]]:
    write_csv(folder / "x.csv", what, Existing.REPLACE)
    with open(folder / "x.csv", newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file, strict=True))


def rows_of_json(what: Passage, folder: Path) -> list[dict[str, Any]]:
    write_json(folder / "x.json", what, Existing.REPLACE)
    found: list[dict[str, Any]] = json.loads((folder / "x.json").read_text(encoding="utf-8"))
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_every_event_has_its_row(kind: str, tmp_path: Path) -> None:
    random = Random(f"tables of {kind}")
    for _ in range(6):
        pattern = random_pattern(random, kind)
        tempo, dwell = Fraction(random.randint(400, 4800), 11), random.choice((Fraction(2, 3), Fraction(13, 20)))
        rows = rows_of_csv(passage(pattern.text, tempo, dwell, 3, 30), tmp_path)
        assert tuple(rows[0]) == COLUMNS
        acting = [row for row in rows if row["kind"] in ("throw", "hold", "gap", "catch")]
        assert sorted(
            (Fraction(row["beat"]), row["kind"], int(row["juggler"]) - 1, row["hand"], int(row["value"]))
            for row in acting
        ) == sorted(
            (each.beat, each.kind, each.juggler, each.hand, each.value)
            for each in pattern.happenings(dwell, Fraction(30))
        )
        for row in rows:
            second = (Fraction(row["beat"]) + 3) * 60 / tempo
            assert abs(Fraction(row["at_s"]) - second) <= Fraction(1, 2 * 10**9)
            assert int(row["at_frame"]) == floor(second * 44_100 + Fraction(1, 2))
        numbers = [int(row["catch"]) for row in rows if row["catch"]]
        assert numbers == list(range(1, len(numbers) + 1))
        assert {row["kind"] for row in rows if row["catch"]} <= {"catch"}
        assert [row["beat"] for row in rows if row["kind"] == "count-in"] == ["-3", "-2", "-1"]


@pytest.mark.parametrize("kind", KINDS)
def test_each_object_is_caught_where_it_was_thrown_to(kind: str, tmp_path: Path) -> None:
    """Followed through a table, each object is thrown, caught, and thrown on by the hand that caught it."""
    random = Random(f"objects of {kind}")
    for _ in range(6):
        pattern = random_pattern(random, kind)
        rows = rows_of_json(passage(pattern.text, Fraction(172), Fraction(2, 3), 0, 60), tmp_path)
        assert {row["object"] for row in rows} - {None} == set(range(1, pattern.objects + 1)), pattern.text
        for number in range(1, pattern.objects + 1):
            own = [row for row in rows if row["object"] == number and row["kind"] in ("throw", "catch")]
            assert [row["kind"] for row in own] == (["throw", "catch"] * len(own))[: len(own)], pattern.text
            for thrown, caught in zip(own[::2], own[1::2], strict=False):
                flight = thrown["value"] - Fraction(2, 3) * min(thrown["value"], 2)
                assert Fraction(caught["beat"]) == Fraction(thrown["beat"]) + flight
            for caught, thrown in zip(own[1::2], own[2::2], strict=False):
                assert (caught["juggler"], caught["hand"]) == (thrown["juggler"], thrown["hand"])


def test_json_has_the_rows_of_csv(tmp_path: Path) -> None:
    what = passage("[43]23", Fraction("171.3"), Fraction(13, 20), 4, 30)
    as_csv, as_json = rows_of_csv(what, tmp_path), rows_of_json(what, tmp_path)
    assert as_json[0]["at_s"] == 0.0
    written = [{name: "" if value is None else str(value) for name, value in row.items()} for row in as_json]
    assert [{**row, "at_s": ""} for row in written] == [{**row, "at_s": ""} for row in as_csv]
    assert [row["at_s"] for row in as_json] == [float(row["at_s"]) for row in as_csv]
    told = [event_to_json(placed) for placed in what.placed_events()]
    assert [{name: row[name] for name in told[0]} for row in as_json] == told


def test_goals_are_named(tmp_path: Path) -> None:
    """3-cascade: flash 3, qualify 6 catches (common practice): with the catches of these numbers."""
    rows = rows_of_json(passage("3", Fraction(150), Fraction(2, 3), 0, 12), tmp_path)
    goals = {row["goal"]: row["beat"] for row in rows if row["goal"]}
    catches = {row["catch"]: row["beat"] for row in rows if row["catch"]}
    assert goals == {"flash": catches[3], "qualify": catches[6]}


def test_a_passage_without_events_is_a_table_without_rows(tmp_path: Path) -> None:
    what = passage("3", Fraction(150), Fraction(2, 3), 0, 0)
    assert rows_of_json(what, tmp_path) == []
    assert rows_of_csv(what, tmp_path) == []
    assert (tmp_path / "x.csv").read_bytes() == (",".join(COLUMNS) + "\r\n").encode()


@pytest.mark.parametrize(
    ("second", "text"),
    [("0", "0.000000000"), ("1/3", "0.333333333"), ("2/3", "0.666666667"), ("3599.9999999996", "3600.000000000")],
)
def test_seconds_are_rounded_once(second: str, text: str) -> None:
    assert second_to_text(Fraction(second)) == text
