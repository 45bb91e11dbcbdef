-- Whoever proposed a set can take it back until someone decides about it: 'withdrawn', by the proposer and by nobody else. The table is made anew, since a CHECK cannot be changed, and under its own name: what refers to
-- it goes on doing so.
PRAGMA defer_foreign_keys = ON;
CREATE TABLE coefficientDecisionOld AS SELECT * FROM coefficientDecision;
DROP TABLE coefficientDecision;
CREATE TABLE coefficientDecision (
    id              INTEGER PRIMARY KEY,
    setId           INTEGER NOT NULL REFERENCES coefficientSet (id),
    decision        TEXT    NOT NULL CHECK (decision IN ('approved', 'declined', 'reinstated', 'withdrawn')),
    fromTime        INTEGER,
    fromOrbit       INTEGER,
    overLater       INTEGER NOT NULL DEFAULT 0,
    inPlaceOf       INTEGER REFERENCES coefficientSet (id),
    evidence        INTEGER REFERENCES coefficientEvidence (id),
    actor           TEXT    NOT NULL CHECK (length(trim(actor)) > 0),
    role            TEXT    NOT NULL CHECK (role IN ('calibration-lead', 'system') OR (decision = 'withdrawn' AND role IN ('analyst', 'administrator'))),
    address         TEXT,
    time            INTEGER NOT NULL,
    note            TEXT    NOT NULL CHECK (length(trim(note)) > 0),
    softwareVersion TEXT    NOT NULL,
    CHECK ((decision IN ('declined', 'withdrawn')) = (fromTime IS NULL))
);
INSERT INTO coefficientDecision (id, setId, decision, fromTime, fromOrbit, overLater, inPlaceOf, evidence, actor, role, address, time, note, softwareVersion)
SELECT id, setId, decision, fromTime, fromOrbit, overLater, inPlaceOf, evidence, actor, role, address, time, note, softwareVersion FROM coefficientDecisionOld ORDER BY id;
DROP TABLE coefficientDecisionOld;
CREATE INDEX coefficientDecisionSet ON coefficientDecision (setId);
-- A proposal is decided once.
CREATE UNIQUE INDEX coefficientDecidedOnce ON coefficientDecision (setId) WHERE decision IN ('approved', 'declined', 'withdrawn');

CREATE TRIGGER coefficientDecisionProposer BEFORE INSERT ON coefficientDecision
WHEN NEW.role <> 'system' AND NEW.decision <> 'withdrawn' AND EXISTS (SELECT 1 FROM coefficientSet WHERE id = NEW.setId AND lower(trim(proposedBy)) = lower(trim(NEW.actor)))
BEGIN SELECT RAISE(ABORT, 'proposer: who proposed a coefficient set does not decide about it'); END;
CREATE TRIGGER coefficientDecisionWithdrawn BEFORE INSERT ON coefficientDecision
WHEN NEW.decision = 'withdrawn' AND NOT EXISTS (SELECT 1 FROM coefficientSet WHERE id = NEW.setId AND proposedBy = NEW.actor)
BEGIN SELECT RAISE(ABORT, 'withdrawn: only who proposed a coefficient set takes it back'); END;
-- The program decides nothing but that a mission begins with the set of its profile.
CREATE TRIGGER coefficientDecisionSystem BEFORE INSERT ON coefficientDecision
WHEN NEW.role = 'system' AND (NEW.decision <> 'approved' OR EXISTS (SELECT 1 FROM coefficientDecision)
    OR NOT EXISTS (SELECT 1 FROM coefficientSet WHERE id = NEW.setId AND source = 'profile'))
BEGIN SELECT RAISE(ABORT, 'system: only the first set of a mission comes into force without a person'); END;
CREATE TRIGGER coefficientDecisionReinstated BEFORE INSERT ON coefficientDecision
WHEN NEW.decision = 'reinstated' AND NOT EXISTS (SELECT 1 FROM coefficientDecision WHERE setId = NEW.setId AND decision = 'approved')
BEGIN SELECT RAISE(ABORT, 'reinstated: only a set that was approved once can come back'); END;
CREATE TRIGGER coefficientDecisionKept BEFORE UPDATE ON coefficientDecision BEGIN SELECT RAISE(ABORT, 'kept: decisions are never changed'); END;
CREATE TRIGGER coefficientDecisionStays BEFORE DELETE ON coefficientDecision BEGIN SELECT RAISE(ABORT, 'kept: decisions are never deleted'); END;

-- INSERT OR REPLACE would remove a row without asking the triggers that keep it.
CREATE TRIGGER coefficientDecisionNotReplaced BEFORE INSERT ON coefficientDecision
WHEN EXISTS (SELECT 1 FROM coefficientDecision WHERE id = NEW.id)
    OR (NEW.decision <> 'reinstated' AND EXISTS (SELECT 1 FROM coefficientDecision WHERE setId = NEW.setId AND decision <> 'reinstated'))
BEGIN SELECT RAISE(ABORT, 'decided: a proposal is decided once, and decisions are never replaced'); END;
CREATE TRIGGER coefficientSetNotReplaced BEFORE INSERT ON coefficientSet
WHEN EXISTS (SELECT 1 FROM coefficientSet WHERE id = NEW.id OR hash = NEW.hash)
BEGIN SELECT RAISE(ABORT, 'kept: coefficient sets are never replaced'); END;
CREATE TRIGGER coefficientEvidenceNotReplaced BEFORE INSERT ON coefficientEvidence
WHEN EXISTS (SELECT 1 FROM coefficientEvidence WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'kept: evidence is never replaced'); END;
