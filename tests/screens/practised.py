"""A logbook of invented practice for the screens that look back: two people, three figures, one of them by taps."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

from tests.dawn import DAWN
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, CountedBy, Ended, TapsUnit
from trainer.records.courses import ClimbKind, ClimbRule, LoggedClimb
from trainer.session.sitting import Sitting

MESS = Attempt(
    session_id=1, started_at=DAWN, pattern="3 mess", name="Mills Mess", objects=3, tempo=Fraction(175),
    dwell=Fraction(2, 3), flash_at=6, qualify_at=12, juggler="Ona", catches=8, seconds=3.1, ended=Ended.DROP,
)  # fmt: skip
FOUR = replace(
    MESS, pattern="4", name="4 fountain", objects=4, tempo=Fraction(229), flash_at=4, qualify_at=8, prop="rings",
    counted_by=CountedBy.TAPS, taps_unit=TapsUnit.ROUND, juggler="ひかり",
)  # fmt: skip
PLAIN = replace(MESS, pattern="3", name="3 cascade", flash_at=3, qualify_at=6, counted_by=CountedBy.HAND)


def fill(book: Logbook) -> None:
    """Twenty days of the mess that get better, two of the fountain, a week of climbs, and a day by hand at the end."""
    book.begin_session(DAWN - timedelta(days=40))
    tries = []
    for day in range(20):
        at = DAWN - timedelta(days=40 - 2 * day)
        for number in range(6):
            catches = round(4 * (6 * day + number + 1) ** 0.4 * (0.6, 1.5, 0.9, 1.2, 0.7, 1.1)[(number + day) % 6])
            tempo = Fraction(175 + day // 7 * 10)
            tries.append(replace(MESS, started_at=at + timedelta(minutes=number), catches=catches, tempo=tempo))
    for number, catches in enumerate((9, 3, 12, 7)):
        tries.append(replace(FOUR, started_at=DAWN - timedelta(days=3 - number // 2, minutes=9), catches=catches))
    hand = replace(PLAIN, started_at=DAWN - timedelta(hours=1))
    tries += [hand, replace(hand, catches=None, ended=Ended.GIVEN_UP), replace(hand, catches=21, note="felt easy")]
    book.add_all(tries)


def climb(book: Logbook) -> None:
    """Four climbs of the mess in three weeks."""
    for days, threshold in ((22, 181.0), (20, 188.5), (15, 192.0), (8, 199.5)):
        at = DAWN - timedelta(days=days)
        kept = book.keep(LoggedClimb(
            session_id=1, started_at=at, kind=ClimbKind.TEMPO, rule=ClimbRule.STAIRCASE, pattern="3 mess",
            name="Mills Mess", start=Fraction(160), step="5", goal="qualify", up_after=2, down_after=1,
            ended_at=at, threshold=threshold, spread=3.0,
        ))  # fmt: skip
        book.add(replace(MESS, started_at=at, climb_uid=kept.uid))


def practised(sitting: Sitting) -> Sitting:
    """The sitting with that logbook."""
    with Logbook.open(sitting.places.logbook, now=DAWN) as book:
        fill(book)
        climb(book)
    return sitting
