"""How attempts, instants, exact numbers and names stand in the logbook's rows, and how they are read back."""

from __future__ import annotations

import secrets
import sqlite3
import unicodedata
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from trainer.logbook.errors import AttemptRefused
from trainer.logbook.migrations import CHANCE_BITS
from trainer.logbook.opening import storable
from trainer.records.attempt import Attempt, Correction

EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
EPOCH_DAY: Final = EPOCH.toordinal()
SET_BACK_DAYS: Final = 7
"""A clock that is set back by more had been wrong before: the day it tells now counts."""

UID_DIGITS: Final = "0123456789abcdefghijklmnopqrstuv"
UID_LENGTH: Final = 13
LAST_MS: Final = (1 << 63 - CHANCE_BITS) - 1

COLUMNS: Final = """a.id, a.uid, a.session_id, a.started_utc_s, a.utc_offset_s, f.pattern, f.name, f.objects, a.tempo,
    a.dwell, f.counted_by, a.taps_unit, a.catches, a.seconds, a.ended, a.flash_at, a.qualify_at, a.hiccups,
    COALESCE(n.text, '') AS note, a.fair, a.best, a.removed, c.uid AS climb_uid, r.uid AS plan_run_uid, a.block,
    p.name AS prop, j.name AS juggler"""
JOINS: Final = """JOIN figures f ON f.id = a.figure_id JOIN props p ON p.id = f.prop_id
    LEFT JOIN jugglers j ON j.id = f.juggler_id LEFT JOIN notes n ON n.id = a.note_id
    LEFT JOIN climbs c ON c.id = a.climb_id LEFT JOIN plan_runs r ON r.id = a.plan_run_id"""


def new_uid(at: datetime) -> int:
    """An identity for what began at `at`: milliseconds since 1970, then bits by chance, so identities sort by time."""
    ms = min(max(0, int(at.timestamp() * 1000)), LAST_MS)
    return ms << CHANCE_BITS | secrets.randbits(CHANCE_BITS)


def new_identity(at: datetime) -> str:
    """A new identity as it is told, for what began at `at`."""
    return uid_text(new_uid(at))


def uid_text(uid: int) -> str:
    """An identity as it is told and exported: 13 signs that sort as the numbers do."""
    return "".join(UID_DIGITS[uid >> shift & 31] for shift in range(5 * (UID_LENGTH - 1), -1, -5))


def uid_number(text: str) -> int:
    """An identity from its text; ValueError if it is none."""
    if len(text) != UID_LENGTH or not set(text) <= set(UID_DIGITS) or text[0] > "7":
        raise ValueError("an identity has 13 signs from 0 to 9 and a to v, the first one up to 7")
    return int(text, 32)


def day_of(started_at: datetime, day_before: int | None) -> int:
    """The day an attempt counts to, since 1970: the local one it began on.

    day_before: of the attempt written before it. If the clock was set back since, by hand or by a flight east over
    the date line, the attempt counts to that day, so that what happened later stands later.
    """
    day = started_at.toordinal() - EPOCH_DAY
    if day_before is not None and day < day_before <= day + SET_BACK_DAYS:
        return day_before
    return day


def to_date(day: int) -> date:
    """The date of a day since 1970."""
    return date.fromordinal(day + EPOCH_DAY)


def instant(at: datetime) -> dict[str, float | int]:
    """The two columns of a moment; ValueError without an offset from UTC."""
    offset = at.utcoffset()
    if offset is None:
        raise ValueError("started_at has no offset from UTC")
    seconds = offset.total_seconds()
    return {"started_utc_s": at.timestamp(), "utc_offset_s": int(seconds) if seconds.is_integer() else seconds}


def moment(utc_s: float, offset_s: float) -> datetime:
    """A moment from its two columns, to the microsecond."""
    return (EPOCH + timedelta(seconds=utc_s)).astimezone(_zone(offset_s))


def name(text: str | None) -> str | None:
    """A name as stored: accents in one form, so that two keyboards write one name; none for an empty one."""
    return None if text is None else storable(unicodedata.normalize("NFC", text.strip())) or None


def plain(value: Any) -> str | int | None:
    """A field as a row has it: words and exact numbers as text, yes and no as 1 and 0."""
    if isinstance(value, bool):
        return int(value)
    return value if value is None or isinstance(value, int) else str(value)


@lru_cache(maxsize=1000)
def exact(text: str) -> Fraction:
    """An exact number from its text. Remembered, as a Fraction takes longer than the rest of a row."""
    return Fraction(text)


def to_attempt(row: sqlite3.Row | dict[str, Any], path: Path) -> Attempt:
    """An attempt from a row of COLUMNS; AttemptRefused, naming the file, if it makes no sense."""
    fields = dict(row)
    try:
        for field in ("uid", "climb_uid", "plan_run_uid"):
            fields[field] = None if fields[field] is None else uid_text(fields[field])
        fields["started_at"] = moment(fields.pop("started_utc_s"), fields.pop("utc_offset_s"))
        fields["tempo"], fields["dwell"] = exact(fields["tempo"]), exact(fields["dwell"])
        for field in ("fair", "best", "removed"):
            fields[field] = bool(fields[field])
        return Attempt(**fields)
    except (ValueError, TypeError, ZeroDivisionError, OverflowError):
        raise AttemptRefused(path, None, "", f"Attempt {row['id']} could not be understood.") from None


def ended_values(attempt: Attempt) -> dict[str, Any]:
    """The columns that are known once an attempt has ended, without its note."""
    return {
        "ended": plain(attempt.ended), "catches": attempt.catches, "seconds": attempt.seconds,
        "hiccups": attempt.hiccups, "fair": int(attempt.fair),
    }  # fmt: skip


def begun_values(attempt: Attempt) -> dict[str, Any]:
    """The columns that are known when an attempt begins, without those the logbook works out."""
    return instant(attempt.started_at) | {
        "session_id": attempt.session_id, "tempo": str(attempt.tempo), "dwell": str(attempt.dwell),
        "taps_unit": plain(attempt.taps_unit), "flash_at": attempt.flash_at, "qualify_at": attempt.qualify_at,
        "block": attempt.block,
    }  # fmt: skip


def to_correction(row: sqlite3.Row) -> Correction:
    """A correction from its row."""
    return Correction(**dict(row) | {"corrected_at": datetime.fromisoformat(row["corrected_at"])})


def correction_values(correction: Correction) -> dict[str, Any]:
    """The columns of a correction."""
    return asdict(correction) | {"corrected_at": correction.corrected_at.isoformat()}


@lru_cache(maxsize=100)
def _zone(offset_s: float) -> timezone:
    return UTC if not offset_s else timezone(timedelta(seconds=offset_s))
