"""The tries of a sitting: each is written to the logbook, and none is lost when the logbook can't be written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar, Unpack, cast

from trainer.logbook.errors import LogbookError
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, Corrected, Ended
from trainer.records.totals import Figure, figure_of

Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True)
class Unwritten:
    """A change that the logbook lacks. place: of its attempt in `attempts`. write: returns the attempt as logged."""

    place: int
    write: Callable[[Logbook], Attempt]


class Tries:
    """The attempts of one sitting. Without a logbook (None) they are kept in memory, as are those it refuses.

    attempts: those of this sitting that have ended, oldest first, as last set right. unsaved: those of them whose
    end or corrections are not all in the logbook; each new attempt tries to write them too, in the order they were
    made. trouble: what went wrong last, in one line; empty when all is saved.
    """

    def __init__(self, logbook: Logbook | None, started_at: datetime) -> None:
        self._logbook = logbook
        self.trouble = ""
        self.session_id = 0
        self._under_way: Attempt | None = None
        self.attempts: tuple[Attempt, ...] = ()
        self._unwritten: tuple[Unwritten, ...] = ()
        self._corrected: tuple[tuple[int, Corrected], ...] = ()  # place among the attempts, and what stood there
        self._best: tuple[tuple[Attempt, ...], Figure | None, int | None] = ((), None, None)
        self._started_at = started_at

    @property
    def unsaved(self) -> tuple[Attempt, ...]:
        return tuple(self.attempts[place] for place in sorted({each.place for each in self._unwritten}))

    def begin(self, attempt: Attempt) -> None:
        """Write that an attempt is under way, so that it stands in the logbook even if the trainer is killed."""
        self._under_way = attempt
        self.save()
        if self._unwritten:  # those come first; this one is written when it ends
            return
        number = self.ask(lambda book: book.begin_attempt(replace(attempt, session_id=self.session_in(book))), None)
        if number is not None:
            self._under_way = replace(attempt, session_id=self.session_id, id=number)

    def finish(self, ended: Ended, catches: int | None, seconds: float, hiccups: int, note: str) -> Attempt:
        """End the attempt under way. It is in the logbook before this returns, or kept here."""
        assert self._under_way is not None
        attempt = replace(self._under_way, ended=ended, catches=catches, seconds=seconds, hiccups=hiccups, note=note)
        best = self._find_best(figure_of(attempt)) or 0
        self._under_way = None
        self._unwritten = (*self._unwritten, Unwritten(len(self.attempts), lambda book: self._written(book, attempt)))
        self.attempts = (*self.attempts, replace(attempt, best=(catches or 0) > best))
        self.save()
        return self.attempts[-1]

    def save(self) -> None:
        """Write what the logbook lacks, oldest first; what it refuses stays here."""
        if self._logbook is None:
            return
        try:
            for unwritten in self._unwritten:
                logged = unwritten.write(self._logbook)
                known = self.attempts[unwritten.place]
                self._put(unwritten.place, replace(known, id=logged.id, session_id=logged.session_id, best=logged.best))
                self._unwritten = self._unwritten[1:]
            self.trouble = ""
        except LogbookError as error:
            self.trouble = str(error)

    def close(self) -> None:
        """Write what can still be written and close the logbook, so that a copy of its file has all of it."""
        self.save()
        if self._logbook is not None:
            self._logbook.close()
        self._logbook = None

    def correct(self, attempt: Attempt, now: datetime, **changes: Unpack[Corrected]) -> Attempt:
        """Set an attempt of this sitting right; the logbook keeps the old value as a correction."""
        place = next(place for place, each in enumerate(self.attempts) if each is attempt)
        before = cast(Corrected, {name: getattr(attempt, name) for name in changes})
        self._corrected = (*self._corrected, (place, before))
        return self._set_right(place, now, changes)

    def changed_elsewhere(self, attempt: Attempt) -> None:
        """Take over an attempt of this sitting that was changed in the logbook; one removed counts as not fair."""
        for place, each in enumerate(self.attempts):
            if each.id is not None and each.id == attempt.id:
                self._put(place, replace(attempt, fair=attempt.fair and not attempt.removed))
                self._mark_bests()

    def undo(self, now: datetime) -> Attempt | None:
        """Take back the latest correction that still stands, by another one; the attempt, None if there was none."""
        if not self._corrected:
            return None
        *earlier, (place, before) = self._corrected
        self._corrected = tuple(earlier)
        return self._set_right(place, now, before)

    def _set_right(self, place: int, now: datetime, changes: Corrected) -> Attempt:
        def write(logbook: Logbook) -> Attempt:
            number = self.attempts[place].id
            assert number is not None  # its end was written before
            return logbook.correct(number, corrected_at=now, **changes)

        after = replace(self.attempts[place], **changes)
        self._put(place, replace(after, best=after.best and after.fair))
        self._unwritten = (*self._unwritten, Unwritten(place, write))
        self.save()
        self._mark_bests()
        return self.attempts[place]

    def _mark_bests(self) -> None:
        """Ask the logbook anew which attempts are bests: an attempt set right changes that for those after it."""
        if self._unwritten:
            return
        bests: dict[int | None, bool] = self.ask(
            lambda book: {each.id: each.best for each in book.attempts(session_id=self.session_id)}, {}
        )
        if bests:
            self.attempts = tuple(replace(each, best=bests.get(each.id, each.best)) for each in self.attempts)

    def ask(self, question: Callable[[Logbook], Answer], otherwise: Answer) -> Answer:
        """The logbook's answer to a question; `otherwise` if there is none or it fails, as `trouble` then tells."""
        if self._logbook is None:
            return otherwise
        try:
            return question(self._logbook)
        except LogbookError as error:
            self.trouble = str(error)
            return otherwise

    def qualified(self, juggler: str | None) -> tuple[tuple[str, str | None], ...]:
        """What a juggler has qualified, here or in the logbook: pattern text, and name in the library or None."""
        here = (each for each in self.attempts if each.juggler == juggler and each.qualify and each.fair)
        found = {(each.pattern, each.name) for each in here}
        found.update(self.ask(lambda book: book.qualified(juggler), ()))
        return tuple(sorted(found, key=lambda each: (each[0], each[1] or "")))

    def best(self, figure: Figure) -> int | None:
        """The most catches so far of a figure; looked up once for the tries as they stand."""
        if self._best[:2] != (self.attempts, figure):
            self._best = (self.attempts, figure, self._find_best(figure))
        return self._best[2]

    def _find_best(self, figure: Figure) -> int | None:
        known = [each.catches for each in self.attempts if each.fair and figure_of(each) == figure]
        known.append(self.ask(lambda book: book.best_catches(figure), None))
        return max((catches for catches in known if catches is not None), default=0) or None

    def session_in(self, logbook: Logbook) -> int:
        """The number of this sitting in the logbook, where it begins with its first attempt."""
        if not self.session_id:
            self.session_id = logbook.begin_session(self._started_at)
        return self.session_id

    def _written(self, logbook: Logbook, attempt: Attempt) -> Attempt:
        assert attempt.ended is not None
        if attempt.id is None:
            return logbook.add(replace(attempt, session_id=self.session_in(logbook)))
        return logbook.finish(
            attempt.id,
            ended=attempt.ended,
            catches=attempt.catches,
            seconds=attempt.seconds,
            hiccups=attempt.hiccups,
            note=attempt.note,
        )

    def _put(self, place: int, attempt: Attempt) -> None:
        self.attempts = (*self.attempts[:place], attempt, *self.attempts[place + 1 :])
