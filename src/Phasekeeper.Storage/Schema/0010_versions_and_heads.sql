-- Version of the program that made an orbit's row and a tracker's value; '' for what was made before it was written down.
ALTER TABLE orbit ADD COLUMN softwareVersion TEXT NOT NULL DEFAULT '';
ALTER TABLE trackerValue ADD COLUMN softwareVersion TEXT NOT NULL DEFAULT '';

-- Lists of sets and evidence read these alone. In the tables the columns lie behind documents of up to megabytes, and SQLite walks through those to reach them.
CREATE INDEX coefficientSetHead ON coefficientSet (id, name, hash, validFrom, proposedBy, proposedRole, proposedFrom, proposed, source, reason, basis, against, softwareVersion);
CREATE INDEX coefficientEvidenceHead ON coefficientEvidence (setId, id, against, computed, softwareVersion);
