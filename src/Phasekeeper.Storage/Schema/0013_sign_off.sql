-- What people say of a day's winds: only ever added to. The newest of a day counts; a UTC day is days since 1970-01-01.
CREATE TABLE signOff (
    id        INTEGER PRIMARY KEY,
    day       INTEGER NOT NULL,
    revision  INTEGER NOT NULL,          -- 1, 2, …: of two people at once only one can have the next
    verdict   TEXT    NOT NULL CHECK (verdict IN ('usable', 'remarks', 'held')),
    proposed  TEXT    NOT NULL CHECK (proposed IN ('usable', 'remarks', 'held')),
    proposal  TEXT    NOT NULL,          -- reasons and numbers as the person saw them, JSON
    ground    BLOB    NOT NULL,          -- what it rests on, compressed JSON: later facts are compared with it
    groundKey TEXT    NOT NULL,
    remark    TEXT    NOT NULL,
    actor     TEXT    NOT NULL,
    role      TEXT    NOT NULL,
    time      INTEGER NOT NULL,
    UNIQUE (day, revision)
);
-- Orbits that a person holds by themselves, or lets go: the newest row of an orbit counts.
CREATE TABLE orbitHold (
    id       INTEGER PRIMARY KEY,
    orbit    INTEGER NOT NULL,
    revision INTEGER NOT NULL,
    held     INTEGER NOT NULL CHECK (held IN (0, 1)),
    reason   TEXT    NOT NULL,
    actor    TEXT    NOT NULL,
    role     TEXT    NOT NULL,
    time     INTEGER NOT NULL,
    UNIQUE (orbit, revision)
);
-- From shift to shift.
CREATE TABLE handOver (
    id    INTEGER PRIMARY KEY,
    day   INTEGER,                       -- the day that it was written about; NULL: none in particular
    text  TEXT    NOT NULL,
    actor TEXT    NOT NULL,
    role  TEXT    NOT NULL,
    time  INTEGER NOT NULL
);
CREATE INDEX handOverDay ON handOver (day, id) WHERE day IS NOT NULL;
CREATE TABLE handOverRead (
    note  INTEGER NOT NULL REFERENCES handOver (id),
    actor TEXT    NOT NULL,
    time  INTEGER NOT NULL,
    PRIMARY KEY (note, actor)
) WITHOUT ROWID;
-- Winds of an orbit in figures, made with them: what tells the usual share and uncertainty without reading a month of winds.
CREATE TABLE windFigure (
    orbit  INTEGER NOT NULL,
    line   TEXT    NOT NULL,
    count  INTEGER NOT NULL,
    good   INTEGER NOT NULL,
    sigma  REAL,                         -- median 1σ of the good ones, m/s
    PRIMARY KEY (orbit, line)
) WITHOUT ROWID;

CREATE TRIGGER signOffKept BEFORE UPDATE ON signOff BEGIN SELECT RAISE(ABORT, 'kept: sign-offs are never changed; a later one supersedes'); END;
CREATE TRIGGER signOffStays BEFORE DELETE ON signOff BEGIN SELECT RAISE(ABORT, 'kept: sign-offs are never deleted'); END;
CREATE TRIGGER signOffNext BEFORE INSERT ON signOff WHEN NEW.revision <> (SELECT coalesce(max(revision), 0) + 1 FROM signOff WHERE day = NEW.day)
    BEGIN SELECT RAISE(ABORT, 'kept: a sign-off comes behind the newest of its day'); END;
CREATE TRIGGER orbitHoldKept BEFORE UPDATE ON orbitHold BEGIN SELECT RAISE(ABORT, 'kept: holds are never changed; release the orbit'); END;
CREATE TRIGGER orbitHoldStays BEFORE DELETE ON orbitHold BEGIN SELECT RAISE(ABORT, 'kept: holds are never deleted; release the orbit'); END;
CREATE TRIGGER orbitHoldNext BEFORE INSERT ON orbitHold WHEN NEW.revision <> (SELECT coalesce(max(revision), 0) + 1 FROM orbitHold WHERE orbit = NEW.orbit)
    BEGIN SELECT RAISE(ABORT, 'kept: a hold comes behind the newest of its orbit'); END;
CREATE TRIGGER handOverKept BEFORE UPDATE ON handOver BEGIN SELECT RAISE(ABORT, 'kept: hand-over notes are never changed'); END;
CREATE TRIGGER handOverStays BEFORE DELETE ON handOver BEGIN SELECT RAISE(ABORT, 'kept: hand-over notes are never deleted'); END;
CREATE TRIGGER handOverReadKept BEFORE UPDATE ON handOverRead BEGIN SELECT RAISE(ABORT, 'kept: who read a note is never changed'); END;
CREATE TRIGGER handOverReadStays BEFORE DELETE ON handOverRead BEGIN SELECT RAISE(ABORT, 'kept: who read a note is never deleted'); END;
