"""The pedal: press scripts as a keyboard sends them, and the taps a foot meant by them.

Rates and pauses of the repeat (15 to 50 a second after 225 to 660 ms) are those measured on terminals and desktops;
the scripts are made up from them.
"""

from __future__ import annotations

from itertools import pairwise, product
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.each import each
from trainer.practice.pedal import BOUNCE_S, REPEAT_S, Edge, Meant, Pedal


def taps(presses: list[float]) -> list[float]:
    """The presses that stay taps once the whole script is heard."""
    pedal, found = Pedal(), []
    for at_s in presses:
        pedal, heard = pedal.press(at_s)
        if heard is Meant.TAP:
            found.append(at_s)
        elif heard is Meant.TAKE_BACK:
            found.pop()
    return found


def held(
    at_s: float, for_s: float, pause_s: float, rate_hz: float, jitter_s: float = 0.0, seed: int = 0
) -> list[float]:
    """What a key sends that is held down: itself, then after a pause its repeats, each a little off its time."""
    dice = Random(seed)
    count = max(0, int((for_s - pause_s) * rate_hz) + 1) if for_s >= pause_s else 0
    return [at_s, *(at_s + pause_s + n / rate_hz + dice.uniform(-jitter_s, jitter_s) for n in range(count))]


SCRIPTS = [
    # presses (s) → taps (s)
    pytest.param([], [], id="nothing"),
    pytest.param([1.0], [1.0], id="one tap"),
    pytest.param([1.0, 2.0], [1.0, 2.0], id="two taps far apart"),
    pytest.param([1.0, 1.3], [1.0, 1.3], id="two taps where a repeat may come: both stay"),
    pytest.param([1.0, 1.15], [1.0, 1.15], id="a quick double tap"),
    pytest.param([1.0, 1.1], [1.0, 1.1], id="the quickest double tap, at 10 a second"),
    pytest.param([1.0, 1.12, 1.24, 1.36], [1.0, 1.12, 1.24, 1.36], id="drumming at 500 a minute"),
    pytest.param([1.0, 1.004], [1.0], id="a bounce"),
    pytest.param([1.0, 1.003, 1.007, 1.012], [1.0], id="a contact that bounces three times"),
    pytest.param([1.0, 1.004, 1.3, 1.305], [1.0, 1.3], id="two bouncing taps where a repeat may come: both stay"),
    pytest.param([1.0, 1.0], [1.0], id="twice the same stamp"),
    pytest.param([1.0, 0.999], [1.0], id="a stamp that lies before the last"),
    pytest.param([1.0, 1.5, 1.533, 1.567], [1.0], id="held: the first repeat is taken back"),
    pytest.param([1.0, 1.006, 1.5, 1.533, 1.567], [1.0], id="held, and its contact bounced"),
    pytest.param([1.0, 1.5], [1.0, 1.5], id="held until just one repeat: cannot be told from two taps"),
    pytest.param([1.0, 1.5, 1.533, 2.5], [1.0, 2.5], id="held, then a tap"),
    pytest.param([1.0, 1.5, 1.533, 1.7], [1.0, 1.7], id="held, then a tap soon after"),
    pytest.param([1.0, 1.2, 1.7, 1.733, 1.766], [1.0, 1.2], id="a double tap whose second is held"),
    pytest.param([1.0, 1.5, 1.53, 2.6, 3.1, 3.13, 3.16], [1.0, 2.6], id="held twice"),
    pytest.param([1.0, 1.15, 1.18], [1.0, 1.15], id="a repeat comes no sooner than 200 ms: the tap before it stays"),
    pytest.param([1.0, 1.5, 1.513, 1.534, 1.555], [1.0], id="held: a repeat as quick as a bounce hides no other"),
    pytest.param([1.0, 1.5, 1.505, 1.511], [1.0, 1.5], id="a contact that bounces twice is still a tap"),
    pytest.param([1.0, 1.8, 1.83], [1.0, 1.8], id="a repeat comes no later than 700 ms: the tap before it stays"),
]


@pytest.mark.parametrize(("presses", "meant"), SCRIPTS)
def test_the_taps_meant_by_a_script(presses: list[float], meant: list[float]) -> None:
    assert taps(presses) == meant


@each(product([0.225, 0.25, 0.4, 0.5, 0.66], [15, 20, 25, 30, 33, 50], [0.0, 0.005]))
def test_a_held_pedal_counts_once(pause_s: float, rate_hz: float, jitter_s: float) -> None:
    for seed in range(10):
        # held for at least two repeats; with one alone nobody can tell
        for for_s in (pause_s + 1.2 / rate_hz, pause_s + 0.5, 3.0):
            assert taps(held(10.0, for_s, pause_s, rate_hz, jitter_s, seed)) == [10.0]


@given(
    pause_s=st.floats(0.23, 0.655),
    rate_hz=st.floats(15, 50),
    wait_s=st.floats(0.1, 5),
    seed=st.integers(0, 1000),
    times=st.integers(1, 4),
)
def test_taps_and_holds_in_turn_count_one_each(
    pause_s: float, rate_hz: float, wait_s: float, seed: int, times: int
) -> None:
    presses: list[float] = []
    meant = []
    at_s = 1.0
    for _ in range(times):
        presses += held(at_s, pause_s + 0.4, pause_s, rate_hz, 0.004, seed)
        meant.append(at_s)
        at_s = presses[-1] + max(wait_s, 0.75)  # long enough to be no first repeat of the tap before
        presses.append(at_s)
        meant.append(at_s)
        at_s += max(wait_s, 0.75)
    assert taps(presses) == meant


@given(st.lists(st.floats(0.091, 3), max_size=40))
def test_taps_further_apart_than_a_repeat_all_count(gaps: list[float]) -> None:
    presses = [1.0]
    for gap in gaps:
        presses.append(presses[-1] + gap)
    assert taps(presses) == presses


@given(st.lists(st.floats(0, 100), max_size=40))
def test_no_script_gives_a_tap_too_near_the_last_or_takes_back_what_is_not_there(presses: list[float]) -> None:
    found = taps(sorted(presses))
    assert all(later - earlier >= REPEAT_S for earlier, later in pairwise(found))


@given(st.lists(st.floats(0, 10), max_size=40))
def test_what_is_final_is_never_taken_back(presses: list[float]) -> None:
    pedal = Pedal()
    for at_s in sorted(presses):
        tap_s = pedal.tap_s
        pedal, heard = pedal.press(at_s)
        if heard is Meant.TAKE_BACK:
            assert at_s <= tap_s + REPEAT_S


def test_each_press_is_told_for_what_it_is() -> None:
    pedal, told = Pedal(), []
    for at_s in (1.0, 1.0 + BOUNCE_S / 2, 1.5, 1.53, 1.56, 3.0):
        pedal, heard = pedal.press(at_s)
        told.append(heard)
    assert told == [Meant.TAP, Meant.BOUNCE, Meant.TAP, Meant.TAKE_BACK, Meant.REPEAT, Meant.TAP]


# -- where releases are told ----------------------------------------------------------------------------------

DOWN, REPEAT, UP = Edge.DOWN, Edge.REPEAT, Edge.UP
Told = list[tuple[float, Edge]]

TOLD = [
    # presses, repeats and releases (s) → taps (s)
    pytest.param([(1.0, DOWN), (1.2, UP)], [1.0], id="one tap"),
    pytest.param([(1.0, DOWN), (1.03, UP), (1.06, DOWN), (1.09, UP)], [1.0, 1.06], id="quicker than any repeat"),
    pytest.param([(1.0, DOWN), (1.001, UP), (1.5, DOWN), (1.501, UP), (1.533, DOWN)], [1.0, 1.5, 1.533],
                 id="a pedal that sends a click at once, where repeats may come: none is taken back"),
    pytest.param([(1.0, DOWN), (1.5, REPEAT), (1.53, REPEAT), (1.55, UP)], [1.0], id="held"),
    pytest.param([(1.0, DOWN), (1.5, REPEAT), (1.52, UP)], [1.0], id="held until just one repeat: now it can be told"),
    pytest.param([(1.0, DOWN), (1.5, REPEAT), (1.52, UP), (1.56, DOWN), (1.7, UP)], [1.0, 1.56], id="held, then a tap"),
    pytest.param([(1.0, DOWN), (1.003, UP), (1.006, DOWN), (1.3, UP)], [1.0], id="it bounces going down"),
    pytest.param([(1.0, DOWN), (1.3, UP), (1.304, DOWN), (1.306, UP)], [1.0], id="it bounces coming up"),
    pytest.param([(1.0, DOWN), (1.3, UP), (1.304, DOWN), (1.306, UP), (1.4, DOWN)], [1.0, 1.4],
                 id="it bounces coming up, then a tap"),
    pytest.param([(1.0, DOWN), (2.0, DOWN), (2.1, UP)], [1.0, 2.0],
                 id="a release that never came, the window was left: the next press counts"),
    pytest.param([(1.0, DOWN), (1.5, DOWN), (1.53, DOWN), (1.56, DOWN), (1.6, UP)], [1.0],
                 id="a terminal that tells releases but no repeats"),
    pytest.param([(0.5, UP), (1.0, DOWN), (1.2, UP)], [1.0], id="a release before any press"),
    pytest.param([(1.0, DOWN), (1.0, UP), (1.2, DOWN), (1.2, UP)], [1.0, 1.2], id="stamps alike"),
]  # fmt: skip


def told_taps(script: Told) -> list[float]:
    """The presses that stay taps once the whole script is heard."""
    pedal, found = Pedal(), []
    for at_s, edge in script:
        pedal, heard = pedal.press(at_s, edge)
        if heard is Meant.TAP:
            found.append(at_s)
        elif heard is Meant.TAKE_BACK:
            found.pop()
    return found


@pytest.mark.parametrize(("script", "meant"), TOLD)
def test_the_taps_meant_by_a_script_with_releases(script: Told, meant: list[float]) -> None:
    assert told_taps(script) == meant


@given(
    st.lists(
        st.tuples(
            st.floats(0.02, 2), st.floats(0.02, 2), st.lists(st.floats(0.001, 0.004), max_size=4), st.integers(0, 6)
        ),
        max_size=20,
    )
)
def test_where_releases_are_told_every_tap_counts_once_however_long_short_or_dirty(
    feet: list[tuple[float, float, list[float], int]],
) -> None:
    script: Told = []
    meant = []
    at_s = 1.0
    for down_for_s, up_for_s, bounces, repeats in feet:
        meant.append(at_s)
        script.append((at_s, DOWN))
        for open_s in bounces:  # each time the contact opens and closes again
            script += [(at_s + open_s / 2, UP), (at_s + open_s, DOWN)]
            at_s += open_s
        script += [(at_s + down_for_s * (n + 1) / (repeats + 1), REPEAT) for n in range(repeats)]
        at_s += down_for_s
        script.append((at_s, UP))
        at_s += up_for_s
    assert told_taps(script) == meant
