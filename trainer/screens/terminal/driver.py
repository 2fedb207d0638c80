"""The terminal's driver: the library's own, with three faults mended, and keys that can repeat and be let go.

Mended: bytes that are no text ended the reading of keys. A stop from outside had keys read twice. Going on after it was
done within the signal, which may come while the queue to the terminal is locked, and then the trainer hung. A terminal
that can is asked to tell when keys repeat and are let go: a flag beside the library's own, taken off with those on
leaving.
"""

from __future__ import annotations

import asyncio
import os
import selectors
import sys
from codecs import getincrementaldecoder
from collections.abc import Callable
from typing import Any

from textual import constants
from textual.driver import Driver
from textual.message import Message

from trainer.screens.terminal.keyboard import EVENT_TYPES, KeyboardFlags, KeyboardParser, choose_parser

WAIT_S = 0.1
READ_BYTES = 4096


def steady(driver: type[Driver]) -> type[Driver]:
    """The driver to use in place of one of the library's; the same one where nothing needs mending."""
    if sys.platform == "win32":
        return driver
    import termios

    from textual.drivers import linux_driver

    class SteadyDriver(linux_driver.LinuxDriver):
        """Reads keys whatever bytes come, and begins anew only once after a stop."""

        parser = choose_parser()

        def __init__(self, *arguments: Any, **named: Any) -> None:
            self._turns = asyncio.get_running_loop()
            self._waiting: asyncio.Handle | None = None
            super().__init__(*arguments, **named)

        def run_input_thread(self) -> None:
            """Read keys until the driver ends, leaving out bytes that are no UTF-8: the library's reading ends there.

            The library has no place for another parser, either.
            """
            try:
                fileno, exit_event = self.fileno, self.exit_event
            except AttributeError:  # a library of another shape reads by itself
                super().run_input_thread()
                return
            parser, decode = self.parser(), getincrementaldecoder("utf-8")("ignore").decode
            with selectors.SelectSelector() as selector:
                selector.register(fileno, selectors.EVENT_READ)
                while not exit_event.is_set():
                    if selector.select(WAIT_S):
                        data = os.read(fileno, READ_BYTES)
                        if not data:  # the end of a file: no more will come
                            exit_event.wait(WAIT_S)
                        text = decode(data)
                        for message in parser.feed(text) if text else ():
                            self.process_message(message)
                    for message in parser.tick():
                        self.process_message(message)

        def process_message(self, message: Message) -> None:
            if not isinstance(message, KeyboardFlags):
                super().process_message(message)

        def _sigtstp_application(self, *arguments: object) -> None:
            self._soon(super()._sigtstp_application)

        def _sigcont_application(self, *arguments: object) -> None:
            self._soon(self._go_on)

        def _soon(self, do: Callable[[], None]) -> None:
            """Do it once what is being done is over: a signal may come while the queue to the terminal is locked.

            Of a stop and a going on that come together the last holds.
            """
            if self._waiting is not None:
                self._waiting.cancel()
            if not self._turns.is_closed():
                self._waiting = self._turns.call_soon_threadsafe(do)

        def _go_on(self) -> None:
            """Begin anew after a stop from outside (SIGSTOP), too, which leaves the terminal as the trainer has it.

            The library would read each key twice from then on, and leave the terminal raw in the end. A terminal that
            is closed sends this signal too, right after the hang-up. Then nothing begins anew: a second reader of a
            terminal that is gone would keep the process alive.
            """
            app, keys = getattr(self, "_app", None), getattr(self, "_key_thread", None)
            if getattr(app, "_exit", False) or not self._is_there():
                return
            if getattr(self, "_auto_restart", False) and keys is not None and keys.is_alive():
                self.suspend_application_mode()
                self._must_signal_resume = True
            super()._sigcont_application()

        def _is_there(self) -> bool:
            """Whether there is a terminal. This signal may be known here before the hang-up that came first."""
            try:
                termios.tcgetattr(self.fileno)
            except termios.error:
                return False
            return True

    return SteadyDriver if driver is linux_driver.LinuxDriver else driver


def asking_for_releases(driver: type[Driver]) -> type[Driver]:
    """A driver made by `steady` that asks the terminal for repeats and releases; the same one where it can't."""
    if not issubclass(getattr(driver, "parser", type), KeyboardParser) or constants.DISABLE_KITTY_KEY:
        return driver

    class AskingDriver(driver):  # type: ignore[valid-type, misc]
        """Asks once at each start. A terminal that gives no answer is told nothing; wrong flags are put right."""

        _first_flags: int | None = None

        def start_application_mode(self) -> None:
            super().start_application_mode()
            self._first_flags = None
            if self.input_tty and getattr(self, "_writer_thread", None) is not None:
                self._tell("\x1b[?u")

        def process_message(self, message: Message) -> None:
            if isinstance(message, KeyboardFlags):
                self._answer(message.flags)
            super().process_message(message)

        def _answer(self, flags: int) -> None:
            if self._first_flags is None:
                self._first_flags = flags
                if flags:  # it took what the library asked for, so it goes by the protocol
                    self._tell(f"\x1b[={EVENT_TYPES};2u\x1b[?u")
            elif flags & ~EVENT_TYPES != self._first_flags & ~EVENT_TYPES:
                self._tell(f"\x1b[={self._first_flags};1u")

        def _tell(self, sequence: str) -> None:
            self.write(sequence)
            self.flush()

    return AskingDriver
