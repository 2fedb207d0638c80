"""The catalogue: finds entries by name, reads typed patterns, filters and sorts."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Final

from trainer.files.checks import shown
from trainer.files.texts import one_line
from trainer.files.toml import DataError
from trainer.library.entries import BODY_CUES, Entry
from trainer.library.spelling import closest, name_variants, to_key
from trainer.siteswap.families import parse_family
from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.pattern import Pattern

if TYPE_CHECKING:
    from trainer.library.difficulty import Difficulty
    from trainer.library.picker import Picker

LONGEST_MISSPELLING: Final = 80
A_WORD = re.compile(r"[^\W\d_]{3}")

ThrowsKey = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """What a text stands for: a pattern, and its entry in the library if it has one."""

    pattern: Pattern
    entry: Entry | None = None

    @property
    def name(self) -> str | None:
        """The pattern's name in the library; None where it has no entry."""
        return self.entry.title if self.entry else None


def difficulty_of(choice: Choice) -> Difficulty:
    """Return how hard a choice is; the cues of its entry count too."""
    from trainer.library.difficulty import to_difficulty  # a look-up of one pattern needs no timing

    for_the_body = sum(cue.kind in BODY_CUES for cue in choice.entry.cues) if choice.entry else 0
    return to_difficulty(choice.pattern, body_share=for_the_body / choice.pattern.round)


@dataclass(frozen=True)
class Library:
    """All entries in the order of reading, and the errors in their files."""

    entries: tuple[Entry, ...]
    errors: tuple[DataError, ...] = ()

    def find(self, text: str) -> Entry | None:
        """Find the entry of a name; case, width, spaces and hyphens do not matter.

        “3 ball box”, “three ball box” and “box 3” all find the box of 3, whichever of them its file has.
        """
        if len(text) > LONGEST_MISSPELLING * 2:
            return None
        entry = self._by_name.get(to_key(text))
        if entry is not None:
            return entry
        number, keys = name_variants(text)
        found = (self._by_name.get(key) for key in keys)
        return next((entry for entry in found if entry is not None and entry.objects == number), None)

    def to_choice(self, text: str) -> Choice:
        """Read a name in the library, a family such as “5 cascade” or a siteswap, whichever fits first.

        Throws and style of a plain entry give that entry with its own text. Raises NotationError, with the nearest
        name as its suggestion where the text looks like a misspelt name.
        """
        entry = self.find(text)
        if entry is not None:
            return Choice(entry.pattern, entry)
        pattern = parse_family(text)
        if pattern is None:
            try:
                pattern = parse(text)
            except NotationError as error:
                raise self._as_name(text, error) from None
        same = next(iter(self.like(pattern)), None)
        return Choice(pattern) if same is None else Choice(same.pattern, same)

    def like(self, pattern: Pattern) -> tuple[Entry, ...]:
        """Return the plain entries with the same throws and style."""
        return self._by_throws.get(_throws_key(pattern), ())

    def after(self, qualified: Collection[str]) -> tuple[Entry, ...]:
        """Return what to learn next, the easiest first: unqualified entries that build on qualified ones only.

        qualified: titles. Entries that build on nothing are listed only while nothing is qualified.
        """
        return tuple(
            entry
            for entry in self._sorted
            if entry.title not in qualified
            and all(title in qualified for title in entry.builds_on)
            and bool(entry.builds_on) is bool(qualified)
        )

    def filter(self, query: str) -> tuple[Entry, ...]:
        """Return the entries that fit a query, the best fit first and then the easiest; all for an empty query.

        Every word must fit a name, the siteswap, the category, a cue or the arrangement. A number may also be the
        number of objects; followed by “balls”, “clubs” or the like it can be nothing else.
        """
        return self._picker.filter(query, self.find(query))

    @cached_property
    def _by_name(self) -> dict[str, Entry]:
        found: dict[str, Entry] = {}
        for entry in self.entries:
            for name in entry.names:
                found.setdefault(to_key(name), entry)
        return found

    @cached_property
    def _by_throws(self) -> dict[ThrowsKey, tuple[Entry, ...]]:
        found: dict[ThrowsKey, tuple[Entry, ...]] = {}
        for entry in self.entries:
            if entry.is_plain:
                key = _throws_key(entry.pattern)
                found[key] = (*found.get(key, ()), entry)
        return found

    @cached_property
    def _sorted(self) -> tuple[Entry, ...]:
        points = {id(entry): difficulty_of(Choice(entry.pattern, entry)).points for entry in self.entries}
        return tuple(sorted(self.entries, key=lambda entry: (points[id(entry)], to_key(entry.title))))

    @cached_property
    def _picker(self) -> Picker:
        from trainer.library.picker import Picker  # a look-up of one pattern needs no list

        return Picker(self._sorted)

    def _as_name(self, text: str, error: NotationError) -> NotationError:
        """Return the error for a text that looks like a name; for any other text the error as it was."""
        key = to_key(text)
        if not A_WORD.search(key) or any(sign in key for sign in "<([|"):
            return error
        said = f"No pattern was called {one_line(shown(text.strip()))}"
        nearest = self._nearest_name(key)
        if nearest:
            return NotationError(text, 1, f"{said}.", nearest)
        if any(char.isdigit() for char in key):
            reason = f"{said}, and as throws it does not work. {error.reason}"
            return NotationError(text, error.column, reason, error.suggestion)
        return NotationError(text, 1, f"{said}. Type a pattern's name, or throws such as 531.")

    def _nearest_name(self, key: str) -> str:
        if len(key) > LONGEST_MISSPELLING:
            return ""
        near = closest(key, self._by_name)
        return next((name for name in self._by_name[near].names if to_key(name) == near), "") if near else ""


def _throws_key(pattern: Pattern) -> ThrowsKey:
    """Return a key that is equal for two patterns with the same throws and style, however they are written."""
    throws = tuple((t.beat, t.juggler, t.hand, t.value, t.to_juggler, t.to_hand) for t in pattern.throws)
    return (pattern.rhythm, pattern.jugglers, pattern.period, pattern.style, throws)
