"""The picker: filters entries by what is typed, the best fit first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum

from trainer.library.entries import Entry
from trainer.library.spelling import PROPS, to_key, to_number, to_words


class Rank(IntEnum):
    """How well a query fits an entry, the best first."""

    EXACT = 0
    NAME_START = 1
    OBJECTS = 2
    WORD_STARTS = 3
    WITHIN_WORDS = 4


@dataclass(frozen=True, slots=True)
class PickerQuery:
    """A typed query in its parts.

    words: each with the number it may say. objects: number before the name of a prop, or None. key: the words run
    together. start: what a line of a haystack begins with if it begins with the words. exact: entry of that name.
    """

    words: tuple[tuple[str, int | None], ...]
    objects: int | None
    key: str
    start: str
    exact: Entry | None


@dataclass(frozen=True, slots=True)
class Haystack:
    """What a query is compared with.

    text: the entry's names and properties, one a line, with a space before each word. keys: those of its names.
    """

    entry: Entry
    objects: int
    text: str
    keys: frozenset[str]


class Picker:
    """Entries in a given order, prepared so that each key typed filters them at once."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self._entries = tuple(entries)
        self._hay = tuple(map(_to_hay, self._entries))

    def filter(self, query: str, exact: Entry | None = None) -> tuple[Entry, ...]:
        """Return the entries that fit a query, by rank and then in their order. exact: the entry of that name."""
        words, objects = _split_objects(query)
        if not words and objects is None:
            return self._entries
        numbered = tuple((word, to_number(word)) for word in words)
        asked = PickerQuery(numbered, objects, "".join(words), "\n " + " ".join(words), exact)
        found: list[list[Entry]] = [[] for _ in Rank]
        for hay in self._hay:
            rank = _to_rank(asked, hay)
            if rank is not None:
                found[rank].append(hay.entry)
        return tuple(entry for group in found for entry in group)


def _split_objects(query: str) -> tuple[tuple[str, ...], int | None]:
    """Return the words to look for, and the number of objects if the query has one before a prop."""
    words = to_words(query)
    for place, word in enumerate(words[:-1]):
        number = to_number(word)
        if number is not None and words[place + 1] in PROPS:
            return (*words[:place], *words[place + 2 :]), number
    return words, None


def _to_hay(entry: Entry) -> Haystack:
    keys = {*map(to_key, entry.names), *([to_key(entry.pattern.text)] if entry.is_plain else ())}
    kinds = dict.fromkeys(cue.kind for cue in entry.cues)
    texts = (*entry.names, entry.pattern.text, entry.category, *kinds, entry.arrangement, entry.bounce)
    lines = dict.fromkeys((*(" ".join(to_words(text)) for text in texts if text), *sorted(keys)))
    return Haystack(entry, entry.objects, "".join(f"\n {line}" for line in lines), frozenset(keys))


def _to_rank(query: PickerQuery, hay: Haystack) -> Rank | None:
    """Return how well a query fits; None where a word of it does not fit."""
    if query.objects is not None and query.objects != hay.objects:
        return None
    counted, rank = False, Rank.WORD_STARTS
    for word, number in query.words:
        if number is not None and number == hay.objects:
            counted = True
        elif f" {word}" in hay.text:
            continue
        elif number is None and word in hay.text:
            rank = Rank.WITHIN_WORDS
        else:
            return None
    if hay.entry is query.exact or query.key in hay.keys:
        return Rank.EXACT
    bare_number = len(query.words) == 1 and query.words[0][1] is not None
    if query.words and not bare_number and query.start in hay.text:
        return Rank.NAME_START
    return Rank.OBJECTS if counted and rank is Rank.WORD_STARTS else rank
