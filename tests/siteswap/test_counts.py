"""How many patterns there are: every text of digits read, counted, and held against published counts."""

from collections.abc import Iterator

import networkx
import pytest

from trainer.siteswap.grammar import NotationError, parse
from trainer.siteswap.query import SearchQuery
from trainer.siteswap.search import find_patterns
from trainer.siteswap.states import is_ground_state, is_prime, state_before
from trainer.siteswap.throws import value_to_digit


def compositions(total: int, parts: int, most: int) -> Iterator[tuple[int, ...]]:
    """Every way to write a total as so many values from 0 to most, in order."""
    if parts == 1:
        yield from [(total,)] if total <= most else []
        return
    for first in range(min(total, most) + 1):
        for rest in compositions(total - first, parts - 1, most):
            yield (first, *rest)


def valid_texts(objects: int, period: int, most: int = 35) -> list[str]:
    """All texts of plain digits with that average which are read as patterns: by trial, nothing else."""
    found = []
    for values in compositions(objects * period, period, most):
        text = "".join(map(value_to_digit, values))
        try:
            parse(text)
        except NotationError:
            continue
        found.append(text)
    return found


def highest_rotation(text: str) -> str:
    return max(text[cut:] + text[:cut] for cut in range(len(text)))


def exact_classes(texts: list[str]) -> set[str]:
    """Rotations as one, repetitions of something shorter left out."""
    whole = [text for text in texts if len({text[cut:] + text[:cut] for cut in range(len(text))}) == len(text)]
    return {highest_rotation(text) for text in whole}


@pytest.mark.parametrize(
    ("objects", "period"),
    [(b, n) for b in range(5) for n in range(1, 4)] + [(1, 4), (2, 4), (3, 4), (1, 5), (2, 5), (1, 6)],
)
def test_patterns_of_one_period_with_rotations_apart(objects: int, period: int) -> None:
    """(b+1)ⁿ - bⁿ. Source: Buhler, Eisenbud, Graham & Wright, Amer. Math. Monthly 101 (1994) 507-519."""
    assert len(valid_texts(objects, period)) == (objects + 1) ** period - objects**period


@pytest.mark.parametrize(("period", "count"), enumerate([1, 2, 6, 15, 42], start=1))
def test_two_objects_with_rotations_as_one(period: int, count: int) -> None:
    """Source: OEIS A065178."""
    assert len(exact_classes(valid_texts(2, period))) == count


def test_members_of_two_objects_and_three_beats() -> None:
    """Source: OEIS A065178, example."""
    assert exact_classes(valid_texts(2, 3)) == {"312", "330", "411", "420", "501", "600"}


def test_members_of_three_objects() -> None:
    """Source: OEIS A065179, example; it writes 450 where the highest rotation is 504."""
    assert exact_classes(valid_texts(3, 2)) == {"42", "51", "60"}
    listed = ["423", "441", "450", "522", "531", "603", "612", "630", "711", "720", "801", "900"]
    assert exact_classes(valid_texts(3, 3)) == {highest_rotation(text) for text in listed}


@pytest.mark.parametrize(("length", "count"), enumerate([1, 2, 6, 24, 96], start=1))
def test_sequences_from_the_ground_state_to_itself(length: int, count: int) -> None:
    """Three objects. Source: OEIS A084509; Polster, The Mathematics of Juggling, Springer 2003, p. 48."""
    texts = valid_texts(3, length, most=length + 2)
    assert sum(is_ground_state(state_before(parse(text), 0)) for text in texts) == count


@pytest.mark.parametrize(("period", "count"), enumerate([1, 2, 5, 10, 23, 48, 105, 216, 467, 958], start=1))
def test_prime_patterns_of_two_objects(period: int, count: int) -> None:
    """Source: OEIS A260744."""
    assert sum(is_prime(parse(text)) for text in find_patterns(SearchQuery(2, period))) == count


def test_first_prime_patterns_of_two_objects() -> None:
    """Source: OEIS A260744, example."""
    primes = [{t for t in exact_classes(valid_texts(2, n)) if is_prime(parse(t))} for n in (1, 2, 3)]
    assert primes == [{"2"}, {"31", "40"}, {"330", "411", "420", "501", "600"}]


@pytest.mark.parametrize("objects", [2, 3])
@pytest.mark.parametrize("period", [1, 2, 3, 4])
def test_prime_patterns_are_the_simple_cycles_of_a_state_graph(objects: int, period: int) -> None:
    """Source: Chung & Graham, Amer. Math. Monthly 115 (2008) 185-194; networkx on a graph drawn up here."""
    top = objects * period
    graph = networkx.DiGraph()
    for state in range(1 << top):
        if state.bit_count() == objects:
            later = state >> 1
            landings = [1 << fall for fall in range(top) if not later >> fall & 1] if state & 1 else [0]
            graph.add_edges_from((state, later | landing) for landing in landings)
    cycles = [cycle for cycle in networkx.simple_cycles(graph, length_bound=period) if len(cycle) == period]
    texts = exact_classes(valid_texts(objects, period))
    assert sum(is_prime(parse(text)) for text in texts) == len(cycles)
