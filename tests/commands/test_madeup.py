"""The made-up group: the same from the same seed, nothing yet to come, climbs and curves as they were put in."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from random import Random

import pytest

from tests.bundled import LIBRARY
from trainer.commands.madeup import GROUP, SEED, Evening, evenings
from trainer.config import Settings
from trainer.library.chosen import Chosen, choose

NOW = datetime(2026, 11, 25, 21, tzinfo=timezone(timedelta(hours=1)))


@pytest.fixture(scope="module")
def drilled() -> dict[str, Chosen]:
    patterns = {drill.pattern for juggler in GROUP for drill in juggler.drills}
    return {name: choose(LIBRARY.to_choice(name), Settings()) for name in patterns}


@pytest.fixture(scope="module")
def course(drilled: dict[str, Chosen]) -> list[Evening]:
    return list(evenings(Random(SEED), NOW, drilled))


def test_the_same_seed_gives_the_same_group(course: list[Evening], drilled: dict[str, Chosen]) -> None:
    assert list(evenings(Random(SEED), NOW, drilled)) == course
    assert list(evenings(Random(SEED + 1), NOW, drilled)) != course


def test_nothing_is_yet_to_come_and_everything_has_its_order(course: list[Evening]) -> None:
    for evening in course:
        tried = [*evening.attempts, *(each for climbed in evening.climbs for each in climbed.attempts)]
        at = [attempt.started_at for attempt in tried]
        assert evening.began <= min(at) <= max(at) < NOW
        assert len({attempt.juggler for attempt in tried}) == 1
    assert [evening.began.date() for evening in course] == sorted(evening.began.date() for evening in course)
    assert len({attempt.juggler for evening in course for attempt in evening.attempts}) == len(GROUP)


def test_climbs_find_the_tempo_that_was_put_in(course: list[Evening]) -> None:
    """Put in: 0.9 of the usual tempo and 0.4 % more each week; 80 % of those found lie within 8 % of that."""
    near = [
        abs(climbed.climb.threshold / (float(climbed.climb.start) + 15) - 1) < 0.08
        for evening in course
        for climbed in evening.climbs
        if climbed.climb.threshold is not None
    ]
    assert len(near) >= 10
    assert sum(near) >= 0.8 * len(near)
