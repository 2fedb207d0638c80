"""The history of the logbook's tables: one entry a version, only ever added to. How to add one: DEVELOPERS.md.

Entry n (from 1) brings a logbook of version n − 1 to version n, inside one transaction. SQLite from 3.31 on.
"""

from __future__ import annotations

from typing import Final

APPLICATION_ID: Final = 0x74776274  # "twbt" in the file's header: tells our logbook from other programs' databases

# Of version 1's started_at, as datetime.isoformat writes it: the offset stands behind the seconds and their fractions.
_OFFSET: Final = "substr(started_at, CASE substr(started_at, 20, 1) WHEN '.' THEN 27 ELSE 20 END)"
OFFSET_S: Final = f"""CASE substr({_OFFSET}, 1, 1) WHEN '-' THEN -1 ELSE 1 END * (
    substr({_OFFSET}, 2, 2) * 3600 + substr({_OFFSET}, 5, 2) * 60 + COALESCE(NULLIF(substr({_OFFSET}, 8), ''), 0))"""
OWN_DAY: Final = "CAST(julianday(substr(a.started_at, 1, 10)) - julianday('1970-01-01') AS INTEGER)"

# The rows of `days`. A try is an attempt that was fair and whose catches are known.
_TOTALS_2: Final = """figure_id, day, tempo, COUNT(*), CAST(ROUND(COALESCE(SUM(seconds), 0) * 1000) AS INTEGER),
    COUNT(CASE WHEN fair THEN catches END),
    CAST(ROUND(COALESCE(SUM(CASE WHEN fair AND catches IS NOT NULL THEN seconds END), 0) * 1000) AS INTEGER),
    COALESCE(SUM(CASE WHEN fair THEN catches END), 0),
    COUNT(CASE WHEN fair AND catches >= flash_at THEN 1 END),
    COUNT(CASE WHEN fair AND catches >= qualify_at THEN 1 END), MAX(CASE WHEN fair THEN catches END)"""
TOTALS: Final = f"SELECT {_TOTALS_2}, COUNT(CASE WHEN fair AND ended = 'drop' THEN catches END) FROM attempts"

CHANCE_BITS: Final = 21  # of an identity, at its end; above them milliseconds since 1970, to the year 2109

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
    (  # 2: figures apart from attempts, identities for imports, climbs, plan runs, removal, totals by day
        """CREATE TABLE figures (            -- what bests are kept apart by; few, however many attempts
            id INTEGER PRIMARY KEY,
            pattern TEXT NOT NULL,
            name TEXT,
            objects INTEGER NOT NULL CHECK (objects >= 0),
            prop_id INTEGER NOT NULL REFERENCES props,
            counted_by TEXT NOT NULL CHECK (counted_by IN ('beat', 'taps', 'hand')),
            juggler_id INTEGER REFERENCES jugglers
        )""",
        """CREATE UNIQUE INDEX figures_once ON figures
            (pattern, COALESCE(name, ''), objects, prop_id, counted_by, COALESCE(juggler_id, 0))""",
        """INSERT INTO figures (pattern, name, objects, prop_id, counted_by, juggler_id)
            SELECT DISTINCT pattern, NULLIF(name, ''), objects, prop_id, counted_by, juggler_id FROM attempts""",
        """CREATE TABLE notes (
            id INTEGER PRIMARY KEY,
            text TEXT NOT NULL UNIQUE
        )""",
        "INSERT INTO notes (text) SELECT DISTINCT note FROM attempts WHERE note <> ''",
        """CREATE TABLE sessions_2 (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            started_utc_s REAL NOT NULL,     -- seconds since 1970 UTC
            utc_offset_s INTEGER NOT NULL,   -- of the clocks of that place and day
            attempts_from INTEGER NOT NULL   -- no attempt of the session has a lower number
        )""",
        f"""INSERT INTO sessions_2 SELECT id, started_utc_s, {OFFSET_S}, COALESCE(first, 1) FROM sessions
            LEFT JOIN (SELECT session_id, MIN(id) AS first FROM attempts GROUP BY session_id) ON session_id = id""",
        "DROP TABLE sessions",
        "ALTER TABLE sessions_2 RENAME TO sessions",
        """CREATE TABLE climbs (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            uid INTEGER NOT NULL UNIQUE,
            session_id INTEGER NOT NULL REFERENCES sessions,
            started_utc_s REAL NOT NULL,
            utc_offset_s INTEGER NOT NULL,
            ended_utc_s REAL,                -- NULL: not ended
            kind TEXT NOT NULL CHECK (kind IN ('tempo', 'objects')),
            rule TEXT NOT NULL CHECK (rule IN ('plain', 'staircase')),
            pattern TEXT NOT NULL,
            name TEXT,
            prop_id INTEGER NOT NULL REFERENCES props,
            counted_by TEXT NOT NULL CHECK (counted_by IN ('beat', 'taps', 'hand')),
            start TEXT NOT NULL,             -- exact, beats per minute; of an object climb, objects
            step TEXT NOT NULL,
            target TEXT,
            goal TEXT NOT NULL,
            up_after INTEGER NOT NULL CHECK (up_after > 0),      -- successes in a row
            down_after INTEGER NOT NULL CHECK (down_after > 0),  -- misses in a row
            rung_by TEXT,                    -- of an object climb: what stays the same from rung to rung
            threshold REAL,
            spread REAL
        )""",
        """CREATE TABLE plan_runs (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            uid INTEGER NOT NULL UNIQUE,
            session_id INTEGER NOT NULL REFERENCES sessions,
            started_utc_s REAL NOT NULL,
            utc_offset_s INTEGER NOT NULL,
            ended_utc_s REAL,                -- NULL: can be taken up again
            name TEXT NOT NULL,
            plan TEXT NOT NULL,              -- its TOML as it was when the run began
            block INTEGER NOT NULL CHECK (block >= 0),
            elapsed_s REAL NOT NULL CHECK (elapsed_s >= 0)
        )""",
        """CREATE TABLE attempts_2 (
            id INTEGER PRIMARY KEY AUTOINCREMENT,  -- the order they were written in
            uid INTEGER NOT NULL,            -- the same in every logbook it is imported into
            session_id INTEGER NOT NULL REFERENCES sessions,
            figure_id INTEGER NOT NULL REFERENCES figures,
            started_utc_s REAL NOT NULL,
            utc_offset_s INTEGER NOT NULL,
            day INTEGER NOT NULL,            -- it counts to, since 1970: its own, but see day_of in rows.py
            best INTEGER NOT NULL CHECK (best IN (0, 1)),        -- beat all fair ones of its figure before it
            tempo TEXT NOT NULL,             -- exact, such as '172' or '515/3' beats per minute
            dwell TEXT NOT NULL,             -- exact, such as '2/3'
            taps_unit TEXT CHECK (taps_unit IN ('catch', 'right', 'round')),
            catches INTEGER CHECK (catches >= 0),
            seconds REAL CHECK (seconds >= 0),
            ended TEXT CHECK (ended IN ('drop', 'collected', 'goal', 'given-up', 'time')),  -- NULL: under way
            flash_at INTEGER NOT NULL,
            qualify_at INTEGER NOT NULL,
            hiccups INTEGER NOT NULL CHECK (hiccups >= 0),
            fair INTEGER NOT NULL CHECK (fair IN (0, 1)),
            removed INTEGER NOT NULL CHECK (removed IN (0, 1)),  -- 1: counts nowhere, can be restored
            note_id INTEGER REFERENCES notes,
            climb_id INTEGER REFERENCES climbs,
            plan_run_id INTEGER REFERENCES plan_runs,
            block INTEGER CHECK (block >= 0),      -- of the plan, from 0
            owner TEXT,                      -- the process that began it and has not finished it
            tempo_bpm REAL GENERATED ALWAYS AS (CASE WHEN instr(tempo, '/')
                THEN CAST(tempo AS REAL) / CAST(substr(tempo, instr(tempo, '/') + 1) AS REAL)
                ELSE CAST(tempo AS REAL) END) VIRTUAL,
            CHECK (ended IS NOT NULL OR (catches IS NULL AND owner IS NOT NULL))
        )""",
        # `day` and `best` as rows.day_of and figures.MARKS have them, for all attempts at once.
        f"""INSERT INTO attempts_2 (id, uid, session_id, figure_id, started_utc_s, utc_offset_s, day, best, tempo,
                dwell, taps_unit, catches, seconds, ended, flash_at, qualify_at, hiccups, fair, removed, note_id, owner)
            SELECT a.id, CAST(a.started_utc_s * 1000 AS INTEGER) << {CHANCE_BITS} | (a.id & (1 << {CHANCE_BITS}) - 1),
                a.session_id, a.figure_id, a.started_utc_s, a.utc_offset_s, a.day,
                COALESCE(a.fair AND a.catches > COALESCE(MAX(CASE WHEN a.fair THEN a.catches END) OVER (
                    PARTITION BY a.figure_id ORDER BY a.day, a.id
                    ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING), 0), 0),
                a.tempo, a.dwell, a.taps_unit, a.catches, a.seconds, a.ended, a.flash_at, a.qualify_at, a.hiccups,
                a.fair, 0, (SELECT id FROM notes WHERE text = a.note), a.owner
            FROM (SELECT *, CASE WHEN latest <= own + 7 THEN latest ELSE own END AS day
                FROM (SELECT a.*, f.id AS figure_id, {OFFSET_S} AS utc_offset_s, {OWN_DAY} AS own,
                    MAX({OWN_DAY}) OVER (ORDER BY a.id) AS latest
                    FROM attempts a JOIN figures f ON f.pattern = a.pattern
                        AND COALESCE(f.name, '') = COALESCE(a.name, '') AND f.objects = a.objects
                        AND f.prop_id = a.prop_id AND f.counted_by = a.counted_by
                        AND COALESCE(f.juggler_id, 0) = COALESCE(a.juggler_id, 0))) a
            ORDER BY a.id""",
        "DROP TABLE attempts",
        "ALTER TABLE attempts_2 RENAME TO attempts",
        "CREATE UNIQUE INDEX attempts_once ON attempts (uid)",
        # Of what lists and totals are made from. With the number of the row, which every index ends with, the first
        # is the order of the list; the catches save a look into the row.
        "CREATE INDEX attempts_by_day ON attempts (day) WHERE removed = 0 AND ended IS NOT NULL",
        """CREATE INDEX attempts_by_figure ON attempts (figure_id, day, catches)
            WHERE removed = 0 AND ended IS NOT NULL""",
        "CREATE INDEX attempts_best ON attempts (figure_id, day) WHERE best = 1",
        """CREATE INDEX attempts_by_note ON attempts (note_id, figure_id, day)
            WHERE note_id IS NOT NULL AND removed = 0 AND ended IS NOT NULL""",
        "CREATE INDEX attempts_removed ON attempts (id) WHERE removed = 1",
        "CREATE INDEX attempts_by_climb ON attempts (climb_id) WHERE climb_id IS NOT NULL",
        "CREATE INDEX attempts_by_plan_run ON attempts (plan_run_id) WHERE plan_run_id IS NOT NULL",
        "CREATE INDEX attempts_under_way ON attempts (owner) WHERE ended IS NULL",
        """CREATE TABLE days (               -- totals of what has ended and is not removed
            figure_id INTEGER NOT NULL REFERENCES figures,
            day INTEGER NOT NULL,
            tempo TEXT NOT NULL,
            attempts INTEGER NOT NULL,
            attempts_ms INTEGER NOT NULL,
            tries INTEGER NOT NULL,          -- fair, and the catches known: the rest of the row is of these
            tries_ms INTEGER NOT NULL,
            catches INTEGER NOT NULL,
            flashes INTEGER NOT NULL,
            qualifies INTEGER NOT NULL,
            most INTEGER,                    -- catches
            PRIMARY KEY (figure_id, day, tempo)
        ) WITHOUT ROWID""",
        f"""INSERT INTO days SELECT {_TOTALS_2} FROM attempts WHERE ended IS NOT NULL AND removed = 0
            GROUP BY figure_id, day, tempo""",
        """CREATE TABLE corrections_2 (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            attempt_id INTEGER NOT NULL REFERENCES attempts,
            corrected_at TEXT NOT NULL,      -- ISO 8601 with the offset of that place and day
            field TEXT NOT NULL CHECK (field IN ('catches', 'ended', 'fair', 'note', 'removed')),
            before,
            after
        )""",
        "INSERT INTO corrections_2 SELECT * FROM corrections",
        "DROP TABLE corrections",
        "ALTER TABLE corrections_2 RENAME TO corrections",
        "CREATE INDEX corrections_by_attempt ON corrections (attempt_id)",
        """CREATE TRIGGER corrections_are_not_changed BEFORE UPDATE ON corrections
            BEGIN SELECT RAISE(ABORT, 'a correction is never changed'); END""",
        """CREATE TRIGGER corrections_are_not_removed BEFORE DELETE ON corrections
            BEGIN SELECT RAISE(ABORT, 'a correction is never removed'); END""",
    ),
    (  # 3: days tell how many tries ended in a drop
        "ALTER TABLE days ADD COLUMN drops INTEGER NOT NULL DEFAULT 0",
        "DELETE FROM days",
        f"INSERT INTO days {TOTALS} WHERE ended IS NOT NULL AND removed = 0 GROUP BY figure_id, day, tempo",
    ),
    (  # 4: each order of the list has an index, with the figure and the note a filter asks for
        "DROP INDEX attempts_by_day",
        """CREATE INDEX attempts_by_day ON attempts (day, id, figure_id, note_id)
            WHERE removed = 0 AND ended IS NOT NULL""",
        """CREATE INDEX attempts_by_catches ON attempts (COALESCE(catches, -1), day, id, figure_id, note_id)
            WHERE removed = 0 AND ended IS NOT NULL""",
        """CREATE INDEX attempts_by_seconds ON attempts (COALESCE(seconds, -1), day, id, figure_id, note_id)
            WHERE removed = 0 AND ended IS NOT NULL""",
        """CREATE INDEX attempts_by_tempo ON attempts (tempo_bpm, day, id, figure_id, note_id)
            WHERE removed = 0 AND ended IS NOT NULL""",
    ),
)
