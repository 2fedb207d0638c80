"""The commands log progress, log chart and demo: what they print and write, and what they refuse."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from tests.commands.conftest import Cli
from trainer.commands import demo
from trainer.commands.log_chart import PNG_WIDTH
from trainer.config import Settings
from trainer.files.places import Places
from trainer.logbook.store import Logbook
from trainer.records.attempt import CountedBy

NOW = datetime(2026, 11, 25, 21, tzinfo=timezone(timedelta(hours=1)))


@pytest.fixture(scope="module")
def group(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The made-up group's logbook, made once."""
    path = tmp_path_factory.mktemp("group") / "logbook.sqlite"
    assert demo.fill(path, NOW) > 5000
    return path


@pytest.fixture
def filled(kept: Places, group: Path) -> Places:
    original, copy = sqlite3.connect(group), sqlite3.connect(kept.logbook)
    original.backup(copy)
    original.close()
    copy.close()
    return kept


def test_the_made_up_group_has_all_there_is_to_see(group: Path) -> None:
    with Logbook.open_to_read(group) as book:
        standings = book.standings()
        assert len({standing.figure.juggler for standing in standings}) == 5
        assert {standing.figure.counted_by.value for standing in standings} == {"beat", "taps", "hand"}
        assert len({standing.figure.prop for standing in standings}) == 4
        assert sum(bool(book.thresholds(standing.figure)) for standing in standings) == 2
        assert book.problems() == ()


def test_in_the_demo_one_is_somebody_who_has_qualified(group: Path) -> None:
    settings = demo.as_one_of_them(Settings(juggler="me", prop="cigar boxes", counted_by=CountedBy.HAND))
    with Logbook.open_to_read(group) as book:
        own = [
            standing
            for standing in book.standings()
            if (standing.figure.juggler, standing.figure.prop, standing.figure.counted_by.value)
            == (settings.juggler, settings.prop, settings.counted_by)
        ]
        assert len(own) > 1
        assert any(standing.total.qualifies for standing in own)


@pytest.mark.usefixtures("filled")
def test_progress_of_one_pattern_in_full(cli: Cli) -> None:
    said = cli("log", "progress", "5", "cascade")
    assert said.status == 0
    lines = said.out.splitlines()
    assert lines[0] == "5 cascade (5) · Mira"
    assert lines[1] == "  rests on  balls, counted by the beat"
    for part in ("  qualify   ", "Catches grow with practice", "beats a minute held", "· none; ░ ▒ ▓ █"):
        assert part in said.out
    assert max(map(len, lines)) <= 110


@pytest.mark.usefixtures("filled")
def test_progress_of_all_keeps_ways_props_and_people_apart(cli: Cli) -> None:
    said = cli("log", "progress")
    assert said.out.count("rests on") == 11
    assert said.out.count("3 cascade (3) · Łucja") == 2
    only = cli("log", "progress", "--count", "hand", "--prop", "scarves")
    assert only.out.count("rests on") == 1
    assert "No curve and no forecast, because" in only.out


@pytest.mark.usefixtures("filled")
def test_progress_as_json_adds_up(cli: Cli) -> None:
    for found in json.loads(cli("log", "progress", "--json").out):
        assert found["tries"] == sum(day["tries"] for day in found["by_day"])
        assert found["tries"] == sum(step["tries"] for step in found["by_tempo"])
        assert found["catches"] == sum(day["catches"] for day in found["by_day"])
        assert found["best_catches"] == max(day["best_catches"] for day in found["by_day"])
        assert found["qualify"]["low"] <= found["qualify"]["share"] <= found["qualify"]["high"]
        assert ("none_because" in found["learning"]) is ("forecast" not in found["learning"])


def test_an_empty_logbook(cli: Cli, refused: Callable[..., str], tmp_path: Path) -> None:
    assert "No tries were in the logbook yet" in refused("log", "progress")
    assert "No tries were in the logbook yet" in refused("log", "chart", "--out", str(tmp_path / "a.svg"))
    assert json.loads(cli("log", "progress", "--json").out) == []
    assert not (tmp_path / "a.svg").exists()


@pytest.mark.usefixtures("filled")
@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("log", "progress", "--count", "guess"), "“guess” was given for --count; choose one of beat, taps, hand."),
        (("log", "progress", "97531"), "No tries of that"),
        (("log", "progress", "543"), "both come down on beat 6"),
        (("log", "chart"), "--out"),
        (("log", "chart", "--out", "a.gif"), "ends in .svg or .png"),
    ],
)
def test_what_cannot_be_is_refused(refused: Callable[..., str], words: tuple[str, ...], says: str) -> None:
    assert says in refused(*words)


@pytest.mark.usefixtures("filled")
def test_a_picture_is_written_once(cli: Cli, refused: Callable[..., str], tmp_path: Path) -> None:
    path = tmp_path / "mess.svg"
    said = cli("log", "chart", "--out", str(path), "--pattern", "mills", "mess")
    assert said.out == f"{path}: Mills Mess (3 mess) · balls · counted by the beat · Mira\n"
    before = path.read_bytes()
    assert b"<svg" in before
    assert "was there already" in refused("log", "chart", "--out", str(path))
    assert path.read_bytes() == before
    assert "There were 10 other figures" in cli("log", "chart", "--out", str(path), "--force").out
    assert path.read_bytes() != before
    assert [each.name for each in tmp_path.iterdir() if each.name != "home"] == ["mess.svg"]


@pytest.mark.usefixtures("filled")
def test_a_png_is_one_and_has_letters_on_a_machine_without_fonts(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Width and height stand in bytes 16 to 24 of a PNG (ISO/IEC 15948). Letters: more than without any font."""
    import resvg_py

    path = tmp_path / "chart.png"
    draw = resvg_py.svg_to_bytes
    monkeypatch.setattr(resvg_py, "svg_to_bytes", lambda **given: draw(**given, skip_system_fonts=True))
    assert cli("log", "chart", "--out", str(path), "--juggler", "Mira").status == 0
    png = path.read_bytes()
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    assert int.from_bytes(png[16:20], "big") == PNG_WIDTH
    monkeypatch.setattr(
        resvg_py, "svg_to_bytes", lambda **given: draw(**given | {"font_files": []}, skip_system_fonts=True)
    )
    assert cli("log", "chart", "--out", str(path), "--juggler", "Mira", "--force").status == 0
    assert len(path.read_bytes()) < 0.8 * len(png)


def test_the_demo_needs_a_terminal_and_leaves_ones_own_alone(refused: Callable[..., str], kept: Places) -> None:
    assert "needs a terminal" in refused("demo")
    assert not kept.logbook.exists()
    assert not kept.settings.exists()
