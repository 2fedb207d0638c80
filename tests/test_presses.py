"""Scripts of presses played to a session, in no time: the logbook holds exactly the rows that each script says.

The same scripts go through a whole trainer in a terminal, in real time, in tests/live/test_presses.py.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.practice.hall import Hall
from tests.presses import FILES, read_script
from trainer.logbook.records import CountedBy, TapsUnit
from trainer.practice.run import State
from trainer.session import Way

LONGEST_WAIT_S = 20.0


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_script_gives_exactly_its_rows(tmp_path: Path, path: Path) -> None:
    script = read_script(path)
    settings = script.settings
    way = Way(
        counted_by=CountedBy(settings["counted_by"]),
        taps_unit=TapsUnit(settings.get("taps_count", "catch")),
        count_in_beats=int(settings["count_in_beats"]),
        rest_s=float(settings["rest_s"]),
    )
    hall = Hall(tmp_path, script.pattern, script.tempo_bpm, way)
    for each in script.tries:
        start_s = hall.now_s + 1
        for sent in each.sent:
            hall.to(start_s + sent.at_s)
            hear = hall.session.press_end if sent.is_end else hall.session.press
            hear(start_s + sent.at_s, sent.edge)
        stop_s = hall.now_s + LONGEST_WAIT_S
        while hall.view.state is not State.ARMED and hall.now_s < stop_s:
            hall.to(hall.now_s + 0.1)
        for digit in each.typed:
            hall.session.last_try.type_digit(digit)
        hall.session.last_try.confirm()
    rows = [(each.pattern, each.ended, each.catches, each.counted_by) for each in hall.logged]
    assert rows == script.rows
    assert hall.journal.unsaved == ()


def test_every_way_of_counting_has_scripts_with_and_without_releases() -> None:
    scripts = [read_script(path) for path in FILES]
    ways = {(each.settings["counted_by"], each.settings.get("taps_count", "")) for each in scripts}
    assert ways >= {("beat", ""), ("taps", "catch"), ("taps", "right"), ("taps", "round"), ("hand", "")}
    assert {each.settings["counted_by"] for each in scripts if each.tells_releases} >= {"beat", "taps"}
    assert any("end_pedal" in each.settings for each in scripts if each.tells_releases)
    assert any("end_pedal" in each.settings for each in scripts if not each.tells_releases)
