"""Plain mode at a terminal, or between a pipe and a log: reads keys, writes lines, leaves the terminal as it was."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from fractions import Fraction
from queue import Empty, SimpleQueue
from threading import Thread

from trainer.commands.bar import handling, stoppable
from trainer.commands.terminal import tell
from trainer.keys.footswitch import Footswitch, FootswitchError, is_midi
from trainer.keys.names import key_to_text
from trainer.library.catalogue import Choice
from trainer.plain.keystrokes import Keystrokes, is_sent
from trainer.plain.practice import PlainPractice
from trainer.practice.pedal import Edge
from trainer.session.sitting import Sitting

TICK_S = 0.02
MOST_BYTES = 1024

Stamped = tuple[str, float, Edge] | None
"""A key or a footswitch, the second its bytes arrived, and what happened to it; None when no more will come."""


def practise(sitting: Sitting, choice: Choice, tempo_bpm: Fraction | None) -> None:
    """Practise until the user leaves, the input ends, or a signal asks for the end."""
    keys: SimpleQueue[Stamped] = SimpleQueue()
    footswitch = Footswitch(lambda name, edge, at_s: keys.put((name, at_s, edge)), sitting.clock)
    use_a_pedal_that_is_heard(sitting, footswitch)
    practice = PlainPractice(sitting, sitting.begin(choice, tempo_bpm), tell)
    with stoppable(), keys_at_once(), closing(footswitch):
        try:
            practice.begin()
            if sitting.session is not None:
                sitting.session.prepare()
            Thread(target=_read_keys, args=(keys,), daemon=True).start()
            _go_on(practice, keys)
        except KeyboardInterrupt:
            pass  # ctrl+c, or told to stop: leave as q does
        practice.leave()


def _go_on(practice: PlainPractice, keys: SimpleQueue[Stamped]) -> None:
    while not practice.has_left:
        try:
            stamped = keys.get(timeout=TICK_S)
        except Empty:
            practice.tick()
            continue
        if stamped is None:
            return
        practice.take(*stamped)


def use_a_pedal_that_is_heard(sitting: Sitting, footswitch: Footswitch) -> None:
    """Make the space bar the pedal of this sitting if the one set can't be heard: a mouse button, no footswitch."""
    why_not, pedal = "", sitting.settings.pedal
    if is_midi(pedal):
        try:
            footswitch.listen()
        except FootswitchError as error:
            why_not = str(error)
    elif not is_sent(pedal):
        why_not = f"{key_to_text(pedal)} is not heard in plain mode."
    if why_not:
        sitting.settings = replace(sitting.settings, pedal="space")
        sitting.notices.append(f"{why_not} SPACE is the pedal this time.")


def _read_keys(keys: SimpleQueue[Stamped]) -> None:
    """Stamp what is typed, as it arrives."""
    if sys.platform == "win32" and sys.stdin.isatty():
        _read_console(keys)
        return
    strokes = Keystrokes()
    while data := os.read(sys.stdin.fileno(), MOST_BYTES):
        at_s = time.monotonic()
        for key in strokes.feed(data):
            keys.put((key, at_s, Edge.DOWN))
    keys.put(None)


if sys.platform == "win32":

    def _read_console(keys: SimpleQueue[Stamped]) -> None:
        """The Windows console gives a key at a time; those that type nothing come as two characters."""
        import msvcrt

        from trainer.plain.keystrokes import CONSOLE

        while True:
            typed = msvcrt.getwch()
            at_s = time.monotonic()
            plain = typed not in "\x00\xe0"
            pressed = Keystrokes().feed(typed.encode()) if plain else [CONSOLE.get(msvcrt.getwch(), "")]
            for key in filter(None, pressed):
                keys.put((key, at_s, Edge.DOWN))

    @contextmanager
    def keys_at_once() -> Iterator[None]:
        """The console gives each key at once as it is."""
        yield

else:

    @contextmanager
    def keys_at_once() -> Iterator[None]:
        """A terminal gives each key at once and shows none until this ends, also after it was stopped (ctrl+z)."""
        import signal
        import termios
        import tty

        if not sys.stdin.isatty():
            yield
            return
        terminal = sys.stdin.fileno()
        before = termios.tcgetattr(terminal)

        def take(*_: object) -> None:
            tty.setcbreak(terminal, termios.TCSADRAIN)

        take()
        try:
            with handling({signal.SIGCONT: take}):
                yield
        finally:
            termios.tcsetattr(terminal, termios.TCSADRAIN, before)
