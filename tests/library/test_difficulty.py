"""Difficulty: a sum of parts that are shown, and never less for more objects of one family."""

from itertools import pairwise

import pytest

from tests.bundled import LIBRARY
from trainer.library.catalogue import Choice, difficulty_of
from trainer.library.difficulty import PARTS, to_difficulty
from trainer.siteswap.families import FAMILIES, Family, parse_family
from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.pattern import Pattern


def members(family: Family) -> list[Pattern]:
    """All patterns of a family that there are."""
    found = []
    for objects in range(1, 36):
        try:
            found.append(parse_family(f"{objects} {family.names[0]}"))
        except NotationError:
            continue
    return [pattern for pattern in found if pattern is not None]


@pytest.mark.parametrize("family", FAMILIES, ids=lambda family: family.names[0])
def test_more_objects_of_a_family_are_harder(family: Family) -> None:
    points = [to_difficulty(pattern).points for pattern in members(family)]
    assert len(points) > 5
    assert all(fewer < more for fewer, more in pairwise(points))


@pytest.mark.parametrize("text", ["3", "531", "(4,2x)*", "[43]23", "<3p 3|3p 3>", "51", "0", "2", "b97531", "(8x,2x)"])
def test_the_points_are_the_sum_of_the_parts_shown(text: str) -> None:
    difficulty = to_difficulty(parse(text))
    assert difficulty.points == pytest.approx(sum(part.points for part in difficulty.parts))
    assert {part.name for part in difficulty.parts} <= set(PARTS)
    assert all(part.points for part in difficulty.parts)


@pytest.mark.parametrize(
    ("part", "without", "with_it"),
    [
        ("zips", "3", "531"),
        ("spread", "4", "633"),
        ("sync", "4", "(4,4)"),
        ("multiplex", "4", "[43]23"),
        ("hold", "441", "423"),
        ("uneven hands", "3", "60"),
        ("passes", "3", "<3p 3|3p 3>"),
        ("arms", "3", "3 mess"),
    ],
)
def test_a_part_counts_where_it_is(part: str, without: str, with_it: str) -> None:
    assert part not in {shown.name for shown in to_difficulty(parse(without)).parts}
    assert part in {shown.name for shown in to_difficulty(parse(with_it)).parts}


def test_a_rest_makes_easier_and_the_body_harder() -> None:
    assert next(part for part in to_difficulty(parse("522")).parts if part.name == "hold").points < 0
    points = [to_difficulty(parse("3"), body_share=share).points for share in (0.0, 0.25, 0.5)]
    assert points[0] < points[1] < points[2]


def test_an_entry_counts_its_body_throws_by_the_round() -> None:
    titles = ("3 cascade", "One back cross", "Back cross every right", "Back crosses")
    entries = [LIBRARY.find(title) for title in titles]
    points = [difficulty_of(Choice(entry.pattern, entry)).points for entry in entries if entry is not None]
    assert len(points) == 4
    assert points == sorted(points)
    assert len(set(points)) == 4
