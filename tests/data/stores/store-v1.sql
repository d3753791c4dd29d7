-- A store of version 1 as the first release wrote it, frozen.
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE prompt_event (
    id       INTEGER PRIMARY KEY,
    kind     TEXT    NOT NULL,
    night    TEXT    NOT NULL,
    slot     TEXT    NOT NULL DEFAULT '',
    at_ms    INTEGER NOT NULL,
    offset_s INTEGER NOT NULL,
    event    TEXT    NOT NULL
) STRICT;
INSERT INTO prompt_event VALUES(1,'morning','2026-01-05','',1772355600000,0,'{"what":"answered","answer":"done"}');
INSERT INTO prompt_event VALUES(2,'morning','2026-01-06','',1772355600000,0,'{"what":"answered","answer":"done"}');
INSERT INTO prompt_event VALUES(3,'morning','2026-01-07','',1772355600000,0,'{"what":"answered","answer":"done"}');
INSERT INTO prompt_event VALUES(4,'session','2026-01-07','',1772355600000,0,'{"what":"answered","answer":"done"}');
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
CREATE TABLE fact (
    name   TEXT    PRIMARY KEY,
    value  TEXT    NOT NULL,
    at_ms  INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
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
INSERT INTO morning VALUES(1,NULL,'2026-01-05',1772355600000,0,'UTC',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,3,NULL,NULL,NULL,'',0,'for a test',0);
INSERT INTO morning VALUES(2,NULL,'2026-01-06',1772355600000,0,'UTC',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,3,NULL,NULL,NULL,'',0,'for a test',0);
INSERT INTO morning VALUES(3,NULL,'2026-01-07',1772355600000,0,'UTC',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,3,NULL,NULL,NULL,'',0,'for a test',0);
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
INSERT INTO session VALUES(1,NULL,'2026-01-07',1772355600000,0,'UTC','done',NULL,30.0,6.0,NULL,NULL,'[]','');
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
CREATE TABLE kept (
    id       INTEGER PRIMARY KEY,
    date     TEXT    NOT NULL,
    at_ms    INTEGER NOT NULL,
    offset_s INTEGER NOT NULL,
    zone     TEXT    NOT NULL,
    kept     INTEGER NOT NULL CHECK (kept IN (0, 1))
) STRICT;
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
CREATE TABLE comparison_stop (
    comparison INTEGER PRIMARY KEY REFERENCES comparison (id),
    at_ms      INTEGER NOT NULL,
    offset_s   INTEGER NOT NULL,
    zone       TEXT    NOT NULL,
    night      TEXT    NOT NULL
) STRICT;
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
CREATE TABLE calendar_back (
    calendar INTEGER PRIMARY KEY REFERENCES calendar (id),
    at_ms    INTEGER NOT NULL,
    offset_s INTEGER NOT NULL,
    zone     TEXT    NOT NULL
) STRICT;
CREATE INDEX prompt_event_night ON prompt_event (night);
CREATE INDEX evening_night ON evening (night);
CREATE INDEX morning_night ON morning (night);
CREATE INDEX session_date ON session (date);
CREATE INDEX kept_date ON kept (date);
CREATE INDEX calendar_day_calendar ON calendar_day (calendar);
COMMIT;
PRAGMA user_version = 1;
