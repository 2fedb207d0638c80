"""When the sittings of the tests begin."""

from datetime import UTC, datetime

DAWN = datetime(2026, 3, 1, 7, 30, tzinfo=UTC)
