"""How many tests run at a time, and when a screen under test has come to rest."""

from __future__ import annotations

import os
import time
from asyncio import sleep

import textual.app
import textual.pilot

REST_S = 0.02
BUSY_S = 0.001
LATE_S = 0.004


def pytest_xdist_auto_num_workers() -> int:
    """Half as many again as there are cores: a test that drives a screen waits nearly half of its time."""
    return max(2, (os.cpu_count() or 1) * 3 // 2)


async def wait_for_idle(min_sleep: float = REST_S, max_sleep: float = 5.0) -> None:
    """The library's own, but a process that only was not let to a core is not at rest: it wakes too late."""
    began_s = now_s = time.monotonic()
    while now_s < began_s + max_sleep:
        slept_s, used_s = now_s, time.process_time()
        await sleep(REST_S)
        now_s, used_s = time.monotonic(), time.process_time() - used_s
        if now_s > began_s + min_sleep and used_s < BUSY_S and now_s < slept_s + REST_S + LATE_S:
            return


for module in (textual.app, textual.pilot):
    assert hasattr(module, "wait_for_idle")
    module.wait_for_idle = wait_for_idle
