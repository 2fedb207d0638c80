"""From the words of a command line to a pattern, a tempo and a score; and the numbers among them, checked."""

from __future__ import annotations

import argparse

from trainer.commands.terminal import complain
from trainer.config import Settings, from_table
from trainer.errors import TrainerError
from trainer.files.places import places
from trainer.files.toml import MissingFile, read
from trainer.library.catalogue import Choice
from trainer.library.chosen import Chosen, choose
from trainer.library.lookup import look_up
from trainer.library.reading import library_folders
from trainer.timing.flight import text_to_dwell
from trainer.timing.tempo import TempoError, text_to_fraction, text_to_tempo


def settings_of_command() -> Settings:
    """The settings; what is wrong with a field goes to standard error, and the field has its default.

    Raises DataError if the file can't be read at all.
    """
    try:
        settings, notices = from_table(read(places().settings))
    except MissingFile:
        return Settings()
    complain(*notices)
    return settings


def words_to_choice(words: list[str]) -> Choice:
    """The pattern a command line names, by library name, family or siteswap. Raises NotationError."""
    return look_up(" ".join(words), library_folders(places()))


def to_chosen(asked: argparse.Namespace, settings: Settings) -> Chosen:
    """The pattern with the tempo and the dwell ratio asked for, or else the settings' and the usual height's."""
    choice = words_to_choice(asked.pattern)
    dwell = text_to_dwell(asked.dwell) if asked.dwell is not None else None
    return choose(choice, settings, text_to_tempo(asked.tempo) if asked.tempo is not None else None, dwell)


def text_to_whole(text: str, what: str, least: int, most: int) -> int:
    """A whole number as typed, within bounds. Raises TempoError naming what it was for."""
    number = text_to_fraction(text, what)
    if number.denominator != 1 or not least <= number <= most:
        raise TempoError(f"“{text.strip()}” was given as {what}; type a whole number from {least} to {most}.")
    return int(number)


def require_one_of(text: str, option: str, allowed: tuple[str, ...]) -> str:
    """The word, if it is allowed; raises TrainerError otherwise."""
    if text not in allowed:
        raise TrainerError(f"“{text}” was given for {option}; choose one of {', '.join(allowed)}.")
    return text
