"""Spelling: folds names as people type them, so that case, width, spaces and hyphens do not matter."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import Final

NEAR_ENOUGH: Final = 0.7  # likeness, 0 to 1, from which on a name is suggested
SPELT_OUT: Final = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
PROPS: Final = frozenset(
    f"{word}{end}" for word in ("ball", "club", "ring", "bag", "beanbag", "object", "prop") for end in ("", "s")
)

FILLERS: Final = PROPS | {"of"}

APOSTROPHES = re.compile(r"['’‘`´.]")
GAPS = re.compile(r"[\s\-‐‑–—_]+")


def to_words(text: str) -> tuple[str, ...]:
    """Return the words of a text in lower case, without apostrophes and hyphens."""
    folded = text if text.isascii() else unicodedata.normalize("NFKC", text)
    return tuple(word for word in GAPS.split(APOSTROPHES.sub("", folded).casefold()) if word)


def to_key(text: str) -> str:
    """Return the key that all spellings of a name share: its words run together."""
    return "".join(to_words(text))


def to_number(word: str) -> int | None:
    """Return the number of objects that a word says, from 1 to 99; None for any other word."""
    if word.isascii() and word.isdigit() and len(word) <= 2:
        return int(word) or None
    return SPELT_OUT.index(word) + 1 if word in SPELT_OUT else None


def split_number(words: tuple[str, ...]) -> tuple[int, tuple[str, ...]] | None:
    """Part a name such as “3 ball box”, “box of three” or “box 3” into its number of objects and the rest.

    None for a name without such a number.
    """
    if len(words) > 1 and (number := to_number(words[0])):
        rest = words[1:]
        while len(rest) > 1 and rest[0] in FILLERS:
            rest = rest[1:]
        return number, rest
    last = len(words)
    while last > 1 and words[last - 1] in PROPS:
        last -= 1
    if last > 1 and (number := to_number(words[last - 1])):
        end = last - 1
        while end > 1 and words[end - 1] in FILLERS:
            end -= 1
        return number, words[:end]
    return None


def closest(key: str, known: Iterable[str]) -> str:
    """Return the known key that is most like a misspelt one; empty if none is near."""
    from difflib import get_close_matches  # needed after an error only

    return next(iter(get_close_matches(key, list(known), n=1, cutoff=NEAR_ENOUGH)), "")


def name_variants(text: str) -> tuple[int, tuple[str, ...]]:
    """Return the number of objects in a name and the other keys it may have; 0 and no keys for a name without."""
    parted = split_number(to_words(text))
    if parted is None:
        return 0, ()
    number, rest = parted
    core = "".join(rest)
    return number, (f"{number}{core}", f"{core}{number}", core)
