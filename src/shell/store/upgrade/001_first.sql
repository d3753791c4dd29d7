-- Instants are UTC milliseconds with the offset in force at the time; nights and dates are local
-- dates as text. Rows are only added.

CREATE TABLE prompt_event (
    id       INTEGER PRIMARY KEY,
    kind     TEXT    NOT NULL,
    night    TEXT    NOT NULL,
    slot     TEXT    NOT NULL DEFAULT '',
    at_ms    INTEGER NOT NULL,
    offset_s INTEGER NOT NULL,
    event    TEXT    NOT NULL
) STRICT;
CREATE INDEX prompt_event_night ON prompt_event (night);

CREATE TABLE evening (
    id          INTEGER PRIMARY KEY,
    night       TEXT    NOT NULL,
    routine     TEXT    NOT NULL,
    pattern     TEXT    NOT NULL,
    stretches   TEXT    NOT NULL,
    started_ms  INTEGER NOT NULL,
    offset_s    INTEGER NOT NULL,
    planned_s   INTEGER NOT NULL CHECK (planned_s >= 0),
    done_s      INTEGER NOT NULL CHECK (done_s >= 0)
) STRICT;
CREATE INDEX evening_night ON evening (night);

CREATE TABLE fact (
    name   TEXT    PRIMARY KEY,
    value  TEXT    NOT NULL,
    at_ms  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- One row a record of a night; a later row for the same night replaces the one it names.
CREATE TABLE morning (
    id                 INTEGER PRIMARY KEY,
    replaces           INTEGER UNIQUE REFERENCES morning (id),
    night              TEXT    NOT NULL,
    at_ms              INTEGER NOT NULL,
    offset_s           INTEGER NOT NULL,
    zone               TEXT    NOT NULL,
    into_bed_ms        INTEGER,
    into_bed_offset_s  INTEGER,
    lights_out_ms      INTEGER,
    lights_out_offset_s INTEGER,
    asleep_after_min   INTEGER CHECK (asleep_after_min >= 0),
    wakings            INTEGER CHECK (wakings >= 0),
    awake_for_min      INTEGER CHECK (awake_for_min >= 0),
    woke_ms            INTEGER,
    woke_offset_s      INTEGER,
    up_ms              INTEGER,
    up_offset_s        INTEGER,
    tried_after_min    INTEGER CHECK (tried_after_min >= 0),
    sleep_min          INTEGER CHECK (sleep_min >= 0),
    sleep_quality      INTEGER CHECK (sleep_quality BETWEEN 1 AND 5),
    freshness          INTEGER CHECK (freshness BETWEEN 1 AND 5),
    soreness           INTEGER CHECK (soreness BETWEEN 1 AND 5),
    mood               INTEGER CHECK (mood BETWEEN 1 AND 5),
    sore_in            TEXT    NOT NULL DEFAULT '',
    ill                INTEGER NOT NULL DEFAULT 0 CHECK (ill IN (0, 1)),
    note               TEXT    NOT NULL DEFAULT '',
    estimated          INTEGER NOT NULL DEFAULT 0 CHECK (estimated IN (0, 1))
) STRICT;
CREATE INDEX morning_night ON morning (night);

-- One row a record of a training day: a session done, or a day confirmed as rest. A row that replaces
-- another and is removed says that there was nothing.
CREATE TABLE session (
    id             INTEGER PRIMARY KEY,
    replaces       INTEGER UNIQUE REFERENCES session (id),
    date           TEXT    NOT NULL,
    at_ms          INTEGER NOT NULL,
    offset_s       INTEGER NOT NULL,
    zone           TEXT    NOT NULL,
    kind           TEXT    NOT NULL CHECK (kind IN ('done', 'rest', 'removed')),
    session        TEXT,
    minutes        REAL    CHECK (minutes BETWEEN 0 AND 600),
    rpe            REAL    CHECK (rpe BETWEEN 0 AND 10),
    ended_ms       INTEGER,
    ended_offset_s INTEGER,
    parts          TEXT    NOT NULL DEFAULT '[]',
    note           TEXT    NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX session_date ON session (date);

-- One row a report of pain or of a warning sign, or the closing of one.
CREATE TABLE pain (
    id       INTEGER PRIMARY KEY,
    replaces INTEGER UNIQUE REFERENCES pain (id),
    closes   INTEGER UNIQUE REFERENCES pain (id),
    date     TEXT    NOT NULL,
    at_ms    INTEGER NOT NULL,
    offset_s INTEGER NOT NULL,
    zone     TEXT    NOT NULL,
    site     TEXT,
    level    INTEGER CHECK (level BETWEEN 0 AND 10),
    kind     TEXT,
    since    TEXT,
    sign     TEXT,
    note     TEXT    NOT NULL DEFAULT ''
) STRICT;

-- Days on which the person chose to train as planned anyway (or took that back); the last row of a
-- date counts.
CREATE TABLE kept (
    id       INTEGER PRIMARY KEY,
    date     TEXT    NOT NULL,
    at_ms    INTEGER NOT NULL,
    offset_s INTEGER NOT NULL,
    zone     TEXT    NOT NULL,
    kept     INTEGER NOT NULL CHECK (kept IN (0, 1))
) STRICT;
CREATE INDEX kept_date ON kept (date);

-- Comparisons of two evenings, fixed with their draw before the first night. `a` and `b` are `none`,
-- `evening ID` or `pattern ID`; `pairs` is `2026-01-05 AB, 2026-01-07 BA`.
CREATE TABLE comparison (
    id       INTEGER PRIMARY KEY,
    at_ms    INTEGER NOT NULL,
    offset_s INTEGER NOT NULL,
    zone     TEXT    NOT NULL,
    a        TEXT    NOT NULL,
    b        TEXT    NOT NULL,
    outcome  TEXT    NOT NULL,
    pairs    TEXT    NOT NULL,
    seed     TEXT
) STRICT;

-- From which night on a comparison draws no more.
CREATE TABLE comparison_stop (
    comparison INTEGER PRIMARY KEY REFERENCES comparison (id),
    at_ms      INTEGER NOT NULL,
    offset_s   INTEGER NOT NULL,
    zone       TEXT    NOT NULL,
    night      TEXT    NOT NULL
) STRICT;

-- Calendars taken in, with the octets of the file as they were, so that a later version can read it
-- again; `calendar_back` names those taken back.
CREATE TABLE calendar (
    id         INTEGER PRIMARY KEY,
    at_ms      INTEGER NOT NULL,
    offset_s   INTEGER NOT NULL,
    zone       TEXT    NOT NULL,
    file       TEXT    NOT NULL,
    octets     BLOB    NOT NULL,
    from_date  TEXT    NOT NULL,
    until_date TEXT    NOT NULL
) STRICT;
CREATE TABLE calendar_day (
    calendar  INTEGER NOT NULL REFERENCES calendar (id),
    date      TEXT    NOT NULL,
    session   TEXT    NOT NULL,
    starts    TEXT,
    cancelled INTEGER NOT NULL CHECK (cancelled IN (0, 1))
) STRICT;
CREATE INDEX calendar_day_calendar ON calendar_day (calendar);
CREATE TABLE calendar_back (
    calendar INTEGER PRIMARY KEY REFERENCES calendar (id),
    at_ms    INTEGER NOT NULL,
    offset_s INTEGER NOT NULL,
    zone     TEXT    NOT NULL
) STRICT;
