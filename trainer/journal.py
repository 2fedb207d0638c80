"""The journal: writes each attempt of a session to the logbook, and loses none when the logbook can't be written."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Protocol

from trainer.logbook.records import Attempt, CountedBy, Ended, LogbookError
from trainer.logbook.store import Logbook


class Figure(Protocol):
    """What a best is kept apart by, next to the pattern."""

    @property
    def counted_by(self) -> CountedBy: ...
    @property
    def prop(self) -> str: ...


class Journal:
    """One session's attempts. Without a logbook (None) they are kept in memory, as are those it refuses.

    attempts: those of this session that have ended, oldest first. unsaved: those of them whose end is not in the
    logbook; each new attempt tries to write them too. trouble: what went wrong last, in one line; empty when all
    is saved.
    """

    def __init__(self, logbook: Logbook | None, started_at: datetime, trouble: str = "") -> None:
        self._logbook = logbook
        self.trouble = trouble
        self.session_id = 0
        self._under_way: Attempt | None = None
        self.attempts: tuple[Attempt, ...] = ()
        self._unsaved: tuple[int, ...] = ()  # places among the attempts
        self._started_at = started_at

    @property
    def unsaved(self) -> tuple[Attempt, ...]:
        return tuple(self.attempts[place] for place in self._unsaved)

    def begin(self, attempt: Attempt) -> None:
        """Write that an attempt is under way, so that it is known even if the trainer is killed."""
        self._under_way = attempt
        self.save()
        if self._logbook is None or self._unsaved:  # those come first; this one is written when it ends
            return
        try:
            attempt = replace(attempt, session_id=self._session(self._logbook))
            self._under_way = replace(attempt, id=self._logbook.begin_attempt(attempt))
        except LogbookError as error:
            self.trouble = str(error)

    def finish(self, ended: Ended, catches: int | None, seconds: float, hiccups: int, note: str) -> Attempt:
        """The end of the attempt under way: in the logbook before this returns, or kept here."""
        assert self._under_way is not None
        attempt = replace(self._under_way, ended=ended, catches=catches, seconds=seconds, hiccups=hiccups, note=note)
        best = self.best(attempt.pattern, attempt.name, attempt) or 0
        self._under_way = None
        self._unsaved = (*self._unsaved, len(self.attempts))
        self.attempts = (*self.attempts, replace(attempt, best=(catches or 0) > best))
        self.save()
        return self.attempts[-1]

    def save(self) -> None:
        """Write what is not in the logbook yet, oldest first; what is refused stays here."""
        if self._logbook is None:
            return
        try:
            for place in self._unsaved:
                self._put(place, self._written(self._logbook, self.attempts[place]))
                self._unsaved = self._unsaved[1:]
            self.trouble = ""
        except LogbookError as error:
            self.trouble = str(error)

    def correct(self, attempt: Attempt, catches: int, now: datetime) -> Attempt:
        """Another count for an attempt of this session; the first one stays in the logbook's corrections."""
        place = next(place for place, each in enumerate(self.attempts) if each is attempt)
        corrected = replace(attempt, catches=catches)
        if self._logbook is not None and place not in self._unsaved:
            assert attempt.id is not None
            try:
                corrected = self._logbook.correct(attempt.id, corrected_at=now, catches=catches)
            except LogbookError as error:
                self.trouble = str(error)
                return attempt
        self._put(place, corrected)
        return corrected

    def qualified(self) -> tuple[tuple[str, str | None], ...]:
        """The patterns qualified so far, here or in the logbook: text, and name where the library has one."""
        found = {(each.pattern, each.name) for each in self.attempts if each.qualify and each.fair}
        if self._logbook is not None:
            try:
                found.update(self._logbook.qualified())
            except LogbookError as error:
                self.trouble = str(error)
        return tuple(sorted(found, key=lambda each: (each[0], each[1] or "")))

    def best(self, pattern: str, name: str | None, figure: Figure) -> int | None:
        """The most catches so far of a pattern under its name, with this prop and this way of counting."""
        known = [
            attempt.catches
            for attempt in self.attempts
            if (attempt.pattern, attempt.name) == (pattern, name)
            and attempt.prop == figure.prop
            and attempt.counted_by is figure.counted_by
            and attempt.catches is not None
        ]
        if self._logbook is not None:
            try:
                known.append(self._logbook.best_catches(pattern, figure.prop, figure.counted_by, name) or 0)
            except LogbookError as error:
                self.trouble = str(error)
        return max(known, default=0) or None

    def _session(self, logbook: Logbook) -> int:
        """The number of this session, which begins in the logbook with its first attempt."""
        if not self.session_id:
            self.session_id = logbook.begin_session(self._started_at)
        return self.session_id

    def _written(self, logbook: Logbook, attempt: Attempt) -> Attempt:
        assert attempt.ended is not None
        if attempt.id is None:
            return logbook.add(replace(attempt, session_id=self._session(logbook)))
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
