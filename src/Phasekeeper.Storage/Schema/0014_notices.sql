-- What people want to be told, where and when. A subscription that is given up stays, since messages name it.
CREATE TABLE noticeSubscription (
    id             TEXT    PRIMARY KEY,
    person         TEXT    NOT NULL,
    channel        TEXT    NOT NULL CHECK (channel IN ('email', 'webhook')),
    target         TEXT    NOT NULL,
    key            TEXT,                     -- of a webhook, encrypted by the host; null for e-mail
    leastSeverity  TEXT    NOT NULL CHECK (leastSeverity IN ('notice', 'warning', 'critical')),
    kinds          INTEGER NOT NULL,         -- bits, see NoticeKinds
    quietFrom      INTEGER,                  -- minutes after local midnight; null = no quiet hours
    quietTo        INTEGER,
    offsetMinutes  INTEGER NOT NULL,         -- the person's clock minus UTC
    digestHours    INTEGER,                  -- null = at once
    digestAt       INTEGER,
    criticalAtOnce INTEGER NOT NULL,
    created        INTEGER NOT NULL,
    ended          INTEGER                   -- wall clock; null = it stands
) WITHOUT ROWID;
CREATE INDEX noticeSubscriptionPerson ON noticeSubscription (person) WHERE ended IS NULL;

-- Messages, made in one transaction with the items that they tell. The text is kept as it was made, so that a repeat is the same message.
CREATE TABLE noticeMessage (
    id           TEXT    PRIMARY KEY,        -- follows from subscription and events: stable Message-ID and idempotency key
    subscription TEXT    NOT NULL REFERENCES noticeSubscription (id),
    person       TEXT    NOT NULL,
    urgent       INTEGER NOT NULL,           -- may go out in quiet hours
    subject      TEXT    NOT NULL,
    text         TEXT    NOT NULL,
    html         TEXT    NOT NULL,
    json         TEXT    NOT NULL,           -- body of the webhook
    state        TEXT    NOT NULL CHECK (state IN ('waiting', 'sending', 'sent', 'given-up', 'dropped')),
    attempts     INTEGER NOT NULL DEFAULT 0,
    created      INTEGER NOT NULL,
    since        INTEGER NOT NULL,           -- from when giving up counts: created, or a person's wish to try again
    nextAttempt  INTEGER NOT NULL,
    changed      INTEGER NOT NULL,
    lastError    TEXT
) WITHOUT ROWID;
CREATE INDEX noticeMessageDue ON noticeMessage (nextAttempt) WHERE state = 'waiting';
CREATE INDEX noticeMessageState ON noticeMessage (state, created, id);
CREATE INDEX noticeMessageCreated ON noticeMessage (created, id);

-- One row an event and subscription, kept: the same event is never told twice.
CREATE TABLE noticeItem (
    subscription TEXT    NOT NULL REFERENCES noticeSubscription (id),
    key          TEXT    NOT NULL,
    kind         INTEGER NOT NULL,
    flag         TEXT    NOT NULL,
    severity     TEXT    NOT NULL,
    time         INTEGER NOT NULL,
    actor        TEXT    NOT NULL,
    note         TEXT    NOT NULL,
    due          INTEGER NOT NULL,
    message      TEXT    REFERENCES noticeMessage (id),
    dropped      INTEGER NOT NULL DEFAULT 0, -- nobody needs it any more
    PRIMARY KEY (subscription, key)
) WITHOUT ROWID;
CREATE INDEX noticeItemPending ON noticeItem (due) WHERE message IS NULL AND dropped = 0;

CREATE TABLE noticeEscalation (
    place        INTEGER PRIMARY KEY,
    afterMinutes INTEGER NOT NULL,
    person       TEXT    NOT NULL
);
-- The step up to which notices have been made, and since when the escalation list is as it is. What happened before this version is no news.
CREATE TABLE noticeCursor (
    one             INTEGER PRIMARY KEY CHECK (one = 1),
    step            INTEGER NOT NULL,
    escalationSince INTEGER NOT NULL
);
INSERT INTO noticeCursor (one, step, escalationSince) SELECT 1, coalesce(max(id), 0), 0 FROM flagStep;
