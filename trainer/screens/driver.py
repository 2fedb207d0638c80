"""The terminal's driver: the library's own, except that bytes which are no text don't end its reading of keys."""

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
        """Reads on after bytes that are no UTF-8, as a line of noise or a paste in another encoding sends them.

        The library would stop reading keys for good. Only the bytes themselves are lost: keys that came in the
        same read are passed on.
        """

        def run_input_thread(self) -> None:
            while not self.exit_event.is_set():
                try:
                    super().run_input_thread()
                except UnicodeDecodeError as error:
                    for message in XTermParser().feed(error.object.decode(errors="ignore")):
                        self.process_message(message)

    return SteadyDriver if driver is LinuxDriver else driver
