"""A backend for mido without a device: inputs by the names a test gives, and bytes put into them as if by a cable.

It is chosen as any other backend is, by mido.set_backend or MIDO_BACKEND. As a program of its own, THROWBEAT_TEST_MIDI
names a pipe: then there is one input, fed by what is written to it.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from typing import Any

from mido import Parser
from mido.ports import BaseInput

PIPE = os.environ.get("THROWBEAT_TEST_MIDI", "")
names: list[str] = ["pipe"] if PIPE else []
opened: dict[str, Input] = {}
trouble: list[Exception] = []
"""What asking for the inputs raises, if anything."""


def get_devices(**_: Any) -> list[dict[str, Any]]:
    for error in trouble:
        raise error
    return [{"name": name, "is_input": True, "is_output": False} for name in names]


class Input(BaseInput):
    """An input; bytes put into it reach the callback as messages, in the thread that puts them."""

    def _open(self, callback: Callable[[Any], None], **_: Any) -> None:
        self._parser, self._told = Parser(), callback
        opened[self.name] = self
        if PIPE:
            threading.Thread(target=self._read, daemon=True).start()

    def _close(self) -> None:
        opened.pop(self.name, None)

    def put(self, data: bytes) -> None:
        for byte in data:
            self._parser.feed_byte(byte)
            for message in self._parser:
                self._told(message)

    def _read(self) -> None:
        with open(PIPE, "rb", buffering=0) as pipe:
            while data := pipe.read(16):
                self.put(data)
