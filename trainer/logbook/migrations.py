"""The history of the logbook's tables: one entry a version, only ever added to. How to add one: DEVELOPERS.md.

Entry n (from 1) brings a logbook of version n − 1 to version n, inside one transaction. SQLite from 3.31 on.
"""

from __future__ import annotations

from typing import Final

APPLICATION_ID: Final = 0x74776274  # "twbt" in the file's header: tells our logbook from other programs' databases

MIGRATIONS: Final[tuple[tuple[str, ...], ...]] = (
    (  # 1: sessions of attempts, by a juggler with a prop
        """CREATE TABLE jugglers (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL UNIQUE
        )""",
        """CREATE TABLE props (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL UNIQUE
        )""",
        """CREATE TABLE sessions (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            started_at TEXT NOT NULL,        -- ISO 8601 with the offset of that place and day
            started_utc_s REAL NOT NULL      -- seconds since 1970 UTC
        )""",
        """CREATE TABLE attempts (
            id INTEGER PRIMARY KEY AUTOINCREMENT,  -- the order things happened in, whatever the clock said
            session_id INTEGER NOT NULL REFERENCES sessions,
            juggler_id INTEGER REFERENCES jugglers,
            prop_id INTEGER NOT NULL REFERENCES props,
            started_at TEXT NOT NULL,
            started_utc_s REAL NOT NULL,
            pattern TEXT NOT NULL,
            name TEXT,
            objects INTEGER NOT NULL CHECK (objects >= 0),
            tempo TEXT NOT NULL,             -- exact, such as '172' or '515/3' beats per minute
            dwell TEXT NOT NULL,             -- exact, such as '2/3'
            counted_by TEXT NOT NULL CHECK (counted_by IN ('beat', 'taps', 'hand')),
            taps_unit TEXT CHECK (taps_unit IN ('catch', 'right', 'round')),
            catches INTEGER CHECK (catches >= 0),
            seconds REAL CHECK (seconds >= 0),
            ended TEXT CHECK (ended IN ('drop', 'collected', 'goal', 'given-up', 'time')),  -- NULL: under way
            flash_at INTEGER NOT NULL,
            qualify_at INTEGER NOT NULL,
            hiccups INTEGER NOT NULL CHECK (hiccups >= 0),
            note TEXT NOT NULL,
            fair INTEGER NOT NULL CHECK (fair IN (0, 1)),
            owner TEXT,                      -- the process that began it and has not finished it
            CHECK (ended IS NOT NULL OR (catches IS NULL AND owner IS NOT NULL))
        )""",
        "CREATE INDEX attempts_by_figure ON attempts (pattern, prop_id, counted_by, fair, catches)",
        "CREATE INDEX attempts_by_session ON attempts (session_id)",
        "CREATE INDEX attempts_under_way ON attempts (owner) WHERE ended IS NULL",
        """CREATE TABLE corrections (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            attempt_id INTEGER NOT NULL REFERENCES attempts,
            corrected_at TEXT NOT NULL,
            field TEXT NOT NULL CHECK (field IN ('catches', 'ended', 'fair')),
            before,
            after
        )""",
        "CREATE INDEX corrections_by_attempt ON corrections (attempt_id)",
        """CREATE TRIGGER corrections_are_not_changed BEFORE UPDATE ON corrections
            BEGIN SELECT RAISE(ABORT, 'a correction is never changed'); END""",
        """CREATE TRIGGER corrections_are_not_removed BEFORE DELETE ON corrections
            BEGIN SELECT RAISE(ABORT, 'a correction is never removed'); END""",
    ),
)
