-- Times are TAI nanoseconds since 1970-01-01T00:00:00 TAI; an hour is floor(time / 3.6e12). Column names are the API's.
-- Numbers that do not exist are NULL. BLOB layouts are described at the codec that writes them.

CREATE TABLE setting (
    key   TEXT PRIMARY KEY,
    value TEXT NOT NULL
) WITHOUT ROWID;

-- What must be computed again: one row a unit. The generation tells whether a mark is still the one that was taken.
CREATE TABLE work (
    kind       TEXT    NOT NULL,
    key        INTEGER NOT NULL,
    generation INTEGER NOT NULL,
    priority   INTEGER NOT NULL,
    marked     INTEGER NOT NULL,
    PRIMARY KEY (kind, key)
) WITHOUT ROWID;
CREATE INDEX workOrder ON work (kind, priority DESC, key DESC);

-- Packet archive: files, and the blocks in them (packets of one hour each).
CREATE TABLE archiveSegment (
    id      INTEGER PRIMARY KEY,
    path    TEXT    NOT NULL UNIQUE,
    sha256  BLOB    NOT NULL,
    length  INTEGER NOT NULL,
    created INTEGER NOT NULL
);
CREATE TABLE archiveBlock (
    id        INTEGER PRIMARY KEY,
    segment   INTEGER NOT NULL REFERENCES archiveSegment (id),
    hour      INTEGER NOT NULL,
    offset    INTEGER NOT NULL,
    length    INTEGER NOT NULL,
    rawLength INTEGER NOT NULL,
    count     INTEGER NOT NULL,
    joined    INTEGER NOT NULL,
    firstTime INTEGER NOT NULL,
    lastTime  INTEGER NOT NULL,
    places    BLOB    NOT NULL
);
CREATE INDEX archiveBlockHour ON archiveBlock (hour);
CREATE INDEX archiveBlockSegment ON archiveBlock (segment);
CREATE INDEX archiveBlockTime ON archiveBlock (lastTime);
-- Files that compaction replaced; deleted from disk after the commit, or at the next start.
CREATE TABLE archiveObsolete (
    path TEXT PRIMARY KEY
) WITHOUT ROWID;

-- Parts of segmented packets: they wait until their group is complete, then stay as a hash, so that a repeat is recognised.
CREATE TABLE packetPart (
    hash     BLOB    NOT NULL PRIMARY KEY,
    apid     INTEGER NOT NULL,
    sequence INTEGER NOT NULL,
    flags    INTEGER NOT NULL,
    bytes    BLOB,
    source   TEXT    NOT NULL,
    offset   INTEGER NOT NULL,
    received INTEGER NOT NULL
) WITHOUT ROWID;
CREATE INDEX packetPartWaiting ON packetPart (apid, sequence) WHERE bytes IS NOT NULL;

CREATE TABLE quarantine (
    id       INTEGER PRIMARY KEY,
    hash     BLOB    NOT NULL UNIQUE,
    received INTEGER NOT NULL,
    source   TEXT    NOT NULL,
    offset   INTEGER NOT NULL,
    length   INTEGER NOT NULL,
    kind     TEXT    NOT NULL,
    reason   TEXT    NOT NULL,
    state    TEXT    NOT NULL,
    hour     INTEGER,
    bytes    BLOB    NOT NULL,
    kept     INTEGER NOT NULL
);
CREATE INDEX quarantineState ON quarantine (state, id);
CREATE INDEX quarantineHour ON quarantine (hour, kind) WHERE hour IS NOT NULL;

CREATE TABLE ingest (
    id          INTEGER PRIMARY KEY,
    source      TEXT    NOT NULL,
    kind        TEXT    NOT NULL,
    received    INTEGER NOT NULL,
    finished    INTEGER,
    bytes       INTEGER NOT NULL,
    stored      INTEGER NOT NULL,
    duplicates  INTEGER NOT NULL,
    quarantined INTEGER NOT NULL,
    firstTime   INTEGER,
    lastTime    INTEGER,
    error       TEXT
);
CREATE INDEX ingestReceived ON ingest (received);
CREATE INDEX ingestLastTime ON ingest (lastTime);
-- How far an inbox file is committed: the next start goes on from there, and counts nothing twice.
CREATE TABLE ingestProgress (
    path   TEXT PRIMARY KEY,
    ingest INTEGER NOT NULL REFERENCES ingest (id),
    offset INTEGER NOT NULL,
    sha256 BLOB    NOT NULL,
    done   INTEGER NOT NULL
) WITHOUT ROWID;

-- Packets kept per hour and application process, gaps in their counts, clock jumps and conflicts.
CREATE TABLE coverage (
    hour      INTEGER NOT NULL,
    apid      INTEGER NOT NULL,
    count     INTEGER NOT NULL,
    firstTime INTEGER NOT NULL,
    lastTime  INTEGER NOT NULL,
    firstSequence INTEGER NOT NULL,
    lastSequence  INTEGER NOT NULL,
    PRIMARY KEY (hour, apid)
) WITHOUT ROWID;
-- Hours that hold rows of an exposure: rows of one exposure in two hours are found, whichever came first.
CREATE TABLE exposureClaim (
    exposure INTEGER NOT NULL,
    kind     INTEGER NOT NULL,
    hour     INTEGER NOT NULL,
    PRIMARY KEY (exposure, kind, hour)
) WITHOUT ROWID;
CREATE INDEX exposureClaimHour ON exposureClaim (hour);
CREATE TABLE streamEvent (
    id     INTEGER PRIMARY KEY,
    hour   INTEGER NOT NULL,
    kind   TEXT    NOT NULL,
    apid   INTEGER NOT NULL,
    "from" INTEGER NOT NULL,
    "to"   INTEGER NOT NULL,
    amount REAL    NOT NULL,
    detail TEXT    NOT NULL
);
CREATE INDEX streamEventHour ON streamEvent (hour);
CREATE INDEX streamEventFrom ON streamEvent ("from");

-- Telemetry: a row a channel and hour. Channels of one container share their times.
CREATE TABLE channel (
    id          INTEGER PRIMARY KEY,
    name        TEXT NOT NULL UNIQUE,
    unit        TEXT NOT NULL,
    description TEXT NOT NULL,
    role        TEXT
);
CREATE TABLE telemetryTime (
    hour  INTEGER NOT NULL,
    hash  INTEGER NOT NULL,
    count INTEGER NOT NULL,
    times BLOB    NOT NULL,
    PRIMARY KEY (hour, hash)
) WITHOUT ROWID;
CREATE TABLE telemetryChunk (
    channel   INTEGER NOT NULL REFERENCES channel (id),
    hour      INTEGER NOT NULL,
    timeHash  INTEGER NOT NULL,
    firstTime INTEGER NOT NULL,
    lastTime  INTEGER NOT NULL,
    count     INTEGER NOT NULL,
    finite    INTEGER NOT NULL,
    min       REAL,
    sum       REAL,
    max       REAL,
    "values"  BLOB    NOT NULL,
    PRIMARY KEY (channel, hour)
);
CREATE INDEX telemetryChunkHour ON telemetryChunk (hour);
CREATE TABLE telemetryMinute (
    channel INTEGER NOT NULL REFERENCES channel (id),
    hour    INTEGER NOT NULL,
    minutes BLOB    NOT NULL,
    PRIMARY KEY (channel, hour)
) WITHOUT ROWID;
CREATE TABLE telemetryOrbit (
    channel INTEGER NOT NULL REFERENCES channel (id),
    orbit   INTEGER NOT NULL,
    start   INTEGER NOT NULL,
    min     REAL,
    mean    REAL,
    max     REAL,
    count   INTEGER NOT NULL,
    PRIMARY KEY (channel, orbit)
) WITHOUT ROWID;
CREATE INDEX telemetryOrbitStart ON telemetryOrbit (orbit);

CREATE TABLE fringe (
    id                     INTEGER PRIMARY KEY,
    hour                   INTEGER NOT NULL,
    time                   INTEGER NOT NULL,
    exposure               INTEGER NOT NULL,
    kind                   INTEGER NOT NULL,
    view                   TEXT    NOT NULL,
    line                   TEXT    NOT NULL,
    orbit                  INTEGER,
    integrationS           REAL    NOT NULL,
    imageShiftSamples      REAL,
    imageShiftSigmaSamples REAL,
    detectorC              REAL,
    frequencyOffsetPpm      REAL,
    frequencyOffsetSigmaPpm REAL,
    rows                   INTEGER NOT NULL,
    vectors                BLOB    NOT NULL,
    rowsHash               BLOB    NOT NULL,
    inputHash              BLOB    NOT NULL,
    coefficientSet         INTEGER,
    ephemerisFile          INTEGER,
    softwareVersion        TEXT    NOT NULL,
    UNIQUE (time, kind, exposure, view, line)
);
CREATE INDEX fringeHour ON fringe (hour);
CREATE INDEX fringeOrbit ON fringe (orbit);
CREATE INDEX fringeExposure ON fringe (exposure);

-- Winds along the line of sight: a row an exposure, view and line. Vectors where both views saw the same air: a row a line and exposure of the second view.
CREATE TABLE losWind (
    id               INTEGER PRIMARY KEY,
    time             INTEGER NOT NULL,
    exposure         INTEGER NOT NULL,
    view             TEXT    NOT NULL,
    line             TEXT    NOT NULL,
    orbit            INTEGER NOT NULL,
    rows             INTEGER NOT NULL,
    vectors          BLOB    NOT NULL,
    correlationKm    REAL,
    topScaleHeightKm REAL,
    misfitChiSquare  REAL,
    coefficientSet   INTEGER,
    ephemerisFile    INTEGER,
    attitudeFile     INTEGER,
    softwareVersion  TEXT    NOT NULL,
    inputHash        BLOB    NOT NULL,
    UNIQUE (time, exposure, view, line)
);
CREATE INDEX losWindOrbit ON losWind (orbit);
CREATE INDEX losWindExposure ON losWind (exposure);
CREATE TABLE windVector (
    id              INTEGER PRIMARY KEY,
    orbit           INTEGER NOT NULL,
    line            TEXT    NOT NULL,
    exposure        INTEGER NOT NULL,
    exposureTime    INTEGER NOT NULL,
    firstTime       INTEGER NOT NULL,
    lastTime        INTEGER NOT NULL,
    vectors         BLOB    NOT NULL,
    coefficientSet  INTEGER,
    softwareVersion TEXT    NOT NULL,
    inputHash       BLOB    NOT NULL,
    UNIQUE (orbit, exposureTime, exposure, line)
);
CREATE INDEX windVectorTime ON windVector (firstTime);
CREATE INDEX windVectorExposure ON windVector (exposure);
-- One orbit's vectors of a line in bins of latitude, local time and altitude: what means of weeks and seasons are made from.
CREATE TABLE windBin (
    orbit INTEGER NOT NULL,
    line  TEXT    NOT NULL,
    grid  INTEGER NOT NULL,
    bins  BLOB    NOT NULL,
    PRIMARY KEY (orbit, line)
) WITHOUT ROWID;

-- One orbit's winds condensed for the zero wind, with a fingerprint of the zero-wind phases that they were corrected with.
CREATE TABLE windSum (
    orbit INTEGER PRIMARY KEY,
    start INTEGER NOT NULL,
    zero  BLOB    NOT NULL,
    cells BLOB    NOT NULL
);
CREATE INDEX windSumStart ON windSum (start);
-- What the weeks before a UTC day (days since 1970-01-01) say of the zero wind of a line.
CREATE TABLE zeroWind (
    day      INTEGER NOT NULL,
    line     TEXT    NOT NULL,
    status   TEXT    NOT NULL,
    estimate BLOB    NOT NULL,
    PRIMARY KEY (day, line)
) WITHOUT ROWID;
-- Winds of an orbit beside those of a set of independent winds (an auxiliary file).
CREATE TABLE comparison (
    file  INTEGER NOT NULL REFERENCES auxiliaryFile (id),
    orbit INTEGER NOT NULL,
    start INTEGER NOT NULL,
    count INTEGER NOT NULL,
    pairs BLOB    NOT NULL,
    PRIMARY KEY (file, orbit)
) WITHOUT ROWID;
CREATE INDEX comparisonOrbit ON comparison (orbit);

CREATE TABLE orbit (
    orbit              INTEGER PRIMARY KEY,
    start              INTEGER NOT NULL,
    "end"              INTEGER NOT NULL,
    betaDeg            REAL,
    eclipseFraction    REAL,
    eclipseStart       INTEGER,
    eclipseEnd         INTEGER,
    expectedExposures  INTEGER NOT NULL,
    receivedExposures  INTEGER NOT NULL,
    expectedRows       INTEGER NOT NULL,
    receivedRows       INTEGER NOT NULL,
    verdict            TEXT    NOT NULL,
    verdictReasons     TEXT    NOT NULL,
    provisional        INTEGER NOT NULL,
    ephemerisFile      INTEGER,
    coefficientSet     INTEGER,
    detail             TEXT    NOT NULL
);
CREATE INDEX orbitStart ON orbit (start);
CREATE INDEX orbitProvisional ON orbit ("end") WHERE provisional = 1;

CREATE TABLE trackerSeries (
    id      INTEGER PRIMARY KEY,
    tracker TEXT NOT NULL,
    view    TEXT NOT NULL,
    line    TEXT NOT NULL,
    channel TEXT NOT NULL,
    UNIQUE (tracker, view, line, channel)
);
CREATE TABLE trackerValue (
    series      INTEGER NOT NULL REFERENCES trackerSeries (id),
    orbit       INTEGER NOT NULL,
    time        INTEGER NOT NULL,
    value       REAL,
    sigma       REAL,
    n           INTEGER NOT NULL,
    provisional INTEGER NOT NULL,
    expected    REAL,
    ewma        REAL,
    cusumHigh   REAL,
    cusumLow    REAL,
    state       TEXT    NOT NULL,
    PRIMARY KEY (series, orbit)
) WITHOUT ROWID;
CREATE INDEX trackerValueOrbit ON trackerValue (orbit);

-- The columns are what lists are asked by; body is the whole flag as the rules know it.
CREATE TABLE flag (
    id             TEXT    NOT NULL PRIMARY KEY,
    rule           TEXT    NOT NULL,
    ruleVersion    TEXT    NOT NULL,
    subject        TEXT    NOT NULL,
    view           TEXT,
    line           TEXT,
    severity       TEXT    NOT NULL,
    state          TEXT    NOT NULL,
    "from"         INTEGER NOT NULL,
    "to"           INTEGER NOT NULL,
    firstOrbit     INTEGER,
    lastOrbit      INTEGER,
    value          REAL,
    "limit"        REAL,
    unit           TEXT    NOT NULL,
    message        TEXT    NOT NULL,
    evidence       TEXT    NOT NULL,
    explainedBy    TEXT,
    coefficientSet TEXT,
    body           TEXT    NOT NULL,
    raised         INTEGER NOT NULL,
    changed        INTEGER NOT NULL
);
CREATE INDEX flagFrom ON flag ("from");
CREATE INDEX flagRule ON flag (rule, subject);
CREATE INDEX flagState ON flag (state, "from");
CREATE TABLE flagStep (
    id    INTEGER PRIMARY KEY,
    flag  TEXT    NOT NULL REFERENCES flag (id),
    time  INTEGER NOT NULL,
    step  TEXT    NOT NULL,
    state TEXT    NOT NULL,
    actor TEXT    NOT NULL,
    note  TEXT    NOT NULL
);
CREATE INDEX flagStepFlag ON flagStep (flag);

-- Sets are never changed or deleted; what is decided about them is.
CREATE TABLE coefficientSet (
    id         INTEGER PRIMARY KEY,
    name       TEXT    NOT NULL,
    hash       BLOB    NOT NULL UNIQUE,
    json       TEXT    NOT NULL,
    validFrom  INTEGER NOT NULL,
    proposedBy TEXT    NOT NULL,
    proposed   INTEGER NOT NULL,
    basis      TEXT    NOT NULL,
    evidence   TEXT    NOT NULL
);
CREATE TABLE coefficientDecision (
    id        INTEGER PRIMARY KEY,
    setId     INTEGER NOT NULL REFERENCES coefficientSet (id),
    decision  TEXT    NOT NULL,
    fromTime  INTEGER NOT NULL,
    actor     TEXT    NOT NULL,
    time      INTEGER NOT NULL,
    note      TEXT    NOT NULL
);
CREATE INDEX coefficientDecisionSet ON coefficientDecision (setId);

CREATE TABLE auxiliaryFile (
    id        INTEGER PRIMARY KEY,
    kind      TEXT    NOT NULL,
    format    TEXT    NOT NULL,
    name      TEXT    NOT NULL,
    source    TEXT    NOT NULL,
    received  INTEGER NOT NULL,
    version   INTEGER NOT NULL,
    sha256    BLOB    NOT NULL UNIQUE,
    length    INTEGER NOT NULL,
    content   BLOB    NOT NULL,
    quality   TEXT    NOT NULL,
    state     TEXT    NOT NULL,
    reason    TEXT    NOT NULL,
    coverFrom INTEGER,
    coverTo   INTEGER
);
CREATE INDEX auxiliaryFileKind ON auxiliaryFile (kind, state);

CREATE TABLE activity (
    id      INTEGER PRIMARY KEY,
    file    INTEGER REFERENCES auxiliaryFile (id),
    uid     TEXT    NOT NULL,
    kind    TEXT    NOT NULL,
    title   TEXT    NOT NULL,
    "from"  INTEGER NOT NULL,
    "to"    INTEGER NOT NULL,
    detail  TEXT    NOT NULL
);
CREATE INDEX activityFrom ON activity ("from");
CREATE INDEX activityFile ON activity (file);

CREATE TABLE event (
    id      INTEGER PRIMARY KEY AUTOINCREMENT,
    time    INTEGER NOT NULL,
    kind    TEXT    NOT NULL,
    subject TEXT    NOT NULL,
    text    TEXT    NOT NULL
);
