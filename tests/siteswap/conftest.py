"""Patterns of every kind, made by matching throws with landings at random, never by the code under test."""

from __future__ import annotations

import pytest
from hypothesis import strategies as st

DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"
Cell = list[tuple[int, bool, int]]  # of each throw: value, whether it crosses, receiver


@st.composite
def valid_texts(draw: st.DrawFn) -> str:
    """The text of a valid pattern: async or sync, of one to three jugglers, with multiplex."""
    sync = draw(st.booleans())
    jugglers = draw(st.sampled_from([1, 1, 1, 2, 3]))
    step, hands = (2, 2) if sync else (1, 1)
    steps = draw(st.integers(1, 6 if jugglers == 1 else 4))
    places = [(at, juggler, hand) for juggler in range(jugglers) for at in range(steps) for hand in range(hands)]
    thrown = [place for place in places for _ in range(draw(st.sampled_from([1, 1, 1, 0, 2, 3])))]
    caught = draw(st.permutations(thrown))
    cells: dict[tuple[int, int, int], Cell] = {place: [] for place in places}
    for (at, juggler, hand), (to, receiver, to_hand) in zip(thrown, caught, strict=True):
        height = (to - at) % steps + steps * draw(st.integers(0, 1))
        value = (height or steps) * step
        cells[(at, juggler, hand)].append((value, to_hand != hand, receiver))
    lines = []
    for juggler in range(jugglers):
        line = []
        for at in range(steps):
            shown = [to_text(cells[(at, juggler, hand)], juggler, jugglers) for hand in range(hands)]
            line.append(f"({shown[0]},{shown[1]})" if sync else shown[0])
        lines.append(" ".join(line) if jugglers > 1 else "".join(line))
    return lines[0] if jugglers == 1 else f"<{'|'.join(lines)}>"


def to_text(cell: Cell, juggler: int, jugglers: int) -> str:
    shown = [
        DIGITS[value]
        + ("x" if crosses else "")
        + (("p" if jugglers == 2 else f"p{receiver + 1}") if receiver != juggler else "")
        for value, crosses, receiver in cell
    ]
    return "0" if not shown else shown[0] if len(shown) == 1 else f"[{''.join(shown)}]"


@pytest.fixture(scope="session")
def patterns() -> st.SearchStrategy[str]:
    """Texts of valid patterns."""
    return valid_texts()
