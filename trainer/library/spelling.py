"""Names as people type them: folded so that case, width, spaces and hyphens do not matter."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

SPELT_OUT: Final = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
}
PROPS: Final = frozenset(
    f"{word}{end}" for word in ("ball", "club", "ring", "bag", "beanbag", "object", "prop") for end in ("", "s")
)

FILLERS: Final = PROPS | {"of"}

APOSTROPHES = re.compile(r"['’‘`´.]")
GAPS = re.compile(r"[\s\-‐‑–—_]+")


def to_words(text: str) -> tuple[str, ...]:
    """The words of a text, in small letters, without apostrophes and hyphens."""
    folded = text if text.isascii() else unicodedata.normalize("NFKC", text)
    return tuple(word for word in GAPS.split(APOSTROPHES.sub("", folded).casefold()) if word)


def to_key(text: str) -> str:
    """What two spellings of one name have in common: its words run together."""
    return "".join(to_words(text))


def to_number(word: str) -> int | None:
    """The number of objects that a word says, from 1 to 99; None if it says none."""
    if word.isascii() and word.isdigit() and len(word) <= 2:
        return int(word) or None
    return SPELT_OUT.get(word)


def split_number(words: tuple[str, ...]) -> tuple[int, tuple[str, ...]] | None:
    """The number of objects a name begins or ends with, and the rest: “3 ball box”, “box of three”, “box 3”."""
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


def name_variants(text: str) -> tuple[int, tuple[str, ...]]:
    """The number of objects a typed name says, and the keys it may stand under besides its own; (0, ()) if none."""
    parted = split_number(to_words(text))
    if parted is None:
        return 0, ()
    number, rest = parted
    core = "".join(rest)
    return number, (f"{number}{core}", f"{core}{number}", core)
