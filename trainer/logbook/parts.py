"""What a filter comes to, and where a page of what it lets through ends."""

from __future__ import annotations

from dataclasses import dataclass

Place = tuple[int | float, ...]
"""Where a page ended: the sort keys of its last attempt."""


@dataclass(frozen=True, slots=True)
class Part:
    """Attempts of some figures, None for all of them; of those with certain notes only, or of all: None."""

    figures: tuple[int, ...] | None = None
    notes: frozenset[int] | None = None
