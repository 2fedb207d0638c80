"""A sitting at the trainer: what all screens share, put together once and closed at the end."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

from trainer import config
from trainer.audio.kit import DEFAULT_KIT, Kit
from trainer.audio.kitfiles import list_kits
from trainer.audio.outputs.choice import begin_output, make_output
from trainer.audio.outputs.frameclock import RATE_HZ
from trainer.audio.outputs.output import LOST_NOTICE, Output
from trainer.audio.transport import Transport
from trainer.config import Settings
from trainer.errors import TrainerError
from trainer.files.places import Places, bundled
from trainer.library.catalogue import Choice, Library
from trainer.library.chosen import Chosen, choose
from trainer.library.entries import Entry
from trainer.library.explanation import Explanation
from trainer.library.reading import library_folders, read_library
from trainer.logbook.errors import LogbookError
from trainer.logbook.store import Logbook
from trainer.session.tries import Tries
from trainer.siteswap.grammar import parse

if TYPE_CHECKING:
    from trainer.audio.synth import Bank
    from trainer.session.guided import Guided
    from trainer.session.session import Session


@dataclass
class Sitting:
    """Settings, library, kits, sound and logbook of one sitting.

    notices: what was found wrong while they were put together, each one sentence, to be shown once.
    clock: the output's, in seconds. now: the time of day with its offset. sign: a sentence for the top of every screen.
    open_output: has the output begin to pull; returns what is wrong with it, None if nothing is.
    """

    places: Places
    settings: Settings
    kits: tuple[Kit, ...]
    transport: Transport
    output: Output
    tries: Tries
    notices: list[str]
    clock: Callable[[], float] = time.monotonic
    now: Callable[[], datetime] = lambda: datetime.now().astimezone()
    session: Session | None = None
    sign: str = ""
    open_output: Callable[[], str | None] = lambda: None
    _banks: dict[str, Bank] = field(default_factory=dict)

    @cached_property
    def library(self) -> Library:
        """The patterns brought along and the user's own, read when first needed: a start with a pattern needs none."""
        library = read_library(library_folders(self.places))
        self.notices += map(str, library.errors)
        return library

    def begin_sound(self) -> None:
        """Open the output, once, after the first picture, which then need not wait for the sound device."""
        if notice := self.open_output():
            self.notices.append(notice)

    def what_next(self) -> tuple[Entry, ...]:
        """Patterns that build on those this juggler has qualified, the easiest first; first steps if there are none."""
        titles: set[str] = set()
        for text, name in self.tries.qualified(self.settings.juggler):
            entry = self.library.find(name) if name else None
            titles.update([entry.title] if entry else [same.title for same in self.library.like(parse(text))])
        return self.library.after(titles)

    def explain(self, choice: Choice) -> Explanation:
        """The explanation of a choice, as the settings have it carried out."""
        return Explanation(choose(choice, self.settings), self.settings.stride_m)

    def begin(self, choice: Choice, tempo_bpm: Fraction | None = None, guided: Guided[Any] | None = None) -> Session:
        """Begin a session with a pattern, or led by a guide that begins with it; a session under way is ended first."""
        from trainer.audio.player import Player  # not at the top: the list of patterns has no use for a session
        from trainer.session.session import Session

        self.end_session()
        chosen, player = self.to_chosen(choice, tempo_bpm), Player(self.transport, self.output)
        self.session = Session(chosen, self.settings, self.bank(), player, self.tries, self.now, guided)
        return self.session

    def to_chosen(self, choice: Choice, tempo_bpm: Fraction | None = None) -> Chosen:
        """A pattern as the settings have it carried out, at a tempo or its usual one."""
        return choose(choice, self.settings, tempo_bpm)

    def end_session(self) -> None:
        """End the session: what is under way is given up and written down."""
        if self.session is not None:
            self.session.leave(self.clock())
            self.session = None

    def bank(self) -> Bank:
        """The sounds of the settings' kit; of the default kit where that one is gone."""
        kit = next((kit for kit in self.kits if kit.name == self.settings.kit), None)
        if kit is None:
            kit = next((kit for kit in self.kits if kit.name == DEFAULT_KIT), self.kits[0])
        if kit.name not in self._banks:
            from trainer.audio.synth import Bank  # as for `begin`

            self._banks[kit.name] = Bank(kit, RATE_HZ)
        return self._banks[kit.name]

    def use(self, **changes: object) -> None:
        """Change settings, here and in the file; a notice tells if the file could not be written."""
        self.settings = replace(self.settings, **changes)  # type: ignore[arg-type]
        self._save(changes)
        self.apply()

    def remap(self, keys: Mapping[str, str | None]) -> None:
        """Put commands on other keys; None puts one back on the key it had out of the box."""
        merged = {**self.settings.keys, **keys}
        self.settings = replace(self.settings, keys={name: key for name, key in merged.items() if key is not None})
        self._save({"keys": keys})

    def _save(self, changes: Mapping[str, object]) -> None:
        try:
            config.save(self.places.settings, changes)
        except TrainerError as error:
            self.notices.append(str(error))

    def apply(self) -> None:
        """Bring what sounds and counts in line with the settings."""
        self.transport.gain = self.settings.volume
        self.output.latency_s = None if self.settings.latency_ms is None else self.settings.latency_ms / 1000
        if self.session is not None:
            self.session.use(self.settings, self.bank())

    def trouble(self) -> str:
        """What is wrong with sound or logbook at this moment, in a line; empty if nothing is."""
        if self.transport.failure is not None:
            return f"The sound stopped: {self.transport.failure}. Runs are counted by the clock. Leave, start again."
        if self.output.lost:
            return LOST_NOTICE
        if self.tries.trouble:
            return f"Not saved: {self.tries.trouble} Saving is tried again at each try."
        return ""

    def close(self) -> tuple[str, ...]:
        """Close the sitting; returns what could not be saved, a line each."""
        self.end_session()
        self.output.close()
        self.tries.close()
        return tuple(
            f"Not saved: {attempt.pattern}, {attempt.catches} catches, {attempt.ended}"
            for attempt in self.tries.unsaved
        )


def open_sitting(kept: Places, settings: Settings, notices: list[str]) -> Sitting:
    """Put a sitting together: whatever is wrong becomes a notice, and the rest goes on working."""
    kits, kit_errors = list_kits((kept.sounds, bundled("sounds")))
    if not kits:
        raise TrainerError("No kit of sounds could be read. Install throwbeat again, or run “throwbeat check”.")
    notices = [*notices, *map(str, kit_errors)]
    if settings.kit not in (kit.name for kit in kits):
        notices.append(f"There was no kit “{settings.kit}”; {DEFAULT_KIT} is used. k, in practice, chooses another.")
    transport = Transport(RATE_HZ)
    output = make_output(settings.output, device=settings.device, buffer_ms=round(settings.buffer_ms))
    sitting = Sitting(kept, settings, kits, transport, output, _open_tries(kept, notices), notices)
    sitting.open_output = lambda: begin_output(output, transport.pull, settings.device)
    sitting.apply()
    return sitting


def _open_tries(kept: Places, notices: list[str]) -> Tries:
    now = datetime.now().astimezone()
    try:
        logbook = Logbook.open(kept.logbook, now=now)
    except LogbookError as error:
        notices.append(f"{error} Attempts are kept here until it can be written; “throwbeat check” tells more.")
        return Tries(None, now, notices.append, lambda: Logbook.open(kept.logbook))
    if logbook.backup_trouble:
        notices.append(f"There is no backup of today: {logbook.backup_trouble}")
    return Tries(logbook, now, notices.append)
