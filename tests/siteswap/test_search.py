"""Search and tally against filtering everything, published counts, and each other."""

from __future__ import annotations

from collections import Counter
from itertools import islice, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.siteswap.enumeration import count_patterns, moebius
from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.query import Only, SearchError, SearchQuery
from trainer.siteswap.search import find_patterns, survey
from trainer.siteswap.states import is_ground, is_prime
from trainer.siteswap.throws import Rhythm

DIGITS = "0123456789abcdef"
TABLES = [(Rhythm.ASYNC, 1, 7), (Rhythm.ASYNC, 2, 7), (Rhythm.ASYNC, 3, 7), (Rhythm.ASYNC, 4, 5), (Rhythm.ASYNC, 5, 4)]
TABLES += [(Rhythm.SYNC, 2, 12), (Rhythm.SYNC, 4, 4)]


def filtered(rhythm: Rhythm, period: int, highest: int) -> dict[str, tuple[int, bool, bool]]:
    """Text → objects, ground, prime, of every pattern of an exact period from its highest rotation."""
    steps: list[tuple[tuple[int, int], ...]]
    if rhythm is Rhythm.ASYNC:
        steps = [((value, 0),) for value in range(highest + 1)]
    else:
        cells = [(value, cross) for value in range(0, highest + 1, 2) for cross in (0, 1) if value or not cross]
        steps = list(product(cells, cells))
    length = period // (2 if rhythm is Rhythm.SYNC else 1)
    found = {}
    for laid in product(steps, repeat=length):
        rotations = [laid[cut:] + laid[:cut] for cut in range(length)]
        if laid != max(rotations) or len(set(rotations)) < length:
            continue
        shown = [[DIGITS[value] + "x" * cross for value, cross in step] for step in laid]
        text = "".join(cells[0] if len(cells) == 1 else f"({cells[0]},{cells[1]})" for cells in shown)
        try:
            pattern = parse(text)
        except NotationError:
            continue
        found[text] = (pattern.objects, is_ground(pattern), is_prime(pattern))
    return found


@pytest.fixture(scope="module")
def everything() -> dict[tuple[Rhythm, int, int], dict[str, tuple[int, bool, bool]]]:
    return {table: filtered(*table) for table in TABLES}


@given(
    table=st.sampled_from(TABLES),
    objects=st.integers(0, 5),
    lower=st.integers(0, 4),
    lowest=st.sampled_from([0, 0, 0, 1, 2]),
    only=st.frozensets(st.sampled_from(Only)),
    contains=st.lists(st.integers(0, 6), max_size=2),
)
@settings(max_examples=150, database=None)
def test_found_and_counted_as_if_everything_had_been_filtered(
    everything: dict[tuple[Rhythm, int, int], dict[str, tuple[int, bool, bool]]],
    table: tuple[Rhythm, int, int],
    objects: int,
    lower: int,
    lowest: int,
    only: frozenset[Only],
    contains: list[int],
) -> None:
    rhythm, period, top = table
    highest = max(0, top - lower)

    def wanted(text: str, facts: tuple[int, bool, bool]) -> bool:
        values = [throw.value for throw in parse(text).throws]
        zips = [throw for throw in parse(text).throws if throw.value == (1 if rhythm is Rhythm.ASYNC else 2)]
        return (
            facts[0] == objects
            and all(lowest <= value <= highest for value in values)
            and not Counter(contains) - Counter(values)
            and (Only.GROUND not in only or facts[1])
            and (Only.PRIME not in only or facts[2])
            and not (Only.NO_ZIP in only and any(throw.crosses for throw in zips))
        )

    query = SearchQuery(objects, period, highest, lowest, rhythm, only, tuple(contains))
    expected = [text for text, facts in everything[table].items() if wanted(text, facts)]
    assert list(find_patterns(query)) == expected
    assert count_patterns(query) == len(expected)


def test_two_objects() -> None:
    """Source: OEIS A065178, its counts and its period-3 members."""
    assert [count_patterns(SearchQuery(2, n)) for n in range(1, 11)] == [1, 2, 6, 15, 42, 107, 294, 780, 2128, 5781]
    assert [sum(1 for _ in find_patterns(SearchQuery(2, n))) for n in range(1, 8)] == [1, 2, 6, 15, 42, 107, 294]
    assert list(find_patterns(SearchQuery(2, 3))) == ["312", "330", "411", "420", "501", "600"]


def test_three_objects() -> None:
    """Source: OEIS A065179, example; it writes 450 where the highest rotation is 504."""
    assert list(find_patterns(SearchQuery(3, 2))) == ["42", "51", "60"]
    listed = {"423", "441", "504", "522", "531", "603", "612", "630", "711", "720", "801", "900"}
    assert set(find_patterns(SearchQuery(3, 3))) == listed


@pytest.mark.parametrize(("period", "count"), enumerate([1, 2, 5, 10, 23, 48, 105, 216, 467, 958], start=1))
def test_two_objects_prime(period: int, count: int) -> None:
    """Source: OEIS A260744."""
    assert count_patterns(SearchQuery(2, period, only=frozenset({Only.PRIME}))) == count


@pytest.mark.parametrize("objects", range(1, 6))
@pytest.mark.parametrize("period", range(1, 7))
def test_the_formula_and_the_matching_agree(objects: int, period: int) -> None:
    """(b+1)ⁿ - bⁿ, Buhler, Eisenbud, Graham & Wright 1994, against adding up over places.

    A bound one above the highest possible throw bounds nothing, yet a lowest throw of 0 with it is added up.
    """
    everywhere = count_patterns(SearchQuery(objects, period))
    without_zip = count_patterns(SearchQuery(objects, period, only=frozenset({Only.NO_ZIP})))
    with_zip = count_patterns(SearchQuery(objects, period, contains=(1,)))
    assert everywhere == without_zip + with_zip


@pytest.mark.parametrize(("objects", "period", "highest"), [(5, 7, 9), (4, 6, 8), (3, 7, 7)])
def test_long_lists_have_the_length_that_is_counted(objects: int, period: int, highest: int) -> None:
    for only in (frozenset[Only](), frozenset({Only.GROUND}), frozenset({Only.NO_ZIP, Only.GROUND})):
        query = SearchQuery(objects, period, highest, only=only)
        found = list(find_patterns(query))
        assert len(set(found)) == len(found) == count_patterns(query)
        assert found == sorted(found)
        assert {parse(text).objects for text in islice(found, 200)} == {objects}


def test_large_numbers_are_counted_at_once() -> None:
    """All of period n, rotations apart, are the closed walks: Σ over divisors d of n of d times the exact ones."""
    exact = {d: count_patterns(SearchQuery(3, d, highest=5)) for d in (1, 2, 4, 5, 10, 20)}
    whole = sum(d * count for d, count in exact.items())
    assert whole == trace_of_power(3, 5, 20)


def trace_of_power(objects: int, highest: int, steps: int) -> int:
    states = [state for state in range(1 << highest) if state.bit_count() == objects]
    lines = {
        state: [state >> 1 | 1 << fall for fall in range(highest) if not state >> 1 & 1 << fall]
        if state & 1
        else [state >> 1]
        for state in states
    }
    total = 0
    for start in states:
        ways = Counter({start: 1})
        for _ in range(steps):
            following: Counter[int] = Counter()
            for state, count in ways.items():
                for after in lines[state]:
                    following[after] += count
            ways = following
        total += ways[start]
    return total


def test_it_streams() -> None:
    """The first few of far too many; and a search that finds nothing gives signs of life, so it can be stopped."""
    assert next(find_patterns(SearchQuery(5, 100, 9))).startswith("6455555")
    assert list(islice(find_patterns(SearchQuery(3, 3)), 2)) == ["423", "441"]
    assert list(islice(survey(SearchQuery(3, 20, 6, only=frozenset({Only.PRIME}))), 3)) == [None] * 3


def test_sync_lists_both_of_a_mirrored_pair() -> None:
    found = list(find_patterns(SearchQuery(3, 2, highest=4, rhythm=Rhythm.SYNC)))
    assert found == ["(2,4)", "(2x,4x)", "(4,2)", "(4x,2x)"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"objects": -1},
        {"objects": 36},
        {"period": 0},
        {"period": 101},
        {"period": 3, "rhythm": Rhythm.SYNC},
        {"rhythm": Rhythm.PASSING},
        {"highest": 36},
        {"lowest": -1},
        {"contains": (36,)},
    ],
)
def test_sizes_there_are_no_patterns_of(wrong: dict[str, object]) -> None:
    with pytest.raises(SearchError):
        SearchQuery(**{"objects": 3, "period": 4, **wrong})  # type: ignore[arg-type]


def test_counting_for_minutes_is_refused() -> None:
    with pytest.raises(SearchError, match="choose a lower highest throw"):
        count_patterns(SearchQuery(7, 100))


def test_moebius() -> None:
    """Source: OEIS A008683."""
    assert [moebius(n) for n in range(1, 13)] == [1, -1, -1, 0, -1, 1, -1, 0, 0, 1, -1, 0]
