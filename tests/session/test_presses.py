"""Scripts of presses played to a session, in no time: the logbook holds exactly the rows that each script says.

The same scripts go through a whole trainer in a terminal, in real time, in tests/live/test_presses.py.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.presses import FILES, read_script
from tests.session.hall import Hall
from trainer.config import Settings
from trainer.practice.pedal import Edge
from trainer.practice.run import RunState, Signal
from trainer.records.attempt import CountedBy, TapsUnit

LONGEST_WAIT_S = 20.0


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_script_gives_exactly_its_rows(tmp_path: Path, path: Path) -> None:
    script = read_script(path)
    asked = script.settings
    settings = Settings(
        counted_by=CountedBy(str(asked["counted_by"])),
        taps_count=TapsUnit(str(asked.get("taps_count", "catch"))),
        count_in_beats=int(asked["count_in_beats"]),
        rest_s=float(asked["rest_s"]),
    )
    hall = Hall(tmp_path, script.pattern, script.tempo_bpm, settings)
    for each in script.tries:
        start_s = hall.now_s + 1
        for sent in each.sent:
            hall.to(start_s + sent.at_s)
            hall.session.press(start_s + sent.at_s, sent.edge, Signal.END if sent.is_end else Signal.TAP)
        stop_s = hall.now_s + LONGEST_WAIT_S
        while hall.view.state is not RunState.ARMED and hall.now_s < stop_s:
            hall.to(hall.now_s + 0.1)
        for digit in each.typed:
            hall.session.last_try.type_digit(digit)
        hall.session.last_try.confirm()
    rows = [(each.pattern, each.ended, each.catches, each.counted_by) for each in hall.logged]
    assert rows == script.rows
    assert hall.tries.unsaved == ()


def test_every_way_of_counting_has_scripts_with_and_without_releases() -> None:
    scripts = [read_script(path) for path in FILES]
    ways = {(each.settings["counted_by"], each.settings.get("taps_count", "")) for each in scripts}
    assert ways >= {("beat", ""), ("taps", "catch"), ("taps", "right"), ("taps", "round"), ("hand", "")}
    assert {each.settings["counted_by"] for each in scripts if each.tells_releases} >= {"beat", "taps"}
    assert any("end_pedal" in each.settings for each in scripts if each.tells_releases)
    assert any("end_pedal" in each.settings for each in scripts if not each.tells_releases)


Step = tuple[str, float, Edge]


@settings(max_examples=25)
@given(
    st.sampled_from(list(CountedBy)),
    st.lists(
        st.tuples(
            st.sampled_from(("pedal", "pedal", "pedal", "end", "wait", "give up", "x", "u", "+", "digit", "enter")),
            st.sampled_from((0.0, 0.003, 0.05, 0.2, 0.41, 0.6, 1.5, 4.0)),
            st.sampled_from((Edge.DOWN, Edge.DOWN, Edge.UP, Edge.REPEAT)),
        ),
        max_size=40,
    ),
)
def test_no_press_at_any_moment_does_harm(counted_by: CountedBy, steps: list[Step]) -> None:
    """Whatever comes in whatever order: nothing raises, and each try that began is in the logbook once, ended once."""
    with tempfile.TemporaryDirectory() as folder:
        hall = Hall(Path(folder), "3", 480, Settings(counted_by=counted_by, count_in_beats=1, rest_s=0.3))
        last = hall.session.last_try
        for what, wait_s, edge in steps:
            hall.to(hall.now_s + wait_s)
            {
                "pedal": lambda edge=edge: hall.session.press(hall.now_s, edge),
                "end": lambda edge=edge: hall.session.press(hall.now_s, edge, Signal.END),
                "wait": lambda: None,
                "give up": lambda: hall.session.give_up(hall.now_s),
                "x": last.toggle_fair,
                "u": last.undo,
                "+": lambda: last.add(1),
                "digit": lambda: last.type_digit("7"),
                "enter": last.confirm,
            }[what]()
            assert hall.transport.failure is None
        hall.session.leave(hall.now_s)
        began = hall.logbook.read("SELECT COUNT(*) AS many FROM attempts")[0]["many"]
        rows = hall.logged
        assert len(rows) == began == len(hall.tries.attempts)
        assert hall.tries.unsaved == ()
        assert all(each.ended is not None for each in rows)
        assert [(each.catches, each.fair) for each in rows] == [
            (each.catches, each.fair) for each in hall.tries.attempts
        ]
        hall.logbook.close()
