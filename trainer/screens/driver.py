"""The terminal's driver: the library's own, except that bytes which are no text don't end its reading of keys."""

from __future__ import annotations

import sys

from textual.driver import Driver


def steady(driver: type[Driver]) -> type[Driver]:
    """The driver to use for one of the library's."""
    if sys.platform == "win32":
        return driver
    from textual.drivers.linux_driver import LinuxDriver

    class SteadyDriver(LinuxDriver):
        """Reads on after bytes that are no UTF-8, as a line of noise or a paste in another encoding sends them.

        What came in the same read is lost with them. The library would stop reading keys for good.
        """

        def run_input_thread(self) -> None:
            while not self.exit_event.is_set():
                try:
                    super().run_input_thread()
                except UnicodeDecodeError:
                    continue

    return SteadyDriver if driver is LinuxDriver else driver
