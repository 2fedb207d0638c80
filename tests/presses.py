"""Scripts of presses: what a foot did, as the terminal sent it, and the logbook's rows it must give.

A script is a file of tests/data/presses. In it, `presses` has a line for each row of times: seconds since the first
press of the try, then which pedal, then what it did (down, if nothing is said).
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

from trainer.practice.pedal import Edge

FOLDER = Path(__file__).parent / "data" / "presses"
FILES = sorted(FOLDER.glob("*.toml"))
REST_S = 0.2


@dataclass(frozen=True, slots=True)
class Sent:
    """One press, repeat or release. key: as the settings name it. is_end: of the end pedal."""

    at_s: float
    key: str
    edge: Edge
    is_end: bool


@dataclass(frozen=True, slots=True)
class Try:
    """One try: what is sent, what is typed afterwards, and how the logbook must have it."""

    sent: tuple[Sent, ...]
    typed: str
    ended: str
    catches: int


@dataclass(frozen=True, slots=True)
class Script:
    """Settings as in settings.toml, whether the terminal tells releases, and the tries."""

    pattern: str
    tempo_bpm: int
    settings: dict[str, str | int | float]
    tells_releases: bool
    tries: tuple[Try, ...]

    @property
    def rows(self) -> list[tuple[str, str, int, str]]:
        """What the logbook must hold: pattern, how it ended, catches, how they were counted."""
        counted_by = str(self.settings["counted_by"])
        return [(self.pattern, each.ended, each.catches, counted_by) for each in self.tries]


def read_script(path: Path) -> Script:
    """The script of a file."""
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    keys = {"pedal": table.get("pedal", "space"), "end": table.get("end_pedal", "")}
    settings = {
        "count_in_beats": table["count_in"],
        "counted_by": table["counted_by"],
        "rest_s": 0.2,
        "pedal": keys["pedal"],
    }
    settings |= {name: table[name] for name in ("taps_count", "end_pedal") if name in table}
    tries = tuple(
        Try(_sent(each["presses"], keys), each.get("typed", ""), each["ended"], each["catches"])
        for each in table["try"]
    )
    return Script(table["pattern"], table["tempo"], settings, "terminal" in table, tries)


def _sent(text: str, keys: dict[str, str]) -> tuple[Sent, ...]:
    found = []
    for line in text.strip().splitlines():
        words = line.split()
        times = [word for word in words if word[0].isdigit()]
        pedal, *edge = words[len(times) :]
        found += [
            Sent(float(each), keys[pedal], Edge(edge[0]) if edge else Edge.DOWN, pedal == "end") for each in times
        ]
    return tuple(sorted(found, key=lambda sent: sent.at_s))
