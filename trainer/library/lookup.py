"""Looks one text up without reading the whole library, for commands that must answer at once."""

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
"""Quotes of a text over several lines, in which anything may stand: such a file is read whole."""
LITERAL: Final = re.compile(r"[=\[,]\s*'")
"""A text in single quotes, which folding would take for apostrophes."""
LINKS: Final = re.compile(r"^[ \t]*builds_on\s*=\s*\[[^\]]*\]", re.MULTILINE)
"""What an entry builds on: names, but not its own."""
PAIR: Final = re.compile(r"\(([^,()]*),([^,()]*)\)")


def look_up(text: str, folders: Sequence[Path]) -> Choice:
    """What read_library(folders).to_choice(text) finds, reading of the last folder only what may be meant.

    What the entry builds on is named as its file names it. Raises NotationError as to_choice does.
    """
    sieve = _to_sieve(_quoted_keys(text))
    drafts, _ = collect([*((folder, whole) for folder in folders[:-1]), *((folder, sieve) for folder in folders[-1:])])
    try:
        return Library(tuple(draft.entry for draft in drafts)).to_choice(text)
    except NotationError:
        return read_library(folders).to_choice(text)  # all names are needed to say which one may be meant


def _quoted_keys(text: str) -> tuple[str, ...]:
    """What a file must have in it, folded, for one of its entries to be found by this text."""
    _, keys = name_variants(text)
    found = {to_key(text), *keys}
    with suppress(NotationError):  # a name, or nothing: the library says which
        found |= _spellings(parse_any(text).text)
    return tuple(f'"{key}"' for key in found)


def _spellings(pattern: str) -> set[str]:
    """The keys a file may write a pattern by: its style apart or behind it; in sync with or without the star."""
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
    """Keeps the entries in which one of the words stands, or might."""

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
