-- Versions of the flag rules, proposals to change them, rehearsals as evidence, and decisions: appended and never changed, whoever asks and by whatever road.

-- source 'profile': the mission's first rules, or a rules file that differs from them at a later start. rule NULL: the whole set. rules: the whole set as it would be, rules.json.
CREATE TABLE ruleProposal (
    id              INTEGER PRIMARY KEY,
    source          TEXT    NOT NULL CHECK (source IN ('profile', 'by hand')),
    rule            TEXT,
    rules           TEXT    NOT NULL CHECK (json_valid(rules)),
    hash            BLOB    NOT NULL,
    against         INTEGER REFERENCES ruleVersion (id),
    proposedBy      TEXT    NOT NULL CHECK (length(trim(proposedBy)) > 0),
    proposedRole    TEXT    NOT NULL CHECK (proposedRole IN ('analyst', 'calibration-lead', 'administrator', 'system')),
    proposedFrom    TEXT,
    proposed        INTEGER NOT NULL,
    reason          TEXT    NOT NULL CHECK (length(trim(reason)) > 0),
    softwareVersion TEXT    NOT NULL
);
CREATE INDEX ruleProposalHash ON ruleProposal (hash);

-- What a rehearsal of the proposal showed; the newest counts, and a decision names the one that was seen.
CREATE TABLE ruleEvidence (
    id              INTEGER PRIMARY KEY,
    proposal        INTEGER NOT NULL REFERENCES ruleProposal (id),
    document        TEXT    NOT NULL CHECK (json_valid(document)),
    computed        INTEGER NOT NULL,
    softwareVersion TEXT    NOT NULL
);
CREATE INDEX ruleEvidenceProposal ON ruleEvidence (proposal, id);

CREATE TABLE ruleDecision (
    id              INTEGER PRIMARY KEY,
    proposal        INTEGER NOT NULL REFERENCES ruleProposal (id),
    decision        TEXT    NOT NULL CHECK (decision IN ('approved', 'declined', 'withdrawn')),
    fromOrbit       INTEGER,
    inPlaceOf       INTEGER REFERENCES ruleVersion (id),
    evidence        INTEGER REFERENCES ruleEvidence (id),
    actor           TEXT    NOT NULL CHECK (length(trim(actor)) > 0),
    role            TEXT    NOT NULL CHECK (role IN ('calibration-lead', 'system') OR (decision = 'withdrawn' AND role IN ('analyst', 'administrator'))),
    address         TEXT,
    time            INTEGER NOT NULL,
    note            TEXT    NOT NULL CHECK (length(trim(note)) > 0),
    softwareVersion TEXT    NOT NULL,
    CHECK (decision = 'approved' OR (fromOrbit IS NULL AND inPlaceOf IS NULL)),
    CHECK (decision <> 'approved' OR role = 'system' OR fromOrbit IS NOT NULL)
);
-- A proposal is decided once.
CREATE UNIQUE INDEX ruleDecidedOnce ON ruleDecision (proposal);

-- Rules in force from an orbit on (NULL: from the beginning). Of two that begin together the later one counts.
CREATE TABLE ruleVersion (
    id        INTEGER PRIMARY KEY,
    decision  INTEGER NOT NULL UNIQUE REFERENCES ruleDecision (id),
    rules     TEXT    NOT NULL CHECK (json_valid(rules)),
    hash      BLOB    NOT NULL,
    fromOrbit INTEGER
);

CREATE TRIGGER ruleDecisionProposer BEFORE INSERT ON ruleDecision
WHEN NEW.role <> 'system' AND NEW.decision <> 'withdrawn' AND EXISTS (SELECT 1 FROM ruleProposal WHERE id = NEW.proposal AND lower(trim(proposedBy)) = lower(trim(NEW.actor)))
BEGIN SELECT RAISE(ABORT, 'proposer: who proposed a change of the rules does not decide about it'); END;
CREATE TRIGGER ruleDecisionWithdrawn BEFORE INSERT ON ruleDecision
WHEN NEW.decision = 'withdrawn' AND NOT EXISTS (SELECT 1 FROM ruleProposal WHERE id = NEW.proposal AND proposedBy = NEW.actor)
BEGIN SELECT RAISE(ABORT, 'withdrawn: only who proposed a change of the rules takes it back'); END;
-- The program decides nothing but that a mission begins with the rules of its profile.
CREATE TRIGGER ruleDecisionSystem BEFORE INSERT ON ruleDecision
WHEN NEW.role = 'system' AND (NEW.decision <> 'approved' OR EXISTS (SELECT 1 FROM ruleDecision) OR NOT EXISTS (SELECT 1 FROM ruleProposal WHERE id = NEW.proposal AND source = 'profile'))
BEGIN SELECT RAISE(ABORT, 'system: only the first rules of a mission come into force without a person'); END;
CREATE TRIGGER ruleVersionDecided BEFORE INSERT ON ruleVersion
WHEN NOT EXISTS (SELECT 1 FROM ruleDecision WHERE id = NEW.decision AND decision = 'approved' AND fromOrbit IS NEW.fromOrbit)
BEGIN SELECT RAISE(ABORT, 'version: rules come into force by an approval alone, from the orbit that it names'); END;
-- What was in force before stays so: a version never begins before one that was decided earlier.
CREATE TRIGGER ruleVersionOrder BEFORE INSERT ON ruleVersion
WHEN EXISTS (SELECT 1 FROM ruleVersion) AND (NEW.fromOrbit IS NULL OR NEW.fromOrbit < (SELECT coalesce(max(fromOrbit), NEW.fromOrbit) FROM ruleVersion))
BEGIN SELECT RAISE(ABORT, 'order: rules begin at or after the version before them'); END;

CREATE TRIGGER ruleProposalKept BEFORE UPDATE ON ruleProposal BEGIN SELECT RAISE(ABORT, 'kept: proposals are never changed'); END;
CREATE TRIGGER ruleProposalStays BEFORE DELETE ON ruleProposal BEGIN SELECT RAISE(ABORT, 'kept: proposals are never deleted'); END;
CREATE TRIGGER ruleProposalNew BEFORE INSERT ON ruleProposal WHEN EXISTS (SELECT 1 FROM ruleProposal WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'kept: proposals are never replaced'); END;
CREATE TRIGGER ruleEvidenceKept BEFORE UPDATE ON ruleEvidence BEGIN SELECT RAISE(ABORT, 'kept: evidence is never changed'); END;
CREATE TRIGGER ruleEvidenceStays BEFORE DELETE ON ruleEvidence BEGIN SELECT RAISE(ABORT, 'kept: evidence is never deleted'); END;
CREATE TRIGGER ruleEvidenceNew BEFORE INSERT ON ruleEvidence WHEN EXISTS (SELECT 1 FROM ruleEvidence WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'kept: evidence is never replaced'); END;
CREATE TRIGGER ruleDecisionKept BEFORE UPDATE ON ruleDecision BEGIN SELECT RAISE(ABORT, 'kept: decisions are never changed'); END;
CREATE TRIGGER ruleDecisionStays BEFORE DELETE ON ruleDecision BEGIN SELECT RAISE(ABORT, 'kept: decisions are never deleted'); END;
CREATE TRIGGER ruleDecisionNew BEFORE INSERT ON ruleDecision WHEN EXISTS (SELECT 1 FROM ruleDecision WHERE id = NEW.id OR proposal = NEW.proposal) BEGIN SELECT RAISE(ABORT, 'decided: a proposal is decided once'); END;
CREATE TRIGGER ruleVersionKept BEFORE UPDATE ON ruleVersion BEGIN SELECT RAISE(ABORT, 'kept: versions of the rules are never changed'); END;
CREATE TRIGGER ruleVersionStays BEFORE DELETE ON ruleVersion BEGIN SELECT RAISE(ABORT, 'kept: versions of the rules are never deleted'); END;
CREATE TRIGGER ruleVersionNew BEFORE INSERT ON ruleVersion WHEN EXISTS (SELECT 1 FROM ruleVersion WHERE id = NEW.id OR decision = NEW.decision) BEGIN SELECT RAISE(ABORT, 'kept: versions of the rules are never replaced'); END;

-- Events that people know of, whether or not a flag was raised: what a rehearsal counts as found or missed. Taken back, never deleted.
CREATE TABLE knownEvent (
    id              INTEGER PRIMARY KEY,
    rule            TEXT    NOT NULL,                -- id of the rule that should find it
    "from"          INTEGER NOT NULL,
    "to"            INTEGER NOT NULL,
    what            TEXT    NOT NULL CHECK (length(trim(what)) > 0),
    note            TEXT    NOT NULL,
    actor           TEXT    NOT NULL,
    role            TEXT    NOT NULL,
    time            INTEGER NOT NULL,
    CHECK ("to" > "from")
);
CREATE INDEX knownEventRule ON knownEvent (rule, "from");
CREATE TABLE knownEventWithdrawal (
    event  INTEGER PRIMARY KEY REFERENCES knownEvent (id),
    actor  TEXT    NOT NULL,
    role   TEXT    NOT NULL,
    time   INTEGER NOT NULL,
    reason TEXT    NOT NULL CHECK (length(trim(reason)) > 0)
);
CREATE TRIGGER knownEventKept BEFORE UPDATE ON knownEvent BEGIN SELECT RAISE(ABORT, 'kept: known events are never changed'); END;
CREATE TRIGGER knownEventStays BEFORE DELETE ON knownEvent BEGIN SELECT RAISE(ABORT, 'kept: known events are never deleted'); END;
CREATE TRIGGER knownEventWithdrawalKept BEFORE UPDATE ON knownEventWithdrawal BEGIN SELECT RAISE(ABORT, 'kept: withdrawals are never changed'); END;
CREATE TRIGGER knownEventWithdrawalStays BEFORE DELETE ON knownEventWithdrawal BEGIN SELECT RAISE(ABORT, 'kept: withdrawals are never deleted'); END;
