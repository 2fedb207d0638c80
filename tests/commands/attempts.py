"""An invented attempt, for the commands about the logbook."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from fractions import Fraction

from trainer.records.attempt import Attempt, Ended

START = datetime(2026, 3, 1, 18, 5, tzinfo=timezone(timedelta(hours=1)))


def attempt(number: int = 0, **changes: object) -> Attempt:
    """An attempt at 531: invented figures."""
    plain: dict[str, object] = {
        "session_id": 1,
        "started_at": START + timedelta(minutes=number),
        "pattern": "531",
        "objects": 3,
        "tempo": Fraction(180),
        "dwell": Fraction(2, 3),
        "flash_at": 3,
        "qualify_at": 6,
        "catches": 4,
        "seconds": 2.5,
        "ended": Ended.DROP,
    }
    return Attempt(**(plain | changes))  # type: ignore[arg-type]
