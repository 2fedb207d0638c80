"""Attempts as values: what they refuse, when they are a flash, and how they are printed for other programs."""

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction

import pytest

from trainer.commands.log import log_json
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit

AT = datetime(2026, 3, 29, 18, 30, 15, 250_000, tzinfo=timezone(timedelta(hours=2)))
CASCADE = Attempt(
    session_id=1,
    started_at=AT,
    pattern="3",
    objects=3,
    tempo=Fraction(175),
    dwell=Fraction(2, 3),
    flash_at=3,
    qualify_at=6,
    catches=0,
    ended=Ended.DROP,
)


@pytest.mark.parametrize(
    ("catches", "flash", "qualify"),
    [(None, False, False), (0, False, False), (2, False, False), (3, True, False), (5, True, False), (6, True, True)],
)
def test_flash_and_qualify_of_the_three_object_cascade(catches: int | None, flash: bool, qualify: bool) -> None:
    """3 and 6 catches: common practice."""
    attempt = replace(CASCADE, catches=catches)
    assert (attempt.flash, attempt.qualify) == (flash, qualify)


def test_words_are_taken_for_the_enums() -> None:
    attempt = replace(CASCADE, counted_by="taps", taps_unit="round", ended="given-up")  # type: ignore[arg-type]
    assert (attempt.counted_by, attempt.taps_unit, attempt.ended) == (CountedBy.TAPS, TapsUnit.ROUND, Ended.GIVEN_UP)


@pytest.mark.parametrize(
    "wrong",
    [
        {"started_at": datetime(2026, 1, 1)},
        {"pattern": ""},
        {"prop": ""},
        {"catches": -1},
        {"objects": -1},
        {"hiccups": -1},
        {"seconds": -0.1},
        {"flash_at": 0},
        {"qualify_at": 2},
        {"dwell": Fraction(1)},
        {"dwell": Fraction(0)},
        {"tempo": Fraction(0)},
        {"counted_by": "ear"},
        {"ended": "bored"},
    ],
)
def test_what_cannot_be_an_attempt(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - a mistake of ours: the sentence is for no user
        replace(CASCADE, **wrong)  # type: ignore[arg-type]


def test_rows_for_json_have_plain_texts_and_numbers() -> None:
    rows = log_json([replace(CASCADE, id=7, catches=6, best=True), replace(CASCADE, id=8, tempo=Fraction(515, 3))])
    assert json.loads(json.dumps(rows)) == [
        {
            "id": 7,
            "started_at": "2026-03-29T18:30:15.250000+02:00",
            "pattern": "3",
            "name": None,
            "objects": 3,
            "prop": "balls",
            "juggler": None,
            "tempo": 175,
            "dwell": 2 / 3,
            "counted_by": "beat",
            "catches": 6,
            "seconds": None,
            "ended": "drop",
            "flash": True,
            "qualify": True,
            "best": True,
            "fair": True,
            "note": "",
        },
        rows[1],
    ]
    assert rows[1]["tempo"] == pytest.approx(171.6667, abs=1e-4)
    assert json.dumps(rows).count("drop") == 2
    assert datetime.fromisoformat(str(rows[0]["started_at"])).astimezone(UTC).hour == 16
