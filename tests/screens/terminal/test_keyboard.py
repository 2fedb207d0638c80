"""The keys as terminals send them: presses, repeats and releases by the kitty keyboard protocol, and any bytes at all.

The sequences are written from the protocol's own page (https://sw.kovidgoyal.net/kitty/keyboard-protocol/).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual import events
from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message

from trainer.practice.pedal import Edge
from trainer.screens.terminal import keyboard
from trainer.screens.terminal.driver import asking_for_releases, steady
from trainer.screens.terminal.keyboard import KeyboardFlags, KeyboardParser, choose_parser
from trainer.screens.terminal.presses import Press, to_press

DOWN, REPEAT, UP = Edge.DOWN, Edge.REPEAT, Edge.UP

SENT = [
    # bytes → (key, edge)
    (" ", ("space", DOWN)),
    ("b", ("b", DOWN)),
    ("\r", ("enter", DOWN)),
    ("\x1b[5~", ("pageup", DOWN)),
    ("\x1b[32;;32u", ("space", DOWN)),
    ("\x1b[32;1:1;32u", ("space", DOWN)),
    ("\x1b[32;1:2;32u", ("space", REPEAT)),
    ("\x1b[32;1:3u", ("space", UP)),
    ("\x1b[98;;98u", ("b", DOWN)),
    ("\x1b[98;1:3u", ("b", UP)),
    ("\x1b[98;129:3u", ("b", UP)),  # num lock is on
    ("\x1b[98;5:3u", ("ctrl+b", UP)),
    ("\x1b[13u", ("enter", DOWN)),
    ("\x1b[13;1:2u", ("enter", REPEAT)),
    ("\x1b[13;1:3u", ("enter", UP)),
    ("\x1b[1;1:3A", ("up", UP)),
    ("\x1b[1;1:2B", ("down", REPEAT)),
    ("\x1b[5;1:3~", ("pageup", UP)),
    ("\x1b[6;1:1~", ("pagedown", DOWN)),
    ("\x1b[1;1:3P", ("f1", UP)),
    ("\x1b[57376u", ("f13", DOWN)),
    ("\x1b[57387;1:3u", ("f24", UP)),
    ("\x1b[57430u", ("media_play_pause", DOWN)),
    ("\x1b[57435;1:3u", ("media_track_next", UP)),
    ("\x1b[<0;5;5M", ("mouse_left", DOWN)),
    ("\x1b[<0;5;5m", ("mouse_left", UP)),
    ("\x1b[<1;5;5M", ("mouse_middle", DOWN)),
    ("\x1b[<2;5;5m", ("mouse_right", UP)),
]


def heard(parser: XTermParser, text: str) -> list[tuple[str, Edge]]:
    presses = [to_press(each) for each in parser.feed(text) if isinstance(each, events.Event)]
    return [(press.name, press.edge) for press in presses if isinstance(press, Press)]


@pytest.mark.parametrize(("sent", "meant"), SENT)
def test_what_a_terminal_sends(sent: str, meant: tuple[str, Edge]) -> None:
    assert heard(KeyboardParser(), sent) == [meant]


def test_all_in_one_go_and_byte_by_byte_it_is_the_same() -> None:
    everything = "".join(sent for sent, _ in SENT)
    parser = KeyboardParser()
    assert heard(KeyboardParser(), everything) == [meant for _, meant in SENT]
    assert [each for byte in everything for each in heard(parser, byte)] == [meant for _, meant in SENT]


def test_a_repeat_and_a_release_carry_the_character_or_none() -> None:
    repeat, release = KeyboardParser().feed("\x1b[32;1:2;32u\x1b[32;1:3u")
    assert isinstance(repeat, events.Key)
    assert repeat.character == " "
    assert repeat.handler_name == "on_key"
    assert not isinstance(release, events.Key), "a key let go does nothing else"


def test_an_enter_that_repeats_is_still_an_enter() -> None:
    (repeat,) = KeyboardParser().feed("\x1b[13;1:2u")
    assert isinstance(repeat, events.Key)
    assert repeat.character == "\r"


def test_the_answer_about_the_flags_is_no_key() -> None:
    (answer,) = KeyboardParser().feed("\x1b[?25u")
    assert isinstance(answer, KeyboardFlags)
    assert answer.flags == 25


@pytest.mark.parametrize("sent", ["\x1b[99999999999u", "\x1b[1:99999999999;;99999999999u", "\x1b[1114112;1:3u"])
def test_a_number_that_is_no_character_is_passed_over(sent: str) -> None:
    assert heard(KeyboardParser(), sent + " ") == [("space", DOWN)]


@given(st.text(st.sampled_from("\x1b[0123456789;:?<>=u~AMmRPQI Oy$\x00é")), st.text())
def test_no_bytes_stop_the_reading(noise: str, text: str) -> None:
    parser = KeyboardParser()
    for part in (noise, text, "\x1b[32;;32u" * 40):
        read = list(parser.feed(part or " "))
    assert read, "it reads on behind them"


def test_the_proof_is_passed_by_this_parser_and_by_no_other() -> None:
    assert choose_parser() is KeyboardParser


@pytest.mark.parametrize("fault", [ValueError, AttributeError])
def test_with_a_library_of_another_shape_its_own_parser_reads(
    monkeypatch: pytest.MonkeyPatch, fault: type[Exception]
) -> None:
    def broken(self: XTermParser, sequence: str, alt: bool = False) -> list[events.Key]:
        raise fault("the library has changed")

    monkeypatch.setattr(KeyboardParser, "_sequence_to_key_events", broken)
    assert choose_parser() is XTermParser
    monkeypatch.setattr(KeyboardParser, "_sequence_to_key_events", XTermParser._sequence_to_key_events)
    assert choose_parser() is XTermParser, "it gives something else"


def test_with_the_librarys_own_parser_no_terminal_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keyboard, "PROOF", ((" ", (events.Key, "another")),))
    driver = steady(LinuxDriver)
    assert driver is not LinuxDriver
    assert asking_for_releases(driver) is driver


# -- asking the terminal --------------------------------------------------------------------------------------


def asked(monkeypatch: pytest.MonkeyPatch, *answers: int) -> list[str]:
    """What the driver tells a terminal that gives these answers about its flags."""
    driver_class = asking_for_releases(steady(LinuxDriver))
    driver = driver_class.__new__(driver_class)
    told: list[str] = []
    monkeypatch.setattr(driver, "write", told.append)
    passed_on: list[Message] = []
    monkeypatch.setattr(driver, "send_message", passed_on.append)
    for flags in answers:
        driver.process_message(KeyboardFlags(flags))
    assert passed_on == []
    return told


ASK, RESTORE = "\x1b[=2;2u\x1b[?u", "\x1b[=25;1u"


@pytest.mark.parametrize(
    ("answers", "told"),
    [
        pytest.param((), [], id="no answer: nothing is changed"),
        pytest.param((25, 27), [ASK], id="it can"),
        pytest.param((25, 25), [ASK], id="it knows the protocol, but not that part"),
        pytest.param((0,), [], id="it answers, but took nothing"),
        pytest.param((25, 2), [ASK, RESTORE], id="it lost the rest: put right"),
        pytest.param((25, 27, 27), [ASK], id="it answers again unasked"),
    ],
)
def test_a_terminal_is_asked_once_and_left_as_it_should_be(
    monkeypatch: pytest.MonkeyPatch, answers: tuple[int, ...], told: list[str]
) -> None:
    assert asked(monkeypatch, *answers) == told
