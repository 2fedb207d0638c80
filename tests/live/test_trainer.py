"""The whole trainer: what it plays, recorded from a sound server; what it counts, pressed through a terminal."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from tests.live.soundserver import SoundServer
from tests.live.trainer import ROOT, click_deviations, expected_frames, expected_performance, find_offset, trainer
from tests.session.begun import DWELL, REACTION_S, THROWN
from trainer.audio.outputs.frameclock import RATE_HZ

pytestmark = pytest.mark.live

MOST_SPREAD_MS = 0.05
TEMPO_BPM = 200
COUNT_IN = 2


# -- what is heard --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pattern", "tempo_bpm", "seconds", "shows", "columns", "rows"),
    [
        ("3", 60, 8.0, "count", 80, 24),
        ("531", 172, 6.0, "count", 80, 24),
        ("3", 480, 6.0, "count", 80, 24),
        ("7", 289, 6.0, "flight", 80, 24),
        ("9", 360, 6.0, "flight", 200, 60),
        ("97531", 300, 6.0, "flight", 120, 40),
    ],
)
def test_the_stream_is_heard_as_it_was_reckoned_while_the_screen_animates(
    sound_server: SoundServer, tmp_path: Path, pattern: str, tempo_bpm: int, seconds: float, shows: str,
    columns: int, rows: int,
) -> None:  # fmt: skip
    (tmp_path / "settings.toml").write_text(f'practice_shows = "{shows}"\n')
    performance = expected_performance(pattern, tempo_bpm)
    expected = expected_frames(performance, seconds)
    with (
        sound_server.recording() as recording,
        trainer(
            tmp_path, pattern, "--tempo", str(tempo_bpm), "--count-in", "4", columns=columns, rows=rows
        ) as terminal,
    ):
        terminal.wait_for("READY")
        time.sleep(2.0)  # a sink that slept has asked a second time by then
        terminal.write(b" ")
        time.sleep(seconds + 0.6)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        heard = recording.heard()
    offset = find_offset(heard, expected)
    deviations_ms = click_deviations(heard, performance, offset, seconds) * 1000 / RATE_HZ
    assert len(deviations_ms) >= (seconds - 1) * tempo_bpm / 60
    assert np.diff(deviations_ms).std() <= MOST_SPREAD_MS
    assert np.abs(deviations_ms).max() <= MOST_SPREAD_MS
    # To the bit: no click is missing, none doubled, and nothing else is heard.
    assert np.array_equal(heard[offset : offset + len(expected)], expected)
    assert not heard[:offset].any()


# -- what is counted ------------------------------------------------------------------------------------------


def silent(home: Path) -> Path:
    """Without sound: the counting is looked at here, and no machine's device has a say."""
    (home / "settings.toml").write_text('output = "silent"\ntour = false\n')
    return home


def logged(home: Path) -> list[dict[str, object]]:
    """The logbook as the command log prints it."""
    said = run(home, "log", "--json")
    assert said.returncode == 0, said.stderr
    rows: list[dict[str, object]] = json.loads(said.stdout)
    return rows


def run(home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    environ = {**os.environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    return subprocess.run(
        [sys.executable, "-m", "trainer.commands.line", *words], cwd=home, env=environ, capture_output=True, text=True,
        encoding="utf-8", check=False,
    )  # fmt: skip


def catch_beats(pattern: str) -> list[Fraction]:
    """The first catches' beats: model, catch at t + n − r · min(n, 2), and again each period."""
    period, throws = THROWN[pattern]
    return sorted(
        at + turn * period + value - DWELL * min(value, 2) for at, value in throws for turn in range(1 + 30 // period)
    )


def quiet_beat(pattern: str) -> tuple[Fraction, int]:
    """A beat from 8 to 13 as far as can be from any catch, and how many catches there are up to it."""
    beats = catch_beats(pattern)
    gaps = [(after - before, (before + after) / 2) for before, after in pairwise(beats)]
    _, beat = max((gap, beat) for gap, beat in gaps if 8 <= beat <= 13)
    return beat, sum(each <= beat for each in beats)


def sleep_until(second: float) -> None:
    time.sleep(max(0.0, second - time.monotonic()))


@pytest.mark.alone
@pytest.mark.parametrize("pattern", THROWN)
def test_by_the_beat_the_presses_give_the_catches_of_the_formula(tmp_path: Path, pattern: str) -> None:
    beat, catches = quiet_beat(pattern)
    words = (pattern, "--tempo", str(TEMPO_BPM), "--count-in", str(COUNT_IN), "--reaction", str(REACTION_S))
    run_s = float(COUNT_IN + beat) * 60 / TEMPO_BPM + REACTION_S
    with trainer(silent(tmp_path), *words) as terminal:
        terminal.wait_for("READY")
        started_s = terminal.write(b" ")
        sleep_until(started_s + run_s)
        terminal.write(b" ")
        terminal.wait_for("DROP")
        terminal.wait_for("ready again")
        terminal.forget()
        terminal.write(b" ")  # the rest is ended, not a new run begun
        terminal.wait_for("READY")
        sleep_until(time.monotonic() + 0.3)
        started_s = terminal.write(b" ")
        sleep_until(started_s + run_s)
        terminal.write(b" ")
        time.sleep(0.2)
        terminal.write(b" ")
        terminal.wait_for("COLLECTED")
        time.sleep(0.8)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
    rows = [(row["pattern"], row["ended"], row["catches"], row["counted_by"]) for row in logged(tmp_path)]
    assert rows == [(pattern, "drop", catches - 1, "beat"), (pattern, "collected", catches, "beat")]


@pytest.mark.alone
@pytest.mark.parametrize("pattern", THROWN)
def test_by_taps_each_press_is_a_catch_and_quiet_ends_the_run(tmp_path: Path, pattern: str) -> None:
    words = (pattern, "--tempo", str(TEMPO_BPM), "--count-in", str(COUNT_IN), "--count", "taps")
    with trainer(silent(tmp_path), *words) as terminal:
        terminal.wait_for("READY")
        terminal.write(b" ")
        terminal.wait_for("GO")
        for _ in range(7):
            time.sleep(0.3)
            terminal.write(b" ")
        terminal.wait_for("DROP")
        time.sleep(0.8)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
    (row,) = logged(tmp_path)
    assert (row["catches"], row["counted_by"], row["ended"]) == (7, "taps", "drop")
    goals = json.loads(run(tmp_path, "explain", pattern, "--json").stdout)
    assert (row["flash"], row["qualify"]) == (goals["flash"] <= 7, goals["qualify"] <= 7)


def test_by_hand_the_catches_are_those_typed(tmp_path: Path) -> None:
    words = ("531", "--tempo", str(TEMPO_BPM), "--count-in", str(COUNT_IN), "--count", "hand")
    with trainer(silent(tmp_path), *words) as terminal:
        terminal.wait_for("READY")
        terminal.write(b" ")
        terminal.wait_for("GO")
        time.sleep(1)
        terminal.write(b" ")
        terminal.wait_for("TYPE THE CATCHES")
        for key in (b"2", b"7", b"\r"):
            terminal.write(key)
            time.sleep(0.1)
        time.sleep(0.3)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
    (row,) = logged(tmp_path)
    assert (row["catches"], row["counted_by"], row["flash"], row["qualify"]) == (27, "hand", True, True)


@pytest.mark.alone
def test_a_pedal_held_down_starts_one_run_and_ends_one(tmp_path: Path) -> None:
    """Repeats as a desktop sends them: after half a second, 30 a second."""
    words = ("3", "--tempo", str(TEMPO_BPM), "--count-in", str(COUNT_IN))
    with trainer(silent(tmp_path), *words) as terminal:
        terminal.wait_for("READY")
        for _ in range(2):
            began_s = terminal.write(b" ")
            for number in range(30):
                sleep_until(began_s + 0.5 + number / 30)
                terminal.write(b" ")
            time.sleep(1.5)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
    assert [row["ended"] for row in logged(tmp_path)] == ["drop"]


def test_from_the_list_of_patterns_to_a_logged_attempt(tmp_path: Path) -> None:
    with trainer(silent(tmp_path)) as terminal:
        terminal.wait_for("q leave")
        terminal.write(b"531")
        terminal.wait_for("handed quickly")
        time.sleep(0.3)
        terminal.write(b"\r")
        terminal.wait_for("READY")
        terminal.write(b" ")
        terminal.wait_for("GO")
        time.sleep(2)
        terminal.write(b" ")
        terminal.wait_for("DROP")
        time.sleep(0.8)
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
    (row,) = logged(tmp_path)
    assert (row["pattern"], row["objects"], row["ended"]) == ("531", 3, "drop")


def test_a_pattern_that_does_not_work_is_refused_with_a_place_and_a_suggestion(tmp_path: Path) -> None:
    """(4x,2x)* swaps the hands at once: the 4x and the 2x of the mirrored beat come down in one hand."""
    with trainer(silent(tmp_path), "(4x,2x)*") as terminal:
        assert terminal.wait_ended() == 2
        assert terminal.is_restored()
        lines = [line.rstrip() for line in terminal.text.replace("\r", "").splitlines() if line.strip()]
    assert b"\x1b[?1049h" not in terminal.raw
    assert "come down" in lines[0]
    assert any(line.strip() == "(4x,2x)*" for line in lines)
    assert any(line.strip() == "^" for line in lines)
    assert "Traceback" not in terminal.text
    assert any("(4x,2x)" in line and "*" not in line for line in lines[1:]), "what would work"
    assert not (tmp_path / "logbook.sqlite").exists()
