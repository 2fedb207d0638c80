"""The glossary: terms of the trade, found by name, by the first letters of one, or in a text."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Final

from trainer.files import texts
from trainer.files.toml import Table, read
from trainer.library.spelling import closest, to_key, to_words
from trainer.siteswap.throws import Rhythm

if TYPE_CHECKING:
    from trainer.library.catalogue import Choice

TERMS_FILE: Final = Path(__file__).with_name("terms.toml")
KINDS: Final = {Rhythm.ASYNC: "siteswap", Rhythm.SYNC: "sync", Rhythm.PASSING: "passing"}
PLURALS: Final = ("s", "es")
WORD: Final = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")
BETWEEN: Final = re.compile(r"[\s\-‐‑–]+")
"""What may stand between the words of one name, a line's end included."""


@dataclass(frozen=True, slots=True)
class Term:
    """A term of the trade.

    names: the first is the title. everyday: those names that mostly mean something else in a text. see: titles of
    other terms. patterns: titles of entries that show it.
    """

    names: tuple[str, ...]
    everyday: tuple[str, ...]
    text: str
    see: tuple[str, ...]
    patterns: tuple[str, ...]

    @property
    def title(self) -> str:
        """The first name."""
        return self.names[0]


@dataclass(frozen=True, slots=True)
class Mention:
    """A term in a text, from the character at `start` up to the one before `stop`."""

    start: int
    stop: int
    term: Term


@dataclass(frozen=True)
class Terms:
    """All terms in the order of the alphabet."""

    terms: tuple[Term, ...]

    def find(self, word: str) -> Term | None:
        """Find the term of a name; case, width, spaces, hyphens and a plural s do not matter."""
        return _by_key(to_key(word), self._keys)

    def nearest(self, word: str) -> Term | None:
        """Return the term that a name unknown to `find` may mean: one that it begins, or one that is much like it."""
        key = to_key(word)[: texts.TERM.longest * 2]
        begun = [known for known in self._keys if key and known.startswith(key)]
        near = min(begun, key=len) if begun else closest(key, self._keys)
        return self._keys[near] if near else None

    def filter(self, query: str) -> tuple[Term, ...]:
        """Return the terms that fit a query, the best fit first: whole name, start of a name, words of it, the text."""
        words = to_words(query)
        if not words:
            return self.terms
        exact = self.find(query)
        found: dict[int, list[Term]] = {}
        for term, names, text in self._hay:
            rank = 0 if term is exact else _to_rank(words, names, text)
            if rank is not None:
                found.setdefault(rank, []).append(term)
        return tuple(term for rank in sorted(found) for term in found[rank])

    def in_text(self, text: str) -> tuple[Mention, ...]:
        """Return the terms that a text mentions, in its order.

        Of names that overlap the longest counts; it may run over the end of a line. Everyday names are left out.
        """
        words, found = list(WORD.finditer(text)), []
        place = 0
        while place < len(words):
            mention, used = self._longest(text, words[place : place + self._most_words])
            if mention is not None:
                found.append(mention)
            place += used
        return tuple(found)

    def at(self, text: str, place: int) -> Term | None:
        """Return the term that the character at `place` of a text belongs to."""
        return next((found.term for found in self.in_text(text) if found.start <= place < found.stop), None)

    def about(self, choice: Choice) -> Term | None:
        """Return the term to show with a pattern: from its title, its category, how it is done, or else its kind."""
        entry, pattern = choice.entry, choice.pattern
        if entry is None:
            kind = "multiplex" if "[" in pattern.text else KINDS[pattern.kind]
            return self.find(pattern.style or kind)
        return self._first_in(entry.title) or self.find(entry.category) or self._first_in(entry.how)

    def _first_in(self, text: str) -> Term | None:
        return next((mention.term for mention in self.in_text(text)), None)

    @cached_property
    def _keys(self) -> dict[str, Term]:
        return {to_key(name): term for term in self.terms for name in term.names}

    @cached_property
    def _telling(self) -> dict[str, Term]:
        """The names that are not everyday words, as keys."""
        return {key: term for key, term in self._keys.items() if key not in map(to_key, term.everyday)}

    @cached_property
    def _most_words(self) -> int:
        return max((len(to_words(name)) for term in self.terms for name in term.names), default=0)

    @cached_property
    def _hay(self) -> tuple[tuple[Term, str, str], ...]:
        """Each term with its names, one a line, and its text; in lower case, with a space before each word."""
        return tuple((term, "\n".join(map(_spaced, term.names)), _spaced(term.text)) for term in self.terms)

    def _longest(self, text: str, words: list[re.Match[str]]) -> tuple[Mention | None, int]:
        """Find the longest name that begins at the first word, and return how many words to go on (at least 1)."""
        together = 1
        while together < len(words) and BETWEEN.fullmatch(text, words[together - 1].end(), words[together].start()):
            together += 1
        start = words[0].start()
        for used in range(together, 0, -1):
            stop = words[used - 1].end()
            term = _by_key(to_key(text[start:stop]), self._telling)
            # "a sync pattern" has no async in it: a name is not spread over more words than it has
            if term is not None and any(used <= len(to_words(name)) for name in term.names):
                return Mention(start, stop, term), used
        return None, 1


def _by_key(key: str, known: dict[str, Term]) -> Term | None:
    found = known.get(key)
    for ending in PLURALS:
        found = found or known.get(key.removesuffix(ending))
    return found


def _spaced(text: str) -> str:
    """Write the words of a text with a space before each, so that " wo" is found where a word begins with it."""
    return "".join(f" {word}" for word in to_words(text))


def _to_rank(words: tuple[str, ...], names: str, text: str) -> int | None:
    """Return how well typed words fit a term, 1 for the best; None where one of them does not fit."""
    if any(name.startswith(" " + " ".join(words)) for name in names.split("\n")):
        return 1
    if all(f" {word}" in names for word in words):
        return 2
    if all(word in names for word in words):
        return 3
    return 4 if all(f" {word}" in names or f" {word}" in text for word in words) else None


@cache
def read_terms() -> Terms:
    """Return the glossary that comes with the trainer. Raises DataError."""
    return terms_in(TERMS_FILE)


def terms_in(path: Path) -> Terms:
    """Read the terms of a file. Raises DataError for a wrong field, a name of two terms, or a link to no term."""
    table = read(path)
    rows = table.tables("term")
    terms = [_read_term(row) for row in rows]
    table.refuse_unknown()
    owners: dict[str, Term] = {}
    for row, term in zip(rows, terms, strict=True):
        for name in term.names:
            owner = owners.setdefault(to_key(name), term)
            if owner is not term:
                raise row.error("names", f"“{name}” was also a name of “{owner.title}”. Rename one of them.")
    linked = [_link(row, term, owners) for row, term in zip(rows, terms, strict=True)]
    return Terms(tuple(sorted(linked, key=lambda term: to_key(term.title))))


def _read_term(row: Table) -> Term:
    names = row.texts("names", texts.TERM)
    if not names or not all(map(to_key, names)):
        raise row.error("names", "A name was missing or empty. Give at least one.")
    if len(set(map(to_key, names))) < len(names):
        raise row.error("names", "A name stood there twice: case, spaces and hyphens make no difference.")
    everyday = row.texts("everyday", default=())
    if not set(everyday) <= set(names):
        raise row.error("everyday", "One of these was none of the names. Write it as it stands there.")
    return Term(
        names,
        everyday,
        text=row.text("text", texts.MEANING),
        see=row.texts("see", default=()),
        patterns=row.texts("patterns", default=()),
    )


def _link(row: Table, term: Term, owners: dict[str, Term]) -> Term:
    """Return the term with the titles of the terms that it leads to."""
    titles = []
    for name in term.see:
        owner = owners.get(to_key(name))
        if owner is None:
            raise row.error("see", f"No term was called “{name}”.")
        if owner is term:
            raise row.error("see", "The term led to itself.")
        titles.append(owner.title)
    return replace(term, see=tuple(titles))
