-- What people do with flags stands apart from what rules derive: the table flag is the rules' alone, so that a re-assessment never loses a person's step.
-- One row a flag; "from" and stands follow the flag, so that lists by state, holder and cause are one search of an index.
CREATE TABLE flagLife (
    flag           TEXT    NOT NULL PRIMARY KEY REFERENCES flag (id),
    state          TEXT    NOT NULL DEFAULT 'raised' CHECK (state IN ('raised', 'taken', 'explained', 'settled', 'reopened')),
    stands         INTEGER NOT NULL,                -- 0: withdrawn by the rules; state is where people left it
    shown          TEXT    GENERATED ALWAYS AS (CASE WHEN stands THEN state ELSE 'withdrawn' END) VIRTUAL,
    revision       INTEGER NOT NULL DEFAULT 0,      -- grows with every step that another person must know of
    holder         TEXT,                            -- name of who has it
    cause          TEXT,
    explanation    TEXT,
    seenSeverity   TEXT,                            -- what the last person to take a step saw: new data are compared with it
    seenFirstOrbit INTEGER,
    seenLastOrbit  INTEGER,
    seenSeries     TEXT,
    "from"         INTEGER NOT NULL
) WITHOUT ROWID;
CREATE INDEX flagLifeShown ON flagLife (shown, "from", flag);
CREATE INDEX flagLifeHolder ON flagLife (holder, "from", flag) WHERE holder IS NOT NULL;
CREATE INDEX flagLifeCause ON flagLife (cause, "from", flag) WHERE cause IS NOT NULL;

-- Steps of rules and people, comments and plots, in one sequence: id is what a queue of notices reads on from.
ALTER TABLE flagStep ADD COLUMN role TEXT NOT NULL DEFAULT '';
ALTER TABLE flagStep ADD COLUMN severity TEXT;      -- of the flag, then
ALTER TABLE flagStep ADD COLUMN cause TEXT;
ALTER TABLE flagStep ADD COLUMN other TEXT;         -- the person or flag that the step is about beside its own
ALTER TABLE flagStep ADD COLUMN revision INTEGER;   -- of the life, after it

CREATE TABLE flagMention (
    person TEXT    NOT NULL,
    step   INTEGER NOT NULL REFERENCES flagStep (id),
    flag   TEXT    NOT NULL REFERENCES flag (id),
    PRIMARY KEY (person, step)
) WITHOUT ROWID;

-- Both directions, so that a flag's links are one search.
CREATE TABLE flagLink (
    flag  TEXT    NOT NULL REFERENCES flag (id),
    other TEXT    NOT NULL REFERENCES flag (id),
    actor TEXT    NOT NULL,
    time  INTEGER NOT NULL,
    PRIMARY KEY (flag, other),
    CHECK (flag <> other)
) WITHOUT ROWID;

-- Plots as they were seen: the document itself, compressed, beside the address that it came from.
CREATE TABLE flagPlot (
    id       INTEGER PRIMARY KEY,
    flag     TEXT    NOT NULL REFERENCES flag (id),
    step     INTEGER NOT NULL REFERENCES flagStep (id),
    title    TEXT    NOT NULL,
    url      TEXT    NOT NULL,
    length   INTEGER NOT NULL, -- bytes of the document, not compressed
    document BLOB    NOT NULL
);
CREATE INDEX flagPlotFlag ON flagPlot (flag, id);
CREATE INDEX flagPlotStep ON flagPlot (step);

-- What was an acknowledgement: taken by that person, with its note in the history. Where it had grown since, it waits for a person again, as it did.
-- Bodies that are no JSON (none was ever written) are left as they are.
INSERT INTO flagLife (flag, state, stands, revision, holder, seenSeverity, seenFirstOrbit, seenLastOrbit, seenSeries, "from")
SELECT id, CASE WHEN by IS NULL THEN 'raised' WHEN state = 'raised' THEN 'reopened' ELSE 'taken' END, state <> 'withdrawn', by IS NOT NULL, by,
    CASE WHEN by IS NOT NULL THEN coalesce(json_extract(body, '$.acknowledgedSeverity'), severity) END, CASE WHEN by IS NOT NULL THEN firstOrbit END, CASE WHEN by IS NOT NULL THEN lastOrbit END,
    CASE WHEN by IS NOT NULL THEN coalesce(json_extract(body, '$.acknowledgedSeries'), '') END, "from"
FROM (SELECT *, CASE WHEN json_valid(body) THEN json_extract(body, '$.acknowledgedBy') END AS by FROM flag);
UPDATE flag SET state = CASE state WHEN 'acknowledged' THEN 'raised' ELSE state END,
    body = json_remove(CASE json_extract(body, '$.state') WHEN 'acknowledged' THEN json_set(body, '$.state', 'raised') ELSE body END,
        '$.acknowledgedBy', '$.acknowledgedAt', '$.acknowledgedNote', '$.acknowledgedSeverity', '$.acknowledgedSeries')
WHERE CASE WHEN json_valid(body) THEN json_type(body, '$.acknowledgedSeries') IS NOT NULL OR json_extract(body, '$.state') = 'acknowledged' ELSE 0 END;
UPDATE flagStep SET step = CASE step WHEN 'acknowledge' THEN 'take' ELSE step END, state = CASE state WHEN 'acknowledged' THEN 'taken' ELSE state END WHERE step = 'acknowledge' OR state = 'acknowledged';

-- The state of the rules alone is never listed by.
DROP INDEX flagState;
CREATE TRIGGER flagStepKept BEFORE UPDATE ON flagStep BEGIN SELECT RAISE(ABORT, 'kept: steps of a flag are never changed'); END;
CREATE TRIGGER flagStepStays BEFORE DELETE ON flagStep BEGIN SELECT RAISE(ABORT, 'kept: steps of a flag are never deleted'); END;
CREATE TRIGGER flagPlotKept BEFORE UPDATE ON flagPlot BEGIN SELECT RAISE(ABORT, 'kept: plots as seen are never changed'); END;
CREATE TRIGGER flagPlotStays BEFORE DELETE ON flagPlot BEGIN SELECT RAISE(ABORT, 'kept: plots as seen are never deleted'); END;
