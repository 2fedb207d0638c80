"""The terminal's driver: the library's own, mended where bytes that are no text or a stop from outside broke it.

It also asks a terminal that can to tell when keys repeat and are let go. The library puts its keyboard flags on the
terminal's stack and takes them off on leaving; the one added here goes with them.
"""

from __future__ import annotations

import os
import selectors
import sys
from codecs import getincrementaldecoder

from textual import constants
from textual.driver import Driver
from textual.message import Message

from trainer.screens.terminal.keyboard import EVENT_TYPES, KeyboardFlags, KeyboardParser, choose_parser

WAIT_S = 0.1
READ_BYTES = 4096


def steady(driver: type[Driver]) -> type[Driver]:
    """The driver to use for one of the library's."""
    if sys.platform == "win32":
        return driver
    import termios

    from textual.drivers import linux_driver

    class SteadyDriver(linux_driver.LinuxDriver):
        """Reads keys whatever comes, and has the terminal to itself once."""

        parser = choose_parser()

        def run_input_thread(self) -> None:
            """Read keys until told to end; bytes that are no UTF-8, such as a line of noise sends, are left out.

            The library would stop reading keys for good at those, and has no place for another parser.
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
                        if not data:  # the end of a file: there will never be more
                            exit_event.wait(WAIT_S)
                        text = decode(data)
                        for message in parser.feed(text) if text else ():
                            self.process_message(message)
                    for message in parser.tick():
                        self.process_message(message)

        def process_message(self, message: Message) -> None:
            if not isinstance(message, KeyboardFlags):
                super().process_message(message)

        def _sigcont_application(self, *arguments: object) -> None:
            """Begin anew also after a stop nobody asked for (SIGSTOP), when the terminal was never given back.

            The library would read each key twice from then on, and leave the terminal raw in the end. A terminal
            that is closed sends this too, right behind the hang-up: then there is nothing to begin anew, and a
            second reader of a terminal that is gone would keep the process alive.
            """
            app, keys = getattr(self, "_app", None), getattr(self, "_key_thread", None)
            if getattr(app, "_exit", False) or not self._is_there():
                return
            if getattr(self, "_auto_restart", False) and keys is not None and keys.is_alive():
                self.suspend_application_mode()
                self._must_signal_resume = True
            super()._sigcont_application(*arguments)

        def _is_there(self) -> bool:
            """Whether the terminal can still be asked; the hang-up may be known here later than the going on is."""
            try:
                termios.tcgetattr(self.fileno)
            except termios.error:
                return False
            return True

    return SteadyDriver if driver is linux_driver.LinuxDriver else driver


def asking_for_releases(driver: type[Driver]) -> type[Driver]:
    """A steady driver which also asks the terminal to tell repeats and releases; where it can't, the same driver."""
    if not issubclass(getattr(driver, "parser", type), KeyboardParser) or constants.DISABLE_KITTY_KEY:
        return driver

    class AskingDriver(driver):  # type: ignore[valid-type, misc]
        """Asks once a start; a terminal that does not answer is never told anything, and one that errs is put right."""

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
