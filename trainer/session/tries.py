"""The tries of a sitting: each is written to the logbook, and none is lost when the logbook can't be written."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar, Unpack, cast

from trainer.logbook.errors import AttemptRefused, LogbookError
from trainer.logbook.rows import new_identity
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, Corrected, Ended
from trainer.records.courses import LoggedClimb, PlanRun
from trainer.records.totals import Figure, figure_of

Answer = TypeVar("Answer")

HURRIED_S = 0.1
"""At the press that ends a try, so long at most is waited for another program that is writing."""

REPLACED = "The logbook was replaced or removed while it was open. What it lacked of this sitting was written again."


@dataclass(frozen=True, slots=True)
class Unwritten:
    """A change that the logbook lacks. place: of its attempt in `attempts`. write: returns the attempt as logged."""

    place: int
    write: Callable[[Logbook], Attempt]


class Tries:
    """The attempts of one sitting. Without a logbook (None) they are kept in memory, as are those it refuses.

    open_later: opens the logbook that could not be opened before; None if there is to be none. It is tried whenever
    something is to be saved.

    attempts: those of this sitting that have ended, oldest first, as last set right. unsaved: those of them whose
    end or corrections are not all in the logbook; each new attempt tries to write them too, in the order they were
    made. trouble: what went wrong last, in one line; empty when all is saved. tell: called with a sentence for the
    user. The logbook is asked for an attempt, a climb or a plan's run by its identity, which names nothing else in
    whichever file is put in its place.
    """

    def __init__(
        self,
        logbook: Logbook | None,
        started_at: datetime,
        tell: Callable[[str], object] = lambda _text: None,
        open_later: Callable[[], Logbook] | None = None,
    ) -> None:
        self._logbook, self._tell, self._open_later = logbook, tell, open_later
        self.trouble = ""
        self._under_way: Attempt | None = None
        self._to_beat = 0  # catches, by the try under way
        self.attempts: tuple[Attempt, ...] = ()
        self._unwritten: tuple[Unwritten, ...] = ()
        self._corrected: tuple[tuple[int, Corrected], ...] = ()  # place among the attempts, and what stood there
        self._best: tuple[tuple[Attempt, ...], Figure | None, int | None] = ((), None, None)
        self._courses: dict[str, LoggedClimb | PlanRun] = {}  # by identity, as last kept
        self._started_at = started_at

    @property
    def unsaved(self) -> tuple[Attempt, ...]:
        return tuple(self.attempts[place] for place in sorted({each.place for each in self._unwritten}))

    def begin(self, attempt: Attempt) -> None:
        """Write that an attempt is under way, so that it stands in the logbook even if the trainer is killed."""
        self._under_way = begun = replace(attempt, uid=new_identity(attempt.started_at))
        self._to_beat = self._find_best(figure_of(attempt)) or 0
        if self.save():  # what waits comes first; else this one is written when it ends
            self.ask(lambda book: self._begin_in(book, begun), None)

    def end(self, ended: Ended, catches: int | None, seconds: float, hiccups: int, note: str) -> None:
        """Write how the attempt under way ends unless `resume` takes it back; `finish` makes it final.

        What the logbook refuses here is left to `finish`.
        """
        begun = self._under_way
        assert begun is not None

        def write(book: Logbook) -> None:
            with book.at_once():
                if book.number_of("attempts", begun.uid) is None:
                    self._begin_in(book, begun)
                book.end(_uid(begun), ended=ended, catches=catches, seconds=seconds, hiccups=hiccups, note=note)

        if self._logbook is not None:
            with self._logbook.hurried(HURRIED_S):
                if self.save():
                    self.ask(write, None)

    def resume(self) -> None:
        """Put the attempt whose end was written back under way."""
        begun = self._under_way
        assert begun is not None

        def write(book: Logbook) -> None:
            if book.number_of("attempts", begun.uid) is not None:
                book.resume(_uid(begun))

        self.ask(write, None)

    def finish(self, ended: Ended, catches: int | None, seconds: float, hiccups: int, note: str) -> Attempt:
        """End the attempt under way. It is in the logbook before this returns, or kept here."""
        assert self._under_way is not None
        attempt = replace(self._under_way, ended=ended, catches=catches, seconds=seconds, hiccups=hiccups, note=note)
        self._under_way = None
        self._unwritten = (*self._unwritten, Unwritten(len(self.attempts), lambda book: self._finish_in(book, attempt)))
        self.attempts = (*self.attempts, replace(attempt, best=(catches or 0) > self._to_beat))
        self.save()
        return self.attempts[-1]

    def save(self) -> bool:
        """Write what the logbook lacks, oldest first; what it refuses stays here. Whether it can be written now.

        Changes of one attempt stay in their order; an attempt that is refused holds up no other.
        """
        left, refused = list(self._unwritten), {}
        try:
            if self._logbook is None and self._open_later is not None:
                self._logbook = self._open_later()
            if self._logbook is None:
                return False
            left[:0] = self._gone(self._logbook)
            for unwritten in tuple(left):
                if unwritten.place not in refused:
                    try:
                        self._write(self._logbook, unwritten)
                        left.remove(unwritten)
                    except AttemptRefused as error:
                        refused[unwritten.place] = str(error)
            self.trouble = next(iter(refused.values()), "")
            return True
        except LogbookError as error:
            self.trouble = str(error)
            return False
        finally:
            self._unwritten = tuple(left)

    def _write(self, logbook: Logbook, unwritten: Unwritten) -> None:
        with logbook.at_once():
            logged = unwritten.write(logbook)
        known = self.attempts[unwritten.place]
        self._put(unwritten.place, replace(known, id=logged.id, session_id=logged.session_id, best=logged.best))

    def _gone(self, logbook: Logbook) -> Iterator[Unwritten]:
        """Attempts that were written and are not there: another logbook was put in the place of the one before."""
        replaced = logbook.take_up()
        waiting = {each.place for each in self._unwritten}
        written = {_uid(each): place for place, each in enumerate(self.attempts) if place not in waiting}
        lacked = logbook.lacks(written)
        if replaced or lacked:
            self._tell(REPLACED)
        for uid, place in written.items():
            if uid in lacked:
                yield Unwritten(place, lambda book, place=place: self._finish_in(book, self.attempts[place]))  # type: ignore[misc]

    def close(self) -> None:
        """Write what can still be written and close the logbook, so that a copy of its file has all of it."""
        self.save()
        if self._logbook is not None:
            self._logbook.close()
        self._logbook = self._open_later = None

    def correct(self, attempt: Attempt, now: datetime, **changes: Unpack[Corrected]) -> Attempt:
        """Set an attempt of this sitting right; the logbook keeps the old value as a correction."""
        place = next(place for place, each in enumerate(self.attempts) if each is attempt)
        before = cast(Corrected, {name: getattr(attempt, name) for name in changes})
        self._corrected = (*self._corrected, (place, before))
        return self._set_right(place, now, changes)

    def changed_elsewhere(self, attempt: Attempt) -> None:
        """Take over an attempt of this sitting that was changed in the logbook; one removed counts as not fair."""
        for place, each in enumerate(self.attempts):
            if each.uid == attempt.uid:
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
        after = replace(self.attempts[place], **changes)
        uid = _uid(after)

        def write(book: Logbook) -> Attempt:
            if book.lacks([uid]):
                return self._finish_in(book, self.attempts[place])
            return book.correct(uid, corrected_at=now, **changes)

        self._put(place, replace(after, best=after.best and after.fair))
        self._unwritten = (*self._unwritten, Unwritten(place, write))
        self.save()
        self._mark_bests()
        return self.attempts[place]

    def _mark_bests(self) -> None:
        """Ask the logbook anew which attempts are bests: an attempt set right changes that for those after it."""
        if self._unwritten:
            return
        bests: dict[str | None, bool] = self.ask(
            lambda book: {each.uid: each.best for each in book.attempts(session_id=self.session_in(book))}, {}
        )
        if bests:
            self.attempts = tuple(replace(each, best=bests.get(each.uid, each.best)) for each in self.attempts)

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

    def keep(self, course: LoggedClimb | PlanRun) -> bool:
        """Write a climb or a plan's run of this sitting as it stands now; whether that could be done."""
        self._courses[_uid(course)] = course
        return self.ask(lambda book: self._keep_in(book, course), False)

    # -- inside one change of a logbook ---------------------------------------------------------------------

    def session_in(self, book: Logbook) -> int:
        """The number of this sitting in the logbook, where it begins with its first attempt."""
        return book.begin_session(self._started_at)

    def _begin_in(self, book: Logbook, attempt: Attempt) -> None:
        with book.at_once():
            book.begin_attempt(self._placed(book, attempt))

    def _finish_in(self, book: Logbook, attempt: Attempt) -> Attempt:
        """Write all of an attempt: the end of its row under way, or a new row; as it stands there, if it has ended."""
        uid = _uid(attempt)
        assert attempt.ended is not None
        if book.number_of("attempts", uid) is None:
            return book.add(self._placed(book, attempt))
        if not book.is_ours(uid):
            return book.attempt(uid)
        return book.finish(
            uid,
            ended=attempt.ended,
            catches=attempt.catches,
            seconds=attempt.seconds,
            hiccups=attempt.hiccups,
            note=attempt.note,
            fair=attempt.fair,
        )

    def _placed(self, book: Logbook, attempt: Attempt) -> Attempt:
        """An attempt with its session there; its climb and its plan's run are written if they are not there."""
        for uid in (attempt.climb_uid, attempt.plan_run_uid):
            if uid in self._courses:
                self._keep_in(book, self._courses[uid])
        return replace(attempt, session_id=self.session_in(book))

    def _keep_in(self, book: Logbook, course: LoggedClimb | PlanRun) -> bool:
        with book.at_once():
            if book.number_of("climbs" if isinstance(course, LoggedClimb) else "plan_runs", course.uid) is None:
                course = replace(course, session_id=self.session_in(book))
            book.keep(course)
        return True

    def _put(self, place: int, attempt: Attempt) -> None:
        self.attempts = (*self.attempts[:place], attempt, *self.attempts[place + 1 :])


def _uid(record: Attempt | LoggedClimb | PlanRun) -> str:
    assert record.uid is not None
    return record.uid
