"""Opens the trainer for the commands that practise, and clears away after it.

The order matters. What can be refused is refused before the screen opens. Standard error is turned to a file, because
sound libraries write to it past Python and would tear the screen. Sound is opened after the first picture.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.commands.asked import require_one_of, text_to_whole
from trainer.commands.terminal import complain
from trainer.config import Settings, load
from trainer.errors import TrainerError
from trainer.files.places import Places, make_folder
from trainer.records.attempt import CountedBy
from trainer.timing.flight import text_to_dwell
from trainer.timing.tempo import TempoError, text_to_fraction

if TYPE_CHECKING:
    from trainer.library.catalogue import Choice
    from trainer.screens.app import Opening
    from trainer.session.sitting import Sitting

SWITCH_S = 0.0005
"""How long a thread may keep the interpreter from the one that stamps the presses."""

FRAMES_A_SECOND = "120"
MOST_REACTION_S = 2


def settings_and_notices(kept: Places, asked: argparse.Namespace) -> tuple[Settings, list[str]]:
    """The settings with what the command line asks for instead, and what was wrong with their file."""
    settings, errors = load(kept.settings)
    return with_options(settings, asked), [str(error) for error in errors]


def open_trainer(
    kept: Places,
    settings: Settings,
    notices: list[str],
    choice: Choice | None = None,
    tempo_bpm: Fraction | None = None,
    opening: Opening | None = None,
    sign: str = "",
) -> int:
    """Run the full screen to its end; the exit status. What it begins with: as for TrainerApp. sign: as in Sitting."""
    require_terminal()
    os.environ.setdefault("TEXTUAL_FPS", FRAMES_A_SECOND)
    with at_sitting(kept, settings, notices) as sitting:
        sitting.sign = sign
        from trainer.screens.app import TrainerApp

        app = TrainerApp(sitting, choice, tempo_bpm, opening)
        app.run()
    if app.failure is not None:
        kept.noise.write_text(app.failure_details())
        raise TrainerError(
            f"Something went wrong in the trainer itself: {app.failure!r}. The details are in {kept.noise}."
        )
    return app.return_code or 0


def open_plain(kept: Places, settings: Settings, notices: list[str], choice: Choice, tempo_bpm: Fraction | None) -> int:
    """Practise in lines of text until the user leaves; the exit status."""
    with at_sitting(kept, settings, notices) as sitting:
        from trainer.commands.plain import practise

        sitting.begin_sound()
        gc.collect()
        gc.freeze()
        gc.enable()
        practise(sitting, choice, tempo_bpm)
    return 0


@contextmanager
def at_sitting(kept: Places, settings: Settings, notices: list[str]) -> Iterator[Sitting]:
    """Open a sitting, close it at the end, and tell what could not be saved.

    What is made while starting is no garbage, so collecting is turned off; whoever practises turns it on again.
    """
    gc.disable()
    with noise_kept(kept.noise):
        from trainer.session.sitting import open_sitting

        sitting = open_sitting(kept, settings, notices)
        sys.setswitchinterval(SWITCH_S)
        try:
            yield sitting
        finally:
            unsaved = sitting.close()
    complain(*unsaved)


def with_options(settings: Settings, asked: argparse.Namespace) -> Settings:
    """The settings with what the command line asks for instead; nothing of that is written to the file."""
    if asked.dwell is not None:
        settings = replace(settings, dwell=text_to_dwell(asked.dwell))
    if asked.count_in is not None:
        settings = replace(settings, count_in_beats=text_to_whole(asked.count_in, "a count-in", 0, 64))
    if asked.count is not None:
        settings = replace(settings, counted_by=CountedBy(require_one_of(asked.count, "--count", tuple(CountedBy))))
    if asked.reaction is not None:
        reaction_s = text_to_fraction(asked.reaction, "a reaction time")
        if not 0 <= reaction_s <= MOST_REACTION_S:
            raise TempoError(
                f"A reaction time of {asked.reaction} s was given; choose one from 0 to {MOST_REACTION_S}."
            )
        settings = replace(settings, reaction_s=float(reaction_s))
    return settings


def require_terminal() -> None:
    if os.environ.get("TERM") == "dumb" or not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise TrainerError(
            "The full-screen trainer needs a terminal it can draw on. "
            "Open one, or practise in lines of text: “throwbeat 531 --plain”."
        )


@contextmanager
def noise_kept(log: Path) -> Iterator[Path]:
    """Standard error as the system knows it goes to a file; Python's own keeps a copy of the terminal to draw on."""
    make_folder(log.parent)
    sys.stderr.flush()
    terminal = os.dup(2)
    try:
        kept = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o644)
    except OSError as error:
        os.close(terminal)
        raise TrainerError(f"{log} could not be written: {error.strerror}.") from None
    os.dup2(kept, 2)
    os.close(kept)
    drawing = os.fdopen(os.dup(terminal), "w", encoding=sys.stderr.encoding, errors="backslashreplace")
    before = sys.stderr, sys.__stderr__
    sys.stderr = sys.__stderr__ = drawing  # type: ignore[misc]
    try:
        yield log
    finally:
        sys.stderr, sys.__stderr__ = before  # type: ignore[misc]
        drawing.close()
        os.dup2(terminal, 2)
        os.close(terminal)
