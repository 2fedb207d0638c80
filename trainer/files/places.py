"""Every path of the trainer in one place: what it keeps for the user, and what it brings along.

What it keeps lies in the one folder THROWBEAT_HOME names, or else in the usual places of the system. What it
brings along (`sounds/`, `patterns/`) lies in the checkout, or else in `data/` of the installed package.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from trainer.errors import TrainerError
from trainer.files.toml import DataError

APP: Final = "throwbeat"
HOME_VARIABLE: Final = "THROWBEAT_HOME"
PACKAGE: Final = Path(__file__).resolve().parents[1]

Bundle = Literal["sounds", "patterns"]


@dataclass(frozen=True, slots=True)
class Places:
    """The absolute paths of what the trainer keeps; none need exist yet."""

    settings: Path  # a TOML file
    logbook: Path  # an SQLite file
    patterns: Path  # a folder of the user's own patterns
    sounds: Path  # a folder of the user's own kits
    noise: Path  # a text file: what sound libraries wrote to standard error


def places(environ: Mapping[str, str] = os.environ) -> Places:
    """Where the trainer keeps things; without THROWBEAT_HOME, platformdirs reads the real environment."""
    home = environ.get(HOME_VARIABLE, "")
    if home:
        folder = Path(home).absolute()
        return _in_folders(folder, folder, folder)
    import platformdirs  # only here: it costs a fast command more than the rest of this module

    usual = platformdirs.PlatformDirs(APP, appauthor=False)
    with suppress(RuntimeError):  # newer versions of the library raise; older ones hand out a folder named "~"
        folders = (usual.user_config_path, usual.user_data_path, usual.user_log_path)
        if all(folder.is_absolute() for folder in folders):
            return _in_folders(*folders)
    raise TrainerError(f"No home folder was found. Set {HOME_VARIABLE} to a folder for what the trainer keeps.")


def _in_folders(settings: Path, data: Path, log: Path) -> Places:
    return Places(
        settings=settings / "settings.toml",
        logbook=data / "logbook.sqlite",
        patterns=data / "patterns",
        sounds=data / "sounds",
        noise=log / "noise.log",
    )


def bundled(name: Bundle, package: Path = PACKAGE) -> Path:
    """The folder `name` the trainer brings along: in the checkout around `package` first, else inside it."""
    checkout = package.parent
    if (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    installed = package / "data" / name
    if not installed.is_dir():
        raise TrainerError(f"The folder {name} was missing from the installation. Install {APP} again.")
    return installed


def make_folder(folder: Path) -> None:
    """Make `folder` and those above it if they are not there; DataError if that fails."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise DataError(folder, None, "", f"The folder could not be made: {reason}.") from None
