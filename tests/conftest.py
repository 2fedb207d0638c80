"""How many tests run at a time."""

from __future__ import annotations

import os


def pytest_xdist_auto_num_workers() -> int:
    """As many as there are cores: a test is busy from its begin to its end."""
    return max(2, os.cpu_count() or 1)
