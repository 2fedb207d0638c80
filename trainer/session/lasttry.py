"""The last try, set right: its count typed in or changed, the try marked as not fair, who dropped, and undo.

Every change is a correction in the logbook: nothing that was written is lost. While a try is under way nothing can be
set right, so no key changes the try before it by mistake.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime

from trainer.records.attempt import Attempt, CountedBy, Ended
from trainer.session.tries import Tries
from trainer.siteswap.grammar import parse

MOST_DIGITS = 6
DROPPED = re.compile(r"juggler (\d+) dropped")


class LastTry:
    """typed: the count being typed in, None where none is asked for. now: gives the time of day with its offset."""

    def __init__(self, tries: Tries, now: Callable[[], datetime]) -> None:
        self._tries, self._now = tries, now
        self._place: int | None = None
        self._under_way = False
        self.typed: str | None = None

    @property
    def attempt(self) -> Attempt | None:
        """The last try that has ended, with all corrections; None before the first one has ended."""
        return None if self._place is None else self._tries.attempts[self._place]

    def begin(self) -> None:
        """Note that the next try is under way."""
        self._under_way = True

    def end(self) -> None:
        """Note that the try under way has ended and is the last of the tries; counted by hand, ask for its catches."""
        self._place, self._under_way = len(self._tries.attempts) - 1, False
        self._ask()

    def leave_out(self) -> None:
        """Stop asking for the count."""
        self.typed = None

    def type_digit(self, digit: str) -> None:
        """Add a digit to the count being typed in."""
        if self.typed is not None and len(self.typed) < MOST_DIGITS:
            self.typed += digit

    def erase_digit(self) -> None:
        """Take the last digit away."""
        if self.typed is not None:
            self.typed = self.typed[:-1]

    def confirm(self) -> Attempt | None:
        """Write the count typed in to the try; None if nothing was typed."""
        attempt = self._settled()
        if attempt is None or not self.typed:
            return None
        catches, self.typed = int(self.typed), None
        return self._tries.correct(attempt, self._now(), catches=catches)

    def add(self, difference: int) -> Attempt | None:
        """Change the count by a difference, to no less than 0; None if there is no count."""
        attempt = self._settled()
        if attempt is None or attempt.catches is None:
            return None
        return self._tries.correct(attempt, self._now(), catches=max(0, attempt.catches + difference))

    def toggle_fair(self) -> Attempt | None:
        """Mark the try as not fair, so that it counts for no best, or as fair again; None if there is no try."""
        attempt = self._settled()
        return None if attempt is None else self._tries.correct(attempt, self._now(), fair=not attempt.fair)

    def next_dropper(self) -> Attempt | None:
        """Note the next juggler as who dropped, after the last one nobody; None if only one juggler threw."""
        attempt = self._settled()
        jugglers = parse(attempt.pattern).jugglers if attempt is not None else 1
        if attempt is None or jugglers < 2:
            return None
        number = (dropper(attempt) + 1) % (jugglers + 1)
        kept = [part for part in attempt.note.split("; ") if part and not DROPPED.fullmatch(part)]
        said = [f"juggler {number} dropped"] if number else []
        return self._tries.correct(attempt, self._now(), note="; ".join([*kept, *said]))

    def undo(self) -> Attempt | None:
        """Take back the latest change of this sitting that still stands, of whichever try; None if there is none."""
        if self._under_way:
            return None
        undone = self._tries.undo(self._now())
        if undone is not None and undone is self.attempt:
            self._ask()
        return undone

    def _settled(self) -> Attempt | None:
        return None if self._under_way else self.attempt

    def _ask(self) -> None:
        attempt = self.attempt
        assert attempt is not None
        by_hand = attempt.counted_by is CountedBy.HAND and attempt.ended is not Ended.GIVEN_UP
        self.typed = "" if by_hand and attempt.catches is None else None


def dropper(attempt: Attempt) -> int:
    """The number of the juggler who is noted to have dropped, from 1; 0 for nobody."""
    found = DROPPED.search(attempt.note)
    return int(found[1]) if found else 0
