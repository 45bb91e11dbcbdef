-- What the team marks for one another: notes on stretches of time, and states of pages under a name. Neither is ever deleted: what is over is retired.
CREATE TABLE annotation (
    id        INTEGER PRIMARY KEY,
    "from"    INTEGER NOT NULL,
    "to"      INTEGER NOT NULL CHECK ("to" >= "from"),  -- equal: an instant
    text      TEXT    NOT NULL,
    view      TEXT,                                     -- what it speaks of, where it speaks of one thing; it is drawn on every plot of its time
    line      TEXT,
    channel   TEXT,
    actor     TEXT    NOT NULL,
    time      INTEGER NOT NULL,
    retired   INTEGER,
    retiredBy TEXT
);
-- Every plot of times asks for the notes of its stretch: one search, since no note is longer than AnnotationStore.LongestS.
CREATE INDEX annotationFrom ON annotation ("from") WHERE retired IS NULL;
CREATE TRIGGER annotationStays BEFORE DELETE ON annotation BEGIN SELECT RAISE(ABORT, 'kept: annotations are retired, never deleted'); END;

CREATE TABLE sharedView (
    id        INTEGER PRIMARY KEY,
    name      TEXT    NOT NULL,
    note      TEXT    NOT NULL DEFAULT '',
    address   TEXT    NOT NULL,             -- path and query of a page of this program
    actor     TEXT    NOT NULL,
    time      INTEGER NOT NULL,
    revision  INTEGER NOT NULL DEFAULT 0,   -- grows with every change: who changes it names the one that they saw
    changedBy TEXT    NOT NULL,
    changed   INTEGER NOT NULL,
    retired   INTEGER
);
CREATE UNIQUE INDEX sharedViewName ON sharedView (name COLLATE NOCASE) WHERE retired IS NULL;
CREATE TRIGGER sharedViewStays BEFORE DELETE ON sharedView BEGIN SELECT RAISE(ABORT, 'kept: shared views are retired, never deleted'); END;

-- Reports as they were made: the PDF itself with its hash, and what it was made of. One that could not be made is kept with the reason.
CREATE TABLE report (
    id       INTEGER PRIMARY KEY,
    kind     TEXT    NOT NULL CHECK (kind IN ('day', 'week')),
    first    TEXT    NOT NULL,          -- first UTC day, yyyy-MM-dd
    made     INTEGER NOT NULL,          -- wall clock
    actor    TEXT    NOT NULL,
    ground   TEXT    NOT NULL,          -- hash of the versions of all data that it shows: another one now means later data
    versions TEXT    NOT NULL,          -- the same in words
    failure  TEXT,                      -- why there is no PDF; null = there is one
    hash     BLOB,                      -- SHA-256 of the PDF
    length   INTEGER,                   -- bytes
    pdf      BLOB,
    CHECK ((failure IS NULL) = (pdf IS NOT NULL))
);
CREATE INDEX reportOf ON report (kind, first, id);
CREATE TRIGGER reportKept BEFORE UPDATE ON report BEGIN SELECT RAISE(ABORT, 'kept: reports are never changed'); END;
CREATE TRIGGER reportStays BEFORE DELETE ON report BEGIN SELECT RAISE(ABORT, 'kept: reports are never deleted'); END;
