"""The MIDI footswitch: bytes as a cable carries them (MIDI 1.0), the presses they are, and what goes wrong.

No device is opened: mido reads from inputs of the test's own. A real footswitch and the system's sequencer are not
tested here.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

import mido
import pytest

from tests.keys import midi
from trainer.keys.footswitch import Footswitch, FootswitchError, is_midi
from trainer.practice.pedal import Edge

DOWN, UP = Edge.DOWN, Edge.UP
CONTROL, NOTE_ON, NOTE_OFF, PROGRAM = 0xB0, 0x90, 0x80, 0xC0
SUSTAIN = 64

SENT = [
    pytest.param([(CONTROL, SUSTAIN, 127), (CONTROL, SUSTAIN, 0)], [("midi_control_64", DOWN), ("midi_control_64", UP)],
                 id="a switch"),
    pytest.param([(CONTROL, 4, 64), (CONTROL, 4, 63)], [("midi_control_4", DOWN), ("midi_control_4", UP)],
                 id="64 is on, 63 is off"),
    pytest.param([(CONTROL, 7, 127)] * 3, [("midi_control_7", DOWN)] * 3, id="one that never says off, pressed thrice"),
    pytest.param([(CONTROL, 11, value) for value in (0, 30, 60, 80, 110, 127, 100, 70, 40, 0)],
                 [("midi_control_11", DOWN), ("midi_control_11", UP)], id="an expression pedal moved up and down"),
    pytest.param([(CONTROL, 11, 0)], [], id="off, and it was not on"),
    pytest.param([(NOTE_ON, 36, 100), (NOTE_OFF, 36, 0)], [("midi_note_36", DOWN), ("midi_note_36", UP)], id="a note"),
    pytest.param([(NOTE_ON, 36, 1), (NOTE_ON, 36, 0)], [("midi_note_36", DOWN), ("midi_note_36", UP)],
                 id="a note-on of velocity 0 is a note-off"),
    pytest.param([(PROGRAM, 5)], [("midi_program_5", DOWN)], id="a program change"),
    pytest.param([(CONTROL | 9, SUSTAIN, 127)], [("midi_control_64", DOWN)], id="on any channel"),
    pytest.param([(0xF8,), (0xFE,), (0xE0, 0, 64)], [], id="a clock, a sign of life and a pitch wheel are no press"),
]  # fmt: skip

Heard = list[tuple[str, Edge, float]]


@pytest.fixture(autouse=True)
def cables(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    before = mido.backend
    mido.set_backend("tests.keys.midi")
    monkeypatch.setattr(midi, "names", ["left foot", "right foot"])
    yield
    mido.set_backend(before)


@pytest.fixture
def footswitch() -> Iterator[tuple[Footswitch, Heard]]:
    heard: Heard = []
    seconds = iter(range(100))
    footswitch = Footswitch(lambda *press: heard.append(press), lambda: float(next(seconds)))
    yield footswitch, heard
    footswitch.close()
    assert midi.opened == {}


@pytest.mark.parametrize(("sent", "meant"), SENT)
def test_what_a_footswitch_sends(
    footswitch: tuple[Footswitch, Heard], sent: list[tuple[int, ...]], meant: list[tuple[str, Edge]]
) -> None:
    switch, heard = footswitch
    switch.listen()
    for message in sent:
        midi.opened["left foot"].put(bytes(message))
    assert [(name, edge) for name, edge, _ in heard] == meant


def test_each_press_has_the_time_at_which_it_was_read(footswitch: tuple[Footswitch, Heard]) -> None:
    switch, heard = footswitch
    switch.listen()
    midi.opened["left foot"].put(bytes([CONTROL, SUSTAIN, 127]))
    midi.opened["right foot"].put(bytes([0xF8]))
    midi.opened["right foot"].put(bytes([CONTROL, SUSTAIN, 127]))
    assert heard == [("midi_control_64", DOWN, 0.0), ("midi_control_64", DOWN, 2.0)]


def test_listening_again_finds_what_was_connected_meanwhile(footswitch: tuple[Footswitch, Heard]) -> None:
    switch, _ = footswitch
    switch.listen()
    midi.names.append("a new one")
    switch.listen()
    assert sorted(midi.opened) == ["a new one", "left foot", "right foot"]
    switch.close()
    assert not switch.listens


def test_with_nothing_connected_it_says_so(footswitch: tuple[Footswitch, Heard]) -> None:
    midi.names.clear()
    with pytest.raises(FootswitchError, match="No MIDI input was found"):
        footswitch[0].listen()


def test_without_the_extra_it_says_how_to_get_it(
    footswitch: tuple[Footswitch, Heard], monkeypatch: pytest.MonkeyPatch
) -> None:
    mido.set_backend("mido.backends.rtmidi")
    monkeypatch.setitem(sys.modules, "rtmidi", None)
    monkeypatch.delitem(sys.modules, "mido.backends.rtmidi", raising=False)
    with pytest.raises(FootswitchError, match=r"throwbeat\[midi\]"):
        footswitch[0].listen()


def test_a_system_without_midi_is_told_in_one_line(
    footswitch: tuple[Footswitch, Heard], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(midi, "trouble", [OSError("error creating the sequencer client.")])
    with pytest.raises(FootswitchError) as refused:
        footswitch[0].listen()
    assert str(refused.value) == "MIDI could not be used here: error creating the sequencer client."
    assert not footswitch[0].listens


def test_its_names_are_told_from_keys() -> None:
    assert is_midi("midi_control_64")
    assert not is_midi("m")
    assert not is_midi(None)
