"""A thread that makes one small step again and again until it is stopped."""

import threading
from collections.abc import Callable


class Ticking:
    """Calls `step` every `every_s` seconds from a thread of its own."""

    def __init__(self, step: Callable[[], None], every_s: float, name: str) -> None:
        self._step = step
        self._every_s = every_s
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._over.wait(self._every_s):
            self._step()

    def stop(self) -> None:
        """Wait for the step under way, then end the thread; a step may call this itself."""
        self._over.set()
        if self._thread is not threading.current_thread():
            self._thread.join()
