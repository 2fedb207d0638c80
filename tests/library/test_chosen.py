"""How an entry is carried: its arms and where its jugglers stand."""

from __future__ import annotations

import pytest

from tests.bundled import LIBRARY
from trainer.library.chosen import choice_to_manner, choice_to_places
from trainer.timing.hands import Manner


@pytest.mark.parametrize(
    ("text", "manner"),
    [
        ("3 cascade", Manner.PLAIN),
        ("3 reverse", Manner.REVERSE),
        ("Mills Mess", Manner.MESS),
        ("531 mess", Manner.MESS),
        ("4 columns in turn", Manner.COLUMNS),
        ("7 columns", Manner.COLUMNS),
        ("4 fountain", Manner.PLAIN),
        ("3 lift bounce", Manner.REVERSE),
        ("3 force bounce", Manner.PLAIN),
        ("744", Manner.PLAIN),
    ],
)
def test_the_arms_of_an_entry(text: str, manner: Manner) -> None:
    assert choice_to_manner(LIBRARY.to_choice(text)) is manner


def test_a_place_for_every_juggler_of_every_entry() -> None:
    for entry in LIBRARY.entries:
        choice = LIBRARY.to_choice(entry.title)
        assert len(choice_to_places(choice)) == choice.pattern.jugglers


def test_side_by_side_is_seen_from_behind() -> None:
    places = choice_to_places(LIBRARY.to_choice("<3p 3|3p 3>"))
    entry = next(
        entry for entry in LIBRARY.entries if entry.arrangement == "side by side" and entry.pattern.jugglers > 1
    )
    beside = choice_to_places(LIBRARY.to_choice(entry.title))
    assert [place.width for place in beside] == [1.0, 1.0]
    assert places != beside
