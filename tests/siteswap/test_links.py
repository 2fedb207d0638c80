"""Links between patterns against breadth-first search in state graphs drawn up here, by networkx."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import combinations_with_replacement, product

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.links import (
    LinkError,
    all_points,
    find_route,
    require_linkable,
    start_points,
    stretch_to_text,
)
from trainer.siteswap.query import SearchQuery
from trainer.siteswap.search import find_patterns
from trainer.siteswap.throws import DIGITS, HIGHEST_VALUE, Rhythm

Due = tuple[tuple[int, int, int], ...]
"""Where something is due: steps from now, hand (0 in async), how many; sorted."""

Cells = list[list[list[tuple[int, int]]]]
"""For each step and each hand the throws: steps in the air, hand gone to."""

SPELT = re.compile(r"\[[^]]*\]|.x?")


def read(text: str) -> Cells:
    """The throws of a siteswap of one juggler without a star, by nothing but its letters."""
    if not text.startswith("("):
        return [[[(DIGITS.index(value), 0) for value in slot.strip("[]")]] for slot in SPELT.findall(text)]
    pairs = re.findall(r"\(([^,]*),([^)]*)\)", text)
    return [
        [
            [(DIGITS.index(each[0]) // 2, hand ^ (each[1:] == "x")) for each in re.findall(r"\wx?", cell)]
            for hand, cell in enumerate(pair)
        ]
        for pair in pairs
    ]


def play(cells: Cells, start: Due) -> Due:
    """What is due after the throws, each hand throwing exactly what it has; fails where it can't."""
    due = Counter({(at, hand): count for at, hand, count in start})
    for step, hands in enumerate(cells):
        for hand, throws in enumerate(hands):
            made = [throw for throw in throws if throw[0]]
            assert due.pop((step, hand), 0) == len(made), (cells, step)
            due.update((step + height, to) for height, to in made)
    return tuple(sorted((at - len(cells), hand, count) for (at, hand), count in due.items()))


@cache
def dues(text: str) -> list[Due]:
    """What is due before each step of a pattern, seen by watching it from long ago."""
    cells = read(text)
    length = len(cells)
    seen = []
    for step in range(length):
        due: Counter[tuple[int, int]] = Counter()
        for ago in range(1, HIGHEST_VALUE + 1):
            for throws in cells[(step - ago) % length]:
                due.update((height - ago, to) for height, to in throws if height >= ago)
        seen.append(tuple(sorted((at, hand, count) for (at, hand), count in due.items())))
    return seen


def after(due: Due, hands: int, held: int, highest: int, top: int) -> Iterator[Due]:
    """Every state one step on: throws of 1 to `highest` steps, at most `held` objects due in a hand at once."""
    later = Counter({(at - 1, hand): count for at, hand, count in due if at})
    thrown = sum(count for at, _, count in due if at == 0)
    spread = [later]
    for _ in range(thrown):
        spread = [
            rest + Counter([site])
            for rest in {tuple(sorted(rest.items())): rest for rest in spread}.values()
            for site in product(range(min(highest, top)), range(hands))
            if rest[site] < held
        ]
    for rest in spread:
        yield tuple(sorted((at, hand, count) for (at, hand), count in rest.items()))


@cache
def fewest(objects: int, hands: int, held: int, highest: int, top: int) -> dict[Due, dict[Due, int]]:
    """Steps between all states up to `top` steps high, of throws up to `highest` steps, by networkx."""
    sites = list(product(range(top), range(hands)))
    graph = networkx.DiGraph()
    for counts in product(range(held + 1), repeat=len(sites)):
        if sum(counts) == objects:
            due = tuple((*site, count) for site, count in zip(sites, counts, strict=True) if count)
            graph.add_edges_from((due, one) for one in after(due, hands, held, highest, top))
    return dict(networkx.all_pairs_shortest_path_length(graph))


def check(one: str, other: str, paths: dict[Due, dict[Due, int]], highest: int) -> None:
    """At the ends of rounds and anywhere: as short as any path, and the link's own throws lead where it says."""
    here, there = parse(one), parse(other)
    step = here.beat_step
    for points, some in ((start_points, slice(1)), (all_points, slice(None))):
        way = find_route(here, there, points(here), points(there), highest)
        lengths = [paths[start].get(goal, 99) for start in dues(one)[some] for goal in dues(other)[some]]
        found = way.beats // step if way else 99
        assert found == min(lengths), (one, other, highest)
        if way is not None:
            cells = read(way.text)
            assert len(cells) * step == way.beats
            assert all(height * step <= highest for hands in cells for throws in hands for height, _ in throws)
            assert play(cells, dues(one)[way.leaves_at // step]) == dues(other)[way.joins_at // step]


def texts(objects: int, periods: range, highest: int, rhythm: Rhythm) -> list[str]:
    return [text for period in periods for text in find_patterns(SearchQuery(objects, period, highest, rhythm=rhythm))]


@pytest.mark.parametrize(("objects", "highest"), [(b, h) for b in (2, 3, 4) for h in range(b, 8)])
def test_async_links_are_as_short_as_any_path(objects: int, highest: int) -> None:
    """Pairs of patterns up to 7 high and 4 long, in both directions; links bounded at `highest`."""
    paths = fewest(objects, 1, 1, highest, 7)
    found = texts(objects, range(1, 5), 7, Rhythm.ASYNC)[::4]
    for one, other in product(found, repeat=2):
        check(one, other, paths, highest)


@pytest.mark.parametrize(("objects", "highest"), [(2, 4), (2, 8), (3, 4), (3, 6), (3, 8), (4, 4), (4, 6), (4, 8)])
def test_sync_links_are_as_short_as_any_path(objects: int, highest: int) -> None:
    """Pairs of patterns up to 8 high and 4 long, in both directions; links bounded at `highest`."""
    paths = fewest(objects, 2, 1, highest // 2, 4)
    found = texts(objects, range(2, 5, 2), 8, Rhythm.SYNC)
    for one, other in product(found[:: len(found) // 14], repeat=2):
        check(one, other, paths, highest)


@cache
def multiplex(objects: int, cells: tuple[str, ...], shape: str) -> list[str]:
    """The patterns that fill a shape with cells, some of two throws: their values average the number of objects."""
    beats = 2 * shape.count("(") or shape.count("{}")
    made = (shape.format(*chosen) for chosen in product(cells, repeat=shape.count("{}")))
    average = (text for text in made if sum(int(char) for char in text if char.isdigit()) == objects * beats)
    return [text for text in average if "[" in text and is_pattern_of(text, objects)]


def is_pattern_of(text: str, objects: int) -> bool:
    try:
        return parse(text).objects == objects
    except NotationError:
        return False


def doubled(values: list[str]) -> list[str]:
    return [f"[{one}{other}]" for one, other in combinations_with_replacement(values, 2)]


@pytest.mark.parametrize(("objects", "highest"), [(3, h) for h in range(1, 6)] + [(4, h) for h in range(2, 6)])
def test_multiplex_links_are_as_short_as_any_path(objects: int, highest: int) -> None:
    """Under a low bound there is only a link to some where objects may gather in a hand, two at most."""
    paths = fewest(objects, 1, 2, highest, 5)
    found = multiplex(objects, (*"012345", *doubled([*"12345"])), "{}{}{}")[::30]
    plain = texts(objects, range(1, 3), 5, Rhythm.ASYNC)
    for one, other in (*product(found, repeat=2), *product(found, plain), *product(plain, found)):
        check(one, other, paths, highest)


@pytest.mark.parametrize("highest", [2, 4, 6])
def test_sync_multiplex_links_are_as_short_as_any_path(highest: int) -> None:
    paths = fewest(3, 2, 2, highest // 2, 3)
    cells = ("0", "2", "2x", "4", "4x", "6", "6x", *doubled(["2", "4", "2x", "4x"]))
    found = [*multiplex(3, cells, "({},{})"), "(4x,2x)", "(4,2)", *multiplex(3, cells[:-4], "({},{})(0,{})")[::6]]
    for one, other in product(found[::4], found):
        if "[" in one + other:
            check(one, other, paths, highest)


def linked(one: str, other: str, highest: int = HIGHEST_VALUE) -> str | None:
    here, there = parse(one), parse(other)
    way = find_route(here, there, start_points(here), start_points(there), highest)
    return way.text if way else None


def test_links_as_text() -> None:
    """Into the 3-object shower by a 4 and back by a 2, and no throws between ground patterns (common practice)."""
    assert linked("3", "531") == linked("531", "3") == ""
    assert linked("3", "51") == "4"
    assert linked("51", "3") == "2"
    assert linked("3", "51", highest=3) is None


def test_a_bound_on_the_link_lets_the_patterns_themselves_throw_higher() -> None:
    assert linked("51", "3", highest=2) == "2"
    assert linked("51", "3", highest=1) is None


@given(st.data())
@settings(max_examples=50, database=None)
def test_all_of_it_in_a_row_is_one_pattern(patterns: st.SearchStrategy[str], data: st.DataObject) -> None:
    """From where the one is joined to where it is left, a link, the other likewise, and the link back."""
    one = parse(data.draw(patterns.filter(lambda text: "<" not in text)))
    same = [text for text in ROUND_TABLE if parse(text).rhythm is one.rhythm and parse(text).objects == one.objects]
    if not same:
        return
    other = parse(data.draw(st.sampled_from(same)))
    points = data.draw(st.sampled_from([start_points, all_points]))
    there = find_route(one, other, points(one), points(other))
    back = find_route(other, one, points(other), points(one))
    assert there is not None
    assert back is not None
    first = stretch_to_text(one, back.joins_at, there.leaves_at + 2 * one.period)
    second = stretch_to_text(other, there.joins_at, back.leaves_at + 2 * other.period)
    together = parse(first + there.text + second + back.text)
    assert together.objects == one.objects
    assert together.rhythm is one.rhythm


ROUND_TABLE = ["0", "1", "20", "3", "51", "441", "[33]00", "4", "53", "[43]1", "5", "97531", "66661", "6", "77722"]
ROUND_TABLE += ["(2,0)", "(2,2)", "(4,2x)*", "(4,4)", "(8,0)", "(6x,4)*", "([44],2)", "(6,6)", "(8x,4x)", "(8,6)"]


def test_a_sync_pattern_with_a_star_is_written_out() -> None:
    assert stretch_to_text(parse("(6x,4)*"), 0, 4) == "(6x,4)(4,6x)"
    assert stretch_to_text(parse("(6x,4)*"), 2, 4) == "(4,6x)"
    assert stretch_to_text(parse("[43]23 mess"), 1, 5) == "23[43]2"


@pytest.mark.parametrize(
    ("one", "other", "says"),
    [
        ("3", "4", "3 takes 3 and 4 takes 4 objects"),
        ("(4,4)", "4", "both hands throw together"),
        ("<3p3|3p3>", "6", "is for 2 jugglers"),
        ("6", "<3p3|3p3>", "is for 2 jugglers"),
    ],
)
def test_patterns_no_throws_lead_between(one: str, other: str, says: str) -> None:
    with pytest.raises(LinkError, match=re.escape(says)):
        require_linkable(parse(one), parse(other))
