"""What a screen may ask of the app, so that no screen needs to know it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from trainer.library.catalogue import Choice
from trainer.session.sitting import Sitting

if TYPE_CHECKING:
    from trainer.practice.climbs.climb import Climb
    from trainer.records.courses import PlanRun


class Navigator(Protocol):
    """Opens and closes the screens that lead to others, and brings the app in line with changed settings."""

    @property
    def sitting(self) -> Sitting:
        """What all screens share."""

    def practise(self, choice: Choice, tempo_bpm: Fraction | None = None) -> None:
        """Open the practice of a pattern. A practice that is open ends."""

    def climb(self, climb: Climb, goal: str, rung_by: str | None = None) -> None:
        """Open the practice of a climb. The form it was set up in closes."""

    def practise_plan(self, text: str, path: Path, run: PlanRun | None = None) -> None:
        """Open the practice of a plan, from its start or where a run of it was left. Raises TrainerError."""

    def end_practice(self) -> None:
        """Close the practice and show the patterns."""

    def show_pattern(self, title: str) -> None:
        """Show a pattern in the list of patterns. A practice that is open ends."""

    def open_terms(self, word: str) -> None:
        """Open the glossary at a word, or at its beginning."""

    def action_open_terms(self) -> None:
        """Open the glossary at the word that the open screen is about."""

    def apply_keys(self) -> None:
        """Put the commands on the keys that the settings name."""

    def apply_theme(self) -> None:
        """Take on the look that the settings name."""

    @property
    def listens_to_footswitch(self) -> bool:
        """Whether MIDI inputs are open."""

    def listen_to_footswitch(self) -> str:
        """Open the MIDI inputs; returns why not in a sentence, empty if presses will come."""

    def leave_footswitch(self) -> None:
        """Close the MIDI inputs, unless a pedal is one."""
