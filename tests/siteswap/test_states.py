"""States as a simulation sees them; links as short as any path in a graph drawn up here."""

from __future__ import annotations

from collections import deque
from itertools import combinations, permutations

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.siteswap.grammar import parse
from trainer.siteswap.pattern import Pattern
from trainer.siteswap.query import SearchQuery
from trainer.siteswap.search import find_patterns
from trainer.siteswap.states import (
    Link,
    State,
    channels,
    find_entry,
    find_link,
    ground_beat,
    ground_states,
    is_ground,
    is_prime,
    link_to_text,
    state_before,
    states,
)
from trainer.siteswap.throws import Rhythm

PLAIN = ["0", "1", "2", "3", "5", "9", "z", "51", "531", "441", "423", "42", "97531", "7131", "744", "50505", "ff0"]
SYNC = ["(4,4)", "(4,2x)*", "(6x,4)*", "(4x,2x)", "(8,2x)(4,2x)*", "(2,0)", "(2x,0)(0,2x)", "(6x,4)(4,6x)"]
MULTIPLEX = ["[33]33", "[43]23", "24[54]", "[45]1", "[43]1", "([44],4)", "([44x],4x)", "[22]2", "[22]"]
PASSING = ["<3p3|3p3>", "<4p3|34p>", "<333p|333p>", "<3p|3p>", "<(4xp,4)(4,4xp)|(4,4xp)(4xp,4)>", "<3p2 3|3p3 3|3p1 3>"]


def watched(pattern: Pattern) -> list[State]:
    """The states of one period, from objects followed through many periods before it."""
    order = {channel: index for index, channel in enumerate(channels(pattern))}
    first = -36 // pattern.period - 1
    due: list[tuple[int, int]] = []
    seen = []
    for turn in range(first, 1):
        for beat in range(0, pattern.period, pattern.beat_step):
            now = turn * pattern.period + beat
            if turn == 0:
                seen.append(to_state([(at - now, row) for at, row in due if at >= now], len(order), pattern.beat_step))
            for throw in pattern.throws:
                if throw.beat == beat and throw.value:
                    hand = throw.to_hand.value if pattern.rhythm is Rhythm.SYNC else ""
                    due.append((now + throw.value, order[(throw.to_juggler, hand)]))
    return seen


def to_state(due: list[tuple[int, int]], rows: int, step: int) -> State:
    lists = [[at // step for at, of in due if of == row] for row in range(rows)]
    return tuple(tuple(ats.count(at) for at in range(max(ats, default=-1) + 1)) for ats in lists)


@pytest.mark.parametrize("text", PLAIN + SYNC + MULTIPLEX + PASSING)
def test_states_are_what_comes_down_after_a_long_run(text: str) -> None:
    pattern = parse(text)
    assert list(states(pattern)) == watched(pattern)
    assert [state_before(pattern, beat) for beat in range(0, pattern.period, pattern.beat_step)] == watched(pattern)


def test_ground_and_excited() -> None:
    """Source: Polster, The Mathematics of Juggling, Springer 2003; common practice."""
    assert [is_ground(parse(text)) for text in ("3", "531", "441", "423", "(4,4)", "97531")] == [True] * 6
    assert [is_ground(parse(text)) for text in ("51", "771", "60", "(8x,2x)")] == [False] * 4
    assert ground_beat(parse("315")) == 2
    assert ground_beat(parse("51")) is None


def test_a_pattern_visited_twice_over_is_not_prime() -> None:
    """531 and 423 both leave the ground state and come back, so one after the other passes it twice."""
    assert is_prime(parse("531"))
    assert not is_prime(parse("531423"))
    assert not is_prime(parse("33"))


def async_graph(objects: int, highest: int) -> networkx.DiGraph:
    """States as sets of beats; edges, one throw each, in siteswap without multiplex."""
    graph = networkx.DiGraph()
    for due in combinations(range(highest), objects):
        later = {at - 1 for at in due if at}
        lands = [value - 1 for value in range(1, highest + 1)] if 0 in due else []
        graph.add_node(frozenset((at, 0) for at in due))
        for after in [later | {at} for at in lands if at not in later] if 0 in due else [later]:
            graph.add_edge(frozenset((at, 0) for at in due), frozenset((at, 0) for at in after))
    return graph


def sync_graph(objects: int, highest: int) -> networkx.DiGraph:
    """States as sets of step and hand; edges, a throw of each hand that has something due."""
    graph = networkx.DiGraph()
    sites = [(at, hand) for at in range(highest // 2) for hand in (0, 1)]
    for due in map(frozenset, combinations(sites, objects)):
        later = {(at - 1, hand) for at, hand in due if at}
        free = [site for site in sites if site not in later]
        for lands in permutations(free, objects - len(later)):
            graph.add_edge(due, frozenset(later | set(lands)))
    return graph


def follow(start: State, link: Link) -> State:
    """The state that the throws of a link lead to; fails where a hand throws what it has not."""
    due = [(at, row) for row, counts in enumerate(start) for at, count in enumerate(counts) for _ in range(count)]
    for step in range(link.steps):
        thrown = [throw for throw in link.throws if throw.step == step]
        assert sorted(row for at, row in due if at == step) == sorted(throw.channel for throw in thrown)
        assert all(throw.height >= 1 for throw in thrown)
        due = [site for site in due if site[0] != step]
        due += [(step + throw.height, throw.to_channel) for throw in thrown]
    return to_state([(at - link.steps, row) for at, row in due], len(start), 1)


GRAPHS = [("async", 1, b, h) for b in (2, 3, 4) for h in range(b, 8)]
GRAPHS += [("sync", 2, b, h) for b in (2, 3, 4) for h in (4, 6)] + [("sync", 2, 2, 8)]


@pytest.mark.parametrize(("rhythm", "step", "objects", "highest"), GRAPHS)
def test_links_are_as_short_as_any_path_and_lead_there(rhythm: str, step: int, objects: int, highest: int) -> None:
    """Breadth first by networkx, between all states, throws bounded by `highest`."""
    graph = async_graph(objects, highest) if step == 1 else sync_graph(objects, highest)
    shortest = dict(networkx.all_pairs_shortest_path_length(graph))
    for one in graph:
        for other in graph:
            start, goal = to_state(list(one), step, 1), to_state(list(other), step, 1)
            link = find_link(start, goal, highest, step)
            assert (link and link.steps) == shortest[one].get(other)
            if link:
                assert follow(start, link) == goal
                assert all(throw.height * step <= highest for throw in link.throws)


@pytest.mark.parametrize("objects", [2, 3])
def test_links_without_a_bound_are_as_short_as_in_a_much_higher_graph(objects: int) -> None:
    graph = async_graph(objects, 11)
    low = [state for state in graph if max(at for at, _ in state) < 5]
    for one in low:
        lengths = networkx.single_source_shortest_path_length(graph, one)
        for other in low:
            link = find_link(to_state(list(one), 1, 1), to_state(list(other), 1, 1))
            assert link is not None
            assert link.steps == lengths[other]


def test_no_link_where_the_throws_are_too_low() -> None:
    assert find_link(((1, 1, 1),), ((1, 0, 1, 0, 1),), highest=4) is None
    assert find_link(((1, 1, 1),), ((1, 0, 1, 0, 1),), highest=5) is not None


@pytest.mark.parametrize("text", PLAIN + SYNC + MULTIPLEX + PASSING)
def test_an_entry_leads_from_the_ground_to_the_start(text: str) -> None:
    pattern = parse(text)
    link = find_entry(pattern)
    assert link is not None
    assert link.steps == shortest_by_trial(ground_states(pattern), state_before(pattern, 0))
    starts = [start for start in ground_states(pattern) if fits(start, link)]
    assert state_before(pattern, 0) in [follow(start, link) for start in starts]


def fits(start: State, link: Link) -> bool:
    try:
        follow(start, link)
    except AssertionError:
        return False
    return True


def shortest_by_trial(starts: tuple[State, ...], goal: State) -> int:
    """The fewest steps after which all that is left of a start is wanted at the goal, which has as many objects."""
    for steps in range(50):
        for start in starts:
            kept = [(at - steps, row) for row, counts in enumerate(start) for at in range(steps, len(counts))]
            if all(at < len(goal[row]) and goal[row][at] for at, row in kept):
                return steps
    raise AssertionError("no link")


def test_multiplex_links_lead_there_with_the_fewest_steps_and_no_more_than_a_bounded_search_finds() -> None:
    """Breadth first through every state of three objects, two in one hand allowed, no throw above 5."""

    def following(state: tuple[int, ...]) -> set[tuple[int, ...]]:
        rests = {(*state[1:], 0)}
        for _ in range(state[0]):
            rests = {(*rest[:at], rest[at] + 1, *rest[at + 1 :]) for rest in rests for at in range(5) if rest[at] < 2}
        return rests

    ground: tuple[int, ...] = (1, 1, 1, 0, 0)
    fewest = {ground: 0}
    queue = deque([ground])
    while queue:
        state = queue.popleft()
        for after in following(state) - fewest.keys():
            fewest[after] = fewest[state] + 1
            queue.append(after)
    bounded = 0
    for padded, steps in fewest.items():
        start, goal = (ground[:3],), to_state([(at, 0) for at in range(5) for _ in range(padded[at])], 1, 1)
        link = find_link(start, goal)
        assert link is not None
        assert follow(start, link) == goal
        assert link.steps == shortest_by_trial((start,), goal) <= steps
        low = find_link(start, goal, highest=5)
        assert low is None or (follow(start, low) == goal and low.steps >= steps)
        bounded += low is not None
    assert bounded > len(fewest) / 2


def test_links_as_text() -> None:
    """The usual entry to the 3-object shower, and to holding nothing every other beat (common practice)."""
    assert link_to_text(find_entry(parse("51")) or Link(0, ()), Rhythm.ASYNC) == "4"
    assert link_to_text(find_entry(parse("531")) or Link(1, ()), Rhythm.ASYNC) == ""
    assert link_to_text(find_entry(parse("60")) or Link(0, ()), Rhythm.ASYNC) == "45"


@given(st.data())
@settings(max_examples=60, database=None)
def test_a_link_text_between_two_patterns_reads_as_their_bridge(data: st.DataObject) -> None:
    """A round of one, the link, a round of the other and the link back are one pattern together."""
    objects = data.draw(st.integers(2, 4))
    found = list(find_patterns(SearchQuery(objects, data.draw(st.integers(1, 4)), highest=9)))
    one, other = (parse(data.draw(st.sampled_from(found))) for _ in range(2))
    there = find_link(state_before(one, 0), state_before(other, 0))
    back = find_link(state_before(other, 0), state_before(one, 0))
    assert there is not None
    assert back is not None
    together = one.text + link_to_text(there, one.rhythm) + other.text + link_to_text(back, one.rhythm)
    assert parse(together).objects == objects
