"""Look-up: finds one pattern without reading the whole library, for commands that must answer at once."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

from trainer.library.catalogue import Choice, Library
from trainer.library.reading import Sieve, collect, read_library, whole
from trainer.library.spelling import name_variants, to_key
from trainer.siteswap.families import parse_any
from trainer.siteswap.grammar import NotationError

ENTRY: Final = re.compile(r"^[ \t]*\[\[[ \t]*pattern[ \t]*\]\]", re.MULTILINE)
LONG_TEXTS: Final = ('"""', "'''")
"""Quotes of texts over several lines, which may hold anything: a file with one is read whole."""
LITERAL: Final = re.compile(r"[=\[,]\s*'")
"""The start of a text in single quotes, which folding takes for apostrophes."""
LINKS: Final = re.compile(r"^[ \t]*builds_on\s*=\s*\[[^\]]*\]", re.MULTILINE)
"""The links of an entry, which hold names of other entries."""
PAIR: Final = re.compile(r"\(([^,()]*),([^,()]*)\)")


def look_up(text: str, folders: Sequence[Path]) -> Choice:
    """Return what read_library(folders).to_choice(text) returns, but read only entries of the last folder that may fit.

    The links of the entry are unchecked. Raises NotationError as to_choice does.
    """
    sieve = _to_sieve(_quoted_keys(text))
    drafts, _ = collect([*((folder, whole) for folder in folders[:-1]), *((folder, sieve) for folder in folders[-1:])])
    try:
        return Library(tuple(draft.entry for draft in drafts)).to_choice(text)
    except NotationError:
        return read_library(folders).to_choice(text)  # a suggestion needs all names


def _quoted_keys(text: str) -> tuple[str, ...]:
    """Return the quoted keys of which a folded file must hold one if an entry of it is to be found by this text."""
    _, keys = name_variants(text)
    found = {to_key(text), *keys}
    with suppress(NotationError):  # then it can only be a name
        found |= _spellings(parse_any(text).text)
    return tuple(f'"{key}"' for key in found)


def _spellings(pattern: str) -> set[str]:
    """Return the keys of all ways to write a pattern: with or without its style and, in sync, its star."""
    body = re.sub(r" (mess|reverse)$", "", pattern)
    bodies = {body}
    half = body[: len(body) // 2]
    if body.endswith("*"):
        bodies.add(body[:-1] + _swapped(body[:-1]))
    elif half.startswith("(") and half + _swapped(half) == body:
        bodies.add(f"{half}*")
    return {to_key(f"{spelling}{pattern[len(body) :]}") for spelling in bodies} | set(map(to_key, bodies))


def _swapped(pairs: str) -> str:
    return PAIR.sub(r"(\2,\1)", pairs)


def _to_sieve(words: tuple[str, ...]) -> Sieve:
    """Return the sieve that keeps the entries that have one of the words, or may have it."""

    def may_have_word(text: str) -> bool:
        if "\\" in text or LITERAL.search(text):
            return True
        folded = to_key(LINKS.sub("", text))
        return any(word in folded for word in words)

    def sieve(text: str) -> str | None:
        if any(quotes in text for quotes in LONG_TEXTS):
            return text
        if not may_have_word(text):
            return None
        starts = [found.start() for found in ENTRY.finditer(text)]
        pieces = [text[start:stop] for start, stop in zip(starts, [*starts[1:], len(text)], strict=True)]
        wanted = [may_have_word(piece) for piece in pieces]
        if not any(wanted):
            return None
        kept = (piece if keep else "\n" * piece.count("\n") for piece, keep in zip(pieces, wanted, strict=True))
        return text[: starts[0]] + "".join(kept)

    return sieve
