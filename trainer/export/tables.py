"""Writes a passage as a table of its events: CSV (RFC 4180) or JSON, one event a row."""

from __future__ import annotations

import csv
import json
from fractions import Fraction
from math import floor
from pathlib import Path
from types import SimpleNamespace
from typing import Any, Final

from trainer.audio.performance import PlacedEvent
from trainer.export.passage import Moment, Passage, Tell, untold
from trainer.files.whole import Existing, open_whole
from trainer.timing.score import EventKind

PLACES: Final = 9
"""Decimals of a second: nanoseconds, far below a frame."""

COLUMNS: Final = (
    "at_s", "at_frame", "beat", "kind", "voice", "juggler", "hand", "value", "object", "catch", "goal",
)  # fmt: skip
"""The columns, in order. In JSON what is empty is null, and whole beats are numbers.

at_s: seconds from the start of the file, rounded to a nanosecond. at_frame: the frame it falls on, exact seconds ×
rate, rounded half up. beat: beats from the first throw, exact: whole or p/q; negative in the count-in. kind: count-in,
entry, step, round, throw, hold, gap, floor, catch or goal. voice: the kit's role that sounds; empty if nothing does.
juggler: who, counted from 1. hand: R or L, of a catch the one that catches; empty if no hand acts. value: the throw
value, in beats; 0 if there is none. object: which one, counted from 1; empty if none. catch: of a catch its number,
counted from 1. goal: of a goal which one.
"""


def event_to_json(placed: PlacedEvent) -> dict[str, Any]:
    """One event as JSON: beats from the first throw (negative in the count-in), jugglers from 1."""
    event = placed.event
    return {
        "at_frame": placed.at_frame,
        "beat": int(event.beat) if event.beat.denominator == 1 else str(event.beat),
        "kind": event.kind.value,
        "voice": placed.voice.role if placed.voice else None,
        "juggler": event.juggler + 1,
        "hand": event.hand.value if event.hand else None,
        "value": event.value,
    }


def moment_to_row(moment: Moment) -> dict[str, Any]:
    """One event with a value for each of COLUMNS, in their order; at_s is a text of PLACES decimals."""
    event = moment.placed.event
    return {
        "at_s": second_to_text(moment.second),
        **event_to_json(moment.placed),
        "object": event.thing + 1 if event.thing >= 0 else None,
        "catch": moment.catches if event.kind is EventKind.CATCH else None,
        "goal": event.name or None,
    }


def second_to_text(second: Fraction) -> str:
    """Seconds, not negative, with PLACES decimals, rounded half up."""
    whole, decimals = divmod(floor(second * 10**PLACES + Fraction(1, 2)), 10**PLACES)
    return f"{whole}.{decimals:0{PLACES}d}"


def write_csv(path: Path, passage: Passage, existing: Existing, tell: Tell = untold) -> None:
    """A row of COLUMNS, then a row for each event; errors as in open_whole."""
    with open_whole(path, existing) as file:
        rows = csv.DictWriter(SimpleNamespace(write=file.write_text), COLUMNS)
        rows.writeheader()
        for moment in passage.moments(tell):
            rows.writerow(moment_to_row(moment))


def write_json(path: Path, passage: Passage, existing: Existing, tell: Tell = untold) -> None:
    """A list with an object of COLUMNS for each event, one a line; errors as in open_whole."""
    with open_whole(path, existing) as file:
        before = "[\n"
        for moment in passage.moments(tell):
            row = moment_to_row(moment)
            row["at_s"] = float(row["at_s"])
            file.write_text(before + json.dumps(row, ensure_ascii=False))
            before = ",\n"
        file.write_text("\n]\n" if before == ",\n" else "[]\n")
