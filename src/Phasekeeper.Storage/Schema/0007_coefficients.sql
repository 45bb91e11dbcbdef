-- Coefficient sets, evidence and decisions are appended and never changed: the store itself refuses, whoever asks and by whatever road.

-- Evidence is computed after a set is proposed, and again when the set in force has changed: the newest counts, and a decision names the one that was seen.
CREATE TABLE coefficientEvidence (
    id              INTEGER PRIMARY KEY,
    setId           INTEGER NOT NULL REFERENCES coefficientSet (id),
    against         INTEGER REFERENCES coefficientSet (id),
    computed        INTEGER NOT NULL,
    document        TEXT    NOT NULL CHECK (json_valid(document)),
    softwareVersion TEXT    NOT NULL
);
CREATE INDEX coefficientEvidenceSet ON coefficientEvidence (setId, id);
INSERT INTO coefficientEvidence (setId, computed, document, softwareVersion)
SELECT id, proposed, evidence, '' FROM coefficientSet WHERE evidence <> '{}' AND json_valid(evidence);
ALTER TABLE coefficientSet DROP COLUMN evidence;

-- source: where a set comes from; reason: why it is proposed; against: the set that was in force where it was meant to begin.
ALTER TABLE coefficientSet ADD COLUMN source TEXT NOT NULL DEFAULT 'profile' CHECK (source IN ('profile', 'by hand', 'fit', 'system'));
ALTER TABLE coefficientSet ADD COLUMN reason TEXT NOT NULL DEFAULT '';
ALTER TABLE coefficientSet ADD COLUMN against INTEGER REFERENCES coefficientSet (id);
ALTER TABLE coefficientSet ADD COLUMN proposedRole TEXT NOT NULL DEFAULT 'system';
ALTER TABLE coefficientSet ADD COLUMN proposedFrom TEXT;
ALTER TABLE coefficientSet ADD COLUMN softwareVersion TEXT NOT NULL DEFAULT '';

-- fromOrbit NULL: the start lay beyond every orbit file when it was decided; then the first ascending node at or after fromTime counts.
-- overLater 1: entries of the time line behind the start go; 0: the next one takes over where it begins.
CREATE TABLE coefficientDecisionNew (
    id              INTEGER PRIMARY KEY,
    setId           INTEGER NOT NULL REFERENCES coefficientSet (id),
    decision        TEXT    NOT NULL CHECK (decision IN ('approved', 'declined', 'reinstated')),
    fromTime        INTEGER,
    fromOrbit       INTEGER,
    overLater       INTEGER NOT NULL DEFAULT 0,
    inPlaceOf       INTEGER REFERENCES coefficientSet (id),
    evidence        INTEGER REFERENCES coefficientEvidence (id),
    actor           TEXT    NOT NULL CHECK (length(trim(actor)) > 0),
    role            TEXT    NOT NULL CHECK (role IN ('calibration-lead', 'system')),
    address         TEXT,
    time            INTEGER NOT NULL,
    note            TEXT    NOT NULL CHECK (length(trim(note)) > 0),
    softwareVersion TEXT    NOT NULL,
    CHECK ((decision = 'declined') = (fromTime IS NULL))
);
-- Until now the profile alone decided: its first set, from the beginning.
INSERT INTO coefficientDecisionNew (id, setId, decision, fromTime, actor, role, time, note, softwareVersion)
SELECT id, setId, decision, CASE WHEN decision = 'declined' THEN NULL ELSE fromTime END, actor, 'system', time, CASE WHEN length(trim(note)) > 0 THEN note ELSE '–' END, '' FROM coefficientDecision;
DROP TABLE coefficientDecision;
ALTER TABLE coefficientDecisionNew RENAME TO coefficientDecision;
CREATE INDEX coefficientDecisionSet ON coefficientDecision (setId);
-- A proposal is decided once.
CREATE UNIQUE INDEX coefficientDecidedOnce ON coefficientDecision (setId) WHERE decision IN ('approved', 'declined');

CREATE TRIGGER coefficientDecisionProposer BEFORE INSERT ON coefficientDecision
WHEN NEW.role <> 'system' AND EXISTS (SELECT 1 FROM coefficientSet WHERE id = NEW.setId AND lower(trim(proposedBy)) = lower(trim(NEW.actor)))
BEGIN SELECT RAISE(ABORT, 'proposer: who proposed a coefficient set does not decide about it'); END;
-- The program decides nothing but that a mission begins with the set of its profile.
CREATE TRIGGER coefficientDecisionSystem BEFORE INSERT ON coefficientDecision
WHEN NEW.role = 'system' AND (NEW.decision <> 'approved' OR EXISTS (SELECT 1 FROM coefficientDecision)
    OR NOT EXISTS (SELECT 1 FROM coefficientSet WHERE id = NEW.setId AND source = 'profile'))
BEGIN SELECT RAISE(ABORT, 'system: only the first set of a mission comes into force without a person'); END;
CREATE TRIGGER coefficientDecisionReinstated BEFORE INSERT ON coefficientDecision
WHEN NEW.decision = 'reinstated' AND NOT EXISTS (SELECT 1 FROM coefficientDecision WHERE setId = NEW.setId AND decision = 'approved')
BEGIN SELECT RAISE(ABORT, 'reinstated: only a set that was approved once can come back'); END;

CREATE TRIGGER coefficientSetKept BEFORE UPDATE ON coefficientSet BEGIN SELECT RAISE(ABORT, 'kept: coefficient sets are never changed'); END;
CREATE TRIGGER coefficientSetStays BEFORE DELETE ON coefficientSet BEGIN SELECT RAISE(ABORT, 'kept: coefficient sets are never deleted'); END;
CREATE TRIGGER coefficientDecisionKept BEFORE UPDATE ON coefficientDecision BEGIN SELECT RAISE(ABORT, 'kept: decisions are never changed'); END;
CREATE TRIGGER coefficientDecisionStays BEFORE DELETE ON coefficientDecision BEGIN SELECT RAISE(ABORT, 'kept: decisions are never deleted'); END;
CREATE TRIGGER coefficientEvidenceKept BEFORE UPDATE ON coefficientEvidence BEGIN SELECT RAISE(ABORT, 'kept: evidence is never changed'); END;
CREATE TRIGGER coefficientEvidenceStays BEFORE DELETE ON coefficientEvidence BEGIN SELECT RAISE(ABORT, 'kept: evidence is never deleted'); END;

-- What a decision makes again. The stretch is [fromTime, toTime), NULL = it goes on; worked… measure the pace.
CREATE TABLE reprocessing (
    decision     INTEGER PRIMARY KEY REFERENCES coefficientDecision (id),
    fromTime     INTEGER NOT NULL,
    toTime       INTEGER,
    firstOrbit   INTEGER,
    lastOrbit    INTEGER,
    orbits       INTEGER NOT NULL,
    takenOver    INTEGER NOT NULL DEFAULT 0,
    started      INTEGER NOT NULL,
    finished     INTEGER,
    workedOrbits INTEGER NOT NULL DEFAULT 0,
    workedMs     INTEGER NOT NULL DEFAULT 0,
    retired      INTEGER,
    retiredBy    TEXT,
    retireReason TEXT
);
-- Orbits whose products are still those of another set than the one decided: setId. working 1: their marks are in the work queue.
CREATE TABLE reprocessingOrbit (
    orbit    INTEGER PRIMARY KEY,
    decision INTEGER NOT NULL REFERENCES reprocessing (decision),
    setId    INTEGER NOT NULL REFERENCES coefficientSet (id),
    working  INTEGER NOT NULL DEFAULT 0
);
CREATE INDEX reprocessingOrbitDecision ON reprocessingOrbit (decision, working);
-- Winds along the line of sight as they were before a decision: what comparing needs, at a tenth of their size, until a lead retires them.
CREATE TABLE formerWind (
    decision        INTEGER NOT NULL REFERENCES reprocessing (decision),
    orbit           INTEGER NOT NULL,
    time            INTEGER NOT NULL,
    exposure        INTEGER NOT NULL,
    view            TEXT    NOT NULL,
    line            TEXT    NOT NULL,
    rows            INTEGER NOT NULL,
    vectors         BLOB    NOT NULL,
    coefficientSet  INTEGER,
    softwareVersion TEXT    NOT NULL,
    PRIMARY KEY (decision, orbit, time, exposure, view, line)
) WITHOUT ROWID;
