"""The picture of the rungs: where each try stands, what is in sight, what tells a hit from a miss without colour."""

from __future__ import annotations

import pytest

from tests.practice.climbs.jugglers import attempt_of, tempo_ladder
from trainer.practice.climbs.climb import STAIRCASE, Climb, plain
from trainer.records.attempt import CountedBy
from trainer.screens.climbs.rungs import RungRow, draw_rungs, rungs_shown


def climbed(catches: list[int], rule: object = STAIRCASE, target: float | None = None) -> Climb:
    climb = Climb(tempo_ladder(150, 10, target), STAIRCASE if rule is STAIRCASE else plain(1, 1), CountedBy.BEAT)
    for each in catches:
        climb = climb.after(attempt_of(climb, each), 0.0)
    return climb


def drawn(climb: Climb, columns: int = 40, rows: int = 5) -> tuple[RungRow, ...]:
    labels = {number: climb.ladder.label(number) for number in rungs_shown(climb, rows)}
    return draw_rungs(climb, labels, columns, rows)


def test_each_try_stands_on_its_rung_in_its_column() -> None:
    rows = drawn(climbed([6, 6, 6, 5, 6]))
    assert [(row.label.rstrip(), row.tries.rstrip()) for row in rows] == [
        ("170 │", ""),
        ("160 │", "    █▌╳"),
        ("150 │", "█▌█▌    █▌ ◀"),
        ("140 │", ""),
        ("130 │", ""),
    ]
    assert [row.now for row in rows] == [False, False, True, False, False]


def test_with_room_a_rung_has_two_rows_and_a_miss_is_a_large_cross() -> None:
    rows = drawn(climbed([6, 6, 5]), rows=12)
    texts = [row.tries for row in rows]
    assert any("█▌█▌" in text for text in texts)
    assert any("▀▘▀▘" in text for text in texts)
    crosses = [place for place, text in enumerate(texts) if "╲╱" in text]
    assert crosses
    assert "╱╲" in texts[crosses[0] + 1]
    assert len(rows) == 12


def test_many_tries_are_drawn_narrower_and_the_oldest_go_out_of_sight() -> None:
    climb = climbed([6, 5] * 60, rule="plain")
    rows = drawn(climb, columns=40)
    assert max(len(row.tries.rstrip()) for row in rows) <= 40 - 6
    assert sum(row.tries.count("█") + row.tries.count("╳") for row in rows) == 40 - 6 - 2


def test_the_target_is_named_until_one_gets_there() -> None:
    assert "target" in drawn(climbed([], target=170))[0].tries
    assert not any("target" in row.tries for row in drawn(climbed([6, 6, 5], rule="plain", target=170)))


def test_a_threshold_is_marked_with_its_interval() -> None:
    climb = climbed([6, 6, 6, 6, 5] + [6, 6, 5] * 4 + [6, 6])
    assert climb.threshold is not None
    rows = drawn(climb, rows=7)
    marked = [row.label.strip() for row in rows if "╋" in row.label]
    assert len(marked) == 1
    assert float(marked[0].split()[0]) == pytest.approx(climb.threshold.tempo_bpm, abs=5)
    barred = [float(row.label.split()[0]) for row in rows if "┃" in row.label]
    assert all(climb.threshold.low <= tempo <= climb.threshold.high for tempo in barred)
    assert not any(row.now for row in rows)


@pytest.mark.parametrize("rows", [1, 2, 5, 11, 12, 30])
@pytest.mark.parametrize("catches", [[], [6] * 8, [5] * 8])
def test_the_rung_one_stands_on_is_always_in_sight(rows: int, catches: list[int]) -> None:
    for climb in (climbed(catches, rule="plain"), climbed(catches, rule="plain", target=240)):
        numbers = rungs_shown(climb, rows)
        assert climb.place in numbers
        assert len(numbers) <= rows
        assert climb.ladder.last is None or max(numbers) <= climb.ladder.last
