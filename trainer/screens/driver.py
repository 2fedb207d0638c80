"""The terminal's driver: the library's own, mended where bytes that are no text or a stop from outside broke it."""

from __future__ import annotations

import sys

from textual._xterm_parser import XTermParser
from textual.driver import Driver


def steady(driver: type[Driver]) -> type[Driver]:
    """The driver to use for one of the library's."""
    if sys.platform == "win32":
        return driver
    from textual.drivers.linux_driver import LinuxDriver

    class SteadyDriver(LinuxDriver):
        """Reads keys whatever comes, and has the terminal to itself once."""

        def run_input_thread(self) -> None:
            """Read on after bytes that are no UTF-8, as a line of noise or a paste in another encoding sends them.

            The library would stop reading keys for good. Only those bytes are lost: keys that came in the same
            read are passed on.
            """
            while not self.exit_event.is_set():
                try:
                    super().run_input_thread()
                except UnicodeDecodeError as error:
                    for message in XTermParser().feed(error.object.decode(errors="ignore")):
                        self.process_message(message)

        def _sigcont_application(self, *arguments: object) -> None:
            """Begin anew also after a stop nobody asked for (SIGSTOP), when the terminal was never given back.

            The library would read each key twice from then on, and leave the terminal raw in the end. A terminal
            that is closed sends this too, right behind the hang-up: then there is nothing to begin anew, and a
            second reader of a terminal that is gone would keep the process alive.
            """
            if self._app._exit:
                return
            if self._auto_restart and self._key_thread is not None and self._key_thread.is_alive():
                self.suspend_application_mode()
                self._must_signal_resume = True
            super()._sigcont_application(*arguments)

    return SteadyDriver if driver is LinuxDriver else driver
