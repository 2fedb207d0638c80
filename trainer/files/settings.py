"""Changes single values in a TOML file on disk: the comments and the order stay, the file is replaced whole."""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Mapping, MutableMapping
from pathlib import Path
from typing import Any, Final

import tomlkit
from tomlkit.exceptions import TOMLKitError

from trainer.errors import TrainerError
from trainer.files.places import make_folder
from trainer.files.toml import DataError, MissingFile, parse, read_text
from trainer.files.whole import Existing, open_whole

FIRST_LINE: Final = "# Settings of throwbeat. What is left out keeps its default.\n"


def write_changes(path: Path, changes: Mapping[str, Any]) -> None:
    """Set each value of `changes` in the file, take out those that are None, merge those that are mappings.

    A file that is not there yet is made, with its folder. DataError if it could not be read or written.
    """
    path = Path(os.path.realpath(path))  # a link to the file stays a link
    before = None
    try:
        before = text = read_text(path)
    except MissingFile:
        text = FIRST_LINE
    parse(text, path)  # refuses with the line of what is wrong
    try:
        document = tomlkit.parse(text)
        wanted = tomllib.loads(text)
        _merge(document, changes)
        _merge(wanted, changes)
        after = tomlkit.dumps(document)
    except TOMLKitError as error:
        raise _not_written(path, f"the file could not be followed ({error})") from None
    if "\r\n" in text:
        after = after.replace("\r\n", "\n").replace("\n", "\r\n")
    if _as_text(tomllib.loads(after)) != _as_text(wanted):
        raise _not_written(path, "the file was laid out in a way that could not be kept. Change it by hand")
    if after == before:
        return
    make_folder(path.parent)
    try:
        with open_whole(path, Existing.REPLACE) as file:
            file.write_text(after)
    except TrainerError as error:
        raise _not_written(path, getattr(error.__cause__, "strerror", None) or str(error)) from None


def _as_text(values: Mapping[str, Any]) -> str:
    return json.dumps(values, sort_keys=True, default=str)  # as text, since nan is not equal to itself


def _merge(values: MutableMapping[str, Any], changes: Mapping[str, Any]) -> None:
    for name, value in changes.items():
        if isinstance(value, Mapping):
            if not isinstance(values.get(name), MutableMapping):
                values.pop(name, None)
                values[name] = {}
            _merge(values[name], value)
        elif value is None:
            values.pop(name, None)
        elif name not in values or not _same(values[name], value):
            values[name] = value


def _same(one: object, other: object) -> bool:
    return isinstance(one, bool) == isinstance(other, bool) and one == other  # for Python, True == 1


def _not_written(path: Path, reason: str) -> DataError:
    return DataError(path, None, "", f"The settings were not written: {reason}.")
