"""A try to be put into a logbook."""

from datetime import UTC, datetime
from fractions import Fraction

from trainer.logbook.rows import uid_text
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, Ended

AT = datetime(2026, 3, 29, 18, 30, tzinfo=UTC)


def tried(book: Logbook, note: str = "") -> Attempt:
    """Of 441, dropped after 4 catches, in a sitting of its own."""
    return Attempt(
        session_id=book.begin_session(AT),
        started_at=AT,
        pattern="441",
        objects=3,
        tempo=Fraction(172),
        dwell=Fraction(2, 3),
        flash_at=3,
        qualify_at=6,
        catches=4,
        ended=Ended.DROP,
        note=note,
    )


def uid_of(book: Logbook, number: int | None) -> str:
    """The identity of the attempt that has a number in this file."""
    return uid_text(book.read_one("SELECT uid FROM attempts WHERE id = ?", (number,)))
