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
