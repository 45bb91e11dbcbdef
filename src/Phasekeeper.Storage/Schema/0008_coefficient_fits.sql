-- What a fit said when its set was proposed: window, orbits fitted and held out, numbers with their σ, warnings; of a set that the program proposed also the drift behind it. Evidence repeats it whenever it is computed.
CREATE TABLE coefficientFit (
    setId    INTEGER PRIMARY KEY REFERENCES coefficientSet (id),
    document TEXT    NOT NULL CHECK (json_valid(document))
);
CREATE TRIGGER coefficientFitKept BEFORE UPDATE ON coefficientFit BEGIN SELECT RAISE(ABORT, 'kept: what a fit said is never changed'); END;
CREATE TRIGGER coefficientFitStays BEFORE DELETE ON coefficientFit BEGIN SELECT RAISE(ABORT, 'kept: what a fit said is never deleted'); END;
CREATE TRIGGER coefficientFitNotReplaced BEFORE INSERT ON coefficientFit WHEN EXISTS (SELECT 1 FROM coefficientFit WHERE setId = NEW.setId)
BEGIN SELECT RAISE(ABORT, 'kept: what a fit said is never replaced'); END;
