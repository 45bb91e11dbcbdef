-- People who sign in. They are never deleted: their names stand beside decisions; whoever leaves is locked.
CREATE TABLE person (
    id                 TEXT    PRIMARY KEY,
    name               TEXT    NOT NULL,
    normalizedName     TEXT    NOT NULL UNIQUE,
    passwordHash       TEXT,
    securityStamp      TEXT    NOT NULL,
    concurrencyStamp   TEXT    NOT NULL,
    failedSignIns      INTEGER NOT NULL DEFAULT 0,
    lockedUntil        INTEGER,
    mustChangePassword INTEGER NOT NULL DEFAULT 0,
    created            INTEGER NOT NULL,
    lastSignIn         INTEGER
) WITHOUT ROWID;
CREATE TABLE personRole (
    person TEXT NOT NULL REFERENCES person (id),
    role   TEXT NOT NULL CHECK (role IN ('viewer', 'operator', 'analyst', 'calibration-lead', 'administrator')),
    PRIMARY KEY (person, role)
) WITHOUT ROWID;
-- Identities at an OpenID Connect provider.
CREATE TABLE personLogin (
    provider    TEXT NOT NULL,
    providerKey TEXT NOT NULL,
    title       TEXT NOT NULL,
    person      TEXT NOT NULL REFERENCES person (id),
    PRIMARY KEY (provider, providerKey)
) WITHOUT ROWID;
CREATE INDEX personLoginPerson ON personLogin (person);
-- Tokens of scripts: the token itself is nowhere, only its SHA-256.
CREATE TABLE personToken (
    id       TEXT    PRIMARY KEY,
    person   TEXT    NOT NULL REFERENCES person (id),
    name     TEXT    NOT NULL,
    hash     BLOB    NOT NULL UNIQUE,
    scopes   TEXT    NOT NULL,
    created  INTEGER NOT NULL,
    expires  INTEGER NOT NULL,
    revoked  INTEGER,
    lastUsed INTEGER
) WITHOUT ROWID;
CREATE INDEX personTokenPerson ON personToken (person);
