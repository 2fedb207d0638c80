"""What goes wrong with a logbook."""

from __future__ import annotations

from trainer.files.toml import DataError


class LogbookError(DataError):
    """Why the logbook could not be read or written; str() is one line that begins with the file."""


class AttemptRefused(LogbookError):
    """Why one attempt could not be read or written; the others can be."""
