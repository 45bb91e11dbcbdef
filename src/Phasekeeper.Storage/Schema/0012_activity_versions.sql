-- What people enter, change and cancel of planned activities: every version is kept, laid over what calendars say. The old table was never filled: calendars are kept whole as files.
DROP TABLE activity;

CREATE TABLE activityVersion (
    id       INTEGER PRIMARY KEY AUTOINCREMENT,
    activity TEXT    NOT NULL,                 -- id of the activity: the calendar's UID, with the start of the occurrence where it repeats
    kind     TEXT    NOT NULL,
    title    TEXT    NOT NULL,
    "from"   INTEGER NOT NULL,
    "to"     INTEGER NOT NULL,
    note     TEXT    NOT NULL,
    expects  TEXT,                             -- topics, joined by commas; null = those of the kind
    status   TEXT    NOT NULL CHECK (status IN ('planned', 'cancelled')),
    sequence INTEGER NOT NULL,                 -- SEQUENCE that it counts as: one more than what it was laid over
    actor    TEXT    NOT NULL,
    role     TEXT    NOT NULL,
    time     INTEGER NOT NULL,                 -- wall clock; its LAST-MODIFIED
    reason   TEXT    NOT NULL,
    CHECK ("to" >= "from")
);
CREATE INDEX activityVersionActivity ON activityVersion (activity, id);

CREATE TRIGGER activityVersionStays BEFORE UPDATE ON activityVersion BEGIN
    SELECT raise(ABORT, 'Versions of activities are never changed; add a new one.');
END;
CREATE TRIGGER activityVersionIsKept BEFORE DELETE ON activityVersion BEGIN
    SELECT raise(ABORT, 'Versions of activities are never deleted; cancel the activity.');
END;
