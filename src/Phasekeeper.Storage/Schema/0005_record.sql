-- The record of decisions and changes: rows are added at the end and never touched again; RecordStore chains them by their hashes.
-- A program that holds this database cannot change or remove one by mistake; whoever takes the triggers away is found out by the chain.
CREATE TABLE record (
    number   INTEGER PRIMARY KEY, -- from 1, without gaps
    time     INTEGER NOT NULL,    -- wall clock, TAI nanoseconds
    person   TEXT NOT NULL,
    role     TEXT NOT NULL,
    address  TEXT,                -- where the request came from; null for the program itself
    what     TEXT NOT NULL,       -- kind of decision or change, e.g. flag.acknowledge
    subject  TEXT NOT NULL,       -- what it is about
    before   TEXT,                -- JSON
    after    TEXT,                -- JSON
    reason   TEXT,
    previous BLOB NOT NULL,       -- hash of the entry before; 32 zeros for the first
    hash     BLOB NOT NULL
) STRICT;
CREATE INDEX recordPerson ON record (person);
CREATE INDEX recordWhat ON record (what);
CREATE INDEX recordSubject ON record (subject);

CREATE TRIGGER recordNoUpdate BEFORE UPDATE ON record
BEGIN
    SELECT RAISE(ABORT, 'The record is never changed: add an entry that corrects an earlier one.');
END;

CREATE TRIGGER recordNoDelete BEFORE DELETE ON record
BEGIN
    SELECT RAISE(ABORT, 'Nothing is removed from the record.');
END;

-- INSERT OR REPLACE would remove a row without asking the trigger above.
CREATE TRIGGER recordAtTheEnd BEFORE INSERT ON record
WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM record)
BEGIN
    SELECT RAISE(ABORT, 'Entries of the record are added at its end, one behind the other.');
END;
