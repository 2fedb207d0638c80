"""Reading: makes a library of folders of patterns, and an error with file, line and field of each fault."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from trainer.files import places, texts
from trainer.files.toml import DataError, Table, noting, read_text
from trainer.files.toml import parse as parse_file
from trainer.library.catalogue import Library
from trainer.library.entries import ARRANGEMENTS, BOUNCES, CATEGORIES, CUE_KINDS, THROW_CUES, Cue, Entry
from trainer.library.spelling import to_key
from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.pattern import STYLES, Pattern
from trainer.siteswap.throws import Hand, Rhythm

LONGEST_ROUND: Final = 1000
Sieve = Callable[[str], str | None]
"""A function that leaves the wanted part of a file's text, with every line where it was; None for nothing."""

HANDS: Final = {"right": Hand.RIGHT, "left": Hand.LEFT}


@dataclass(slots=True)
class Draft:
    """An entry while it is checked: with its table, which knows file and line, and the keys of its names."""

    entry: Entry
    table: Table
    keys: tuple[str, ...]


def library_folders(kept: places.Places) -> tuple[Path, Path]:
    """Return the user's folder of patterns and the one that comes with the trainer."""
    return kept.patterns, places.bundled("patterns")


def read_library(folders: Iterable[Path]) -> Library:
    """Read all *.toml files in some folders.

    The library has a DataError for each fault; no fault hides a good entry. A title in an earlier folder hides that
    title in later ones. A missing folder has no entries.
    """
    drafts, errors = collect((folder, whole) for folder in folders)
    _check_links(drafts, errors)
    return Library(tuple(draft.entry for draft in drafts), tuple(errors))


def collect(folders: Iterable[tuple[Path, Sieve]]) -> tuple[list[Draft], list[DataError]]:
    """Read the entries of some folders, each through its sieve, without a check of their links."""
    errors: list[DataError] = []
    kept: list[Draft] = []
    taken: dict[str, str] = {}
    for folder, sieve in folders:
        here: dict[str, str] = {}
        for path in _files(folder, errors):
            for draft in _read_file(path, sieve, errors):
                clash = next((place for place, key in enumerate(draft.keys) if key in here), None)
                if clash is not None:
                    name, other = draft.entry.names[clash], here[draft.keys[clash]]
                    message = f"“{name}” was also a name of “{other}”. Rename one of them."
                    errors.append(draft.table.error("names", message))
                    continue
                here.update(dict.fromkeys(draft.keys, draft.entry.title))
                if draft.keys[0] not in taken:
                    kept.append(draft)
        taken.update(here)
    return kept, errors


def whole(text: str) -> str:
    """Return the text as it is: the sieve that keeps everything."""
    return text


def _files(folder: Path, errors: list[DataError]) -> list[Path]:
    try:
        return sorted(folder / name for name in os.listdir(folder) if name.endswith(".toml"))
    except FileNotFoundError:
        return []
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        errors.append(DataError(folder, None, "", f"The folder could not be read: {reason}."))
        return []


def _read_file(path: Path, sieve: Sieve, errors: list[DataError]) -> list[Draft]:
    drafts: list[Draft] = []
    with noting(errors):
        text = sieve(read_text(path))
        if text is None:
            return drafts
        table = parse_file(text, path)
        category = ""
        with noting(errors):
            category = table.choice("category", tuple(CATEGORIES), default="")
        table.has("pattern")
        errors += table.unknown()
        for row in table.tables("pattern"):
            with noting(errors):
                drafts.append(_read_draft(row, category))
    return drafts


def _read_draft(row: Table, category: str) -> Draft:
    names = tuple(name.strip() for name in row.texts("names", texts.PATTERN_NAME))
    keys = tuple(map(to_key, names))
    if not names:
        raise row.error("names", "There was no name. Give at least one.")
    if not all(keys):
        raise row.error("names", "A name had neither letter nor digit. Give it one.")
    if len(set(keys)) < len(keys):
        raise row.error("names", "A name stood there twice: case, spaces and hyphens make no difference.")
    return Draft(_read_entry(row, names, category), row, keys)


def _read_entry(row: Table, names: tuple[str, ...], category: str) -> Entry:
    pattern = _read_pattern(row)
    cues = tuple(_read_cue(cue, pattern) for cue in row.tables("cues", default=()))
    category = row.choice("category", tuple(CATEGORIES), default=category) or _usual_category(pattern)
    arrangement = row.choice("arrangement", ARRANGEMENTS, default="")
    if arrangement and pattern.jugglers == 1 and category != "steals":
        raise row.error("arrangement", "The pattern was for one juggler. Take this field out.")
    entry = Entry(
        names,
        pattern,
        how=row.text("how", texts.HOW),
        builds_on=row.texts("builds_on", default=()),
        height_m=row.number("height_m", low=0.05, high=20.0),
        category=category,
        cues=cues,
        arrangement=arrangement,
        bounce=row.choice("bounce", tuple(BOUNCES), default=""),
        throws_per_step=row.fraction("throws_per_step", above=0, high=12, default=None),
        path=row.path,
    )
    row.refuse_unknown()
    return entry


def _read_pattern(row: Table) -> Pattern:
    style = row.choice("style", tuple(STYLES), default="")
    text = row.text("pattern", texts.PATTERN)
    try:
        pattern = parse(f"{text} {style}" if style else text)
    except NotationError as error:
        hint = f" {error.suggestion} would work." if error.suggestion else ""
        raise row.error("pattern", f"{error.reason}{hint}") from None
    if pattern.objects < 1:
        raise row.error("pattern", "The pattern had no object in it. Give it at least one.")
    declared = row.whole("round", low=1, high=LONGEST_ROUND, default=0)
    if declared and (declared <= pattern.round or declared % pattern.round):
        raise row.error(
            "round",
            f"The throws themselves come round after {pattern.round}. "
            f"Give a larger multiple of that, or take this field out.",
        )
    return replace(pattern, declared_round=declared) if declared else pattern


def _read_cue(table: Table, pattern: Pattern) -> Cue:
    at = table.whole("at", low=1, high=pattern.round)
    kind = table.choice("kind", CUE_KINDS)
    juggler = table.whole("juggler", low=1, high=pattern.jugglers, default=1) - 1
    hand = HANDS.get(table.choice("hand", tuple(HANDS), default=""))
    if pattern.rhythm is Rhythm.ASYNC:
        if hand is not None:
            raise table.error("hand", "The hands take turns here, so the beat says which. Take this field out.")
        hand = (Hand.LEFT if at % 2 == 0 else Hand.RIGHT) if pattern.round % 2 == 0 else None
    thrown = [
        throw
        for throw in pattern.throws
        if throw.beat == (at - 1) % pattern.period and throw.juggler == juggler and not throw.empty
        if pattern.rhythm is Rhythm.ASYNC or hand in (None, throw.hand)
    ]
    if kind in THROW_CUES and not thrown:
        raise table.error("at", f"Nothing was thrown on beat {at} that could go “{kind}”. Give a beat that throws.")
    return Cue(at, kind, juggler, hand, table.text("say", texts.CUE, default=""))


def _usual_category(pattern: Pattern) -> str:
    """Return the category of an entry if neither it nor its file names one."""
    if pattern.jugglers > 1:
        return "passing"
    if pattern.style == "mess":
        return "mess"
    slots = [(throw.beat, throw.hand) for throw in pattern.throws]
    if len(set(slots)) < len(slots):
        return "multiplex"
    return "sync" if pattern.rhythm is Rhythm.SYNC else "siteswap"


def _check_links(drafts: list[Draft], errors: list[DataError]) -> None:
    """Turn the links of entries into titles, and drop links to no entry and links that close a loop."""
    titles = {key: draft.entry.title for draft in reversed(drafts) for key in draft.keys}  # the first of a name counts
    for draft in drafts:
        names = draft.entry.builds_on
        missing = [name for name in names if to_key(name) not in titles]
        errors += [draft.table.error("builds_on", f"No pattern was called “{name}”.") for name in missing]
        links = tuple(titles[to_key(name)] for name in names if name not in missing)
        if links != names:
            draft.entry = replace(draft.entry, builds_on=links)
    _drop_loops({draft.entry.title: draft for draft in drafts}, errors)


def _drop_loops(drafts: dict[str, Draft], errors: list[DataError]) -> None:
    """Follow every chain of links, and drop a link that returns to an entry on the chain."""
    done: set[str] = set()
    for start in drafts:
        chain = [start] if start not in done else []
        while chain:
            draft = drafts[chain[-1]]
            onward = next((title for title in draft.entry.builds_on if title not in done), None)
            if onward is None:
                done.add(chain.pop())
            elif onward in chain:
                itself = onward == draft.entry.title
                message = "The pattern built on itself." if itself else f"“{onward}” in turn built on this pattern."
                errors.append(draft.table.error("builds_on", message))
                left = tuple(title for title in draft.entry.builds_on if title != onward)
                draft.entry = replace(draft.entry, builds_on=left)
            else:
                chain.append(onward)
