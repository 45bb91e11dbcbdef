-- Telemetry in one row an hour and set of channels that share their times, in place of a row a channel and hour; what telemetryChunk holds is written anew by
-- TelemetryConversion, which then drops the old tables.
CREATE TABLE telemetryForm (
    id   INTEGER PRIMARY KEY,
    form BLOB    NOT NULL UNIQUE         -- what numbers of a section mean: see TelemetryForm
);
CREATE TABLE telemetryBlock (
    hour      INTEGER NOT NULL,
    part      INTEGER NOT NULL,          -- the smallest channel in it
    count     INTEGER NOT NULL,
    firstTime INTEGER NOT NULL,
    lastTime  INTEGER NOT NULL,
    channels  BLOB    NOT NULL,          -- which channels, and where their sections lie: see TelemetryDirectory
    times     BLOB    NOT NULL,
    sections  BLOB    NOT NULL,
    PRIMARY KEY (hour, part)
);
-- Roll-ups of a channel's hours, a row a channel and day of TAI time: see DayCodec. By day first: what an hour changes lies together.
CREATE TABLE telemetryDay (
    channel INTEGER NOT NULL REFERENCES channel (id),
    day     INTEGER NOT NULL,
    hours   BLOB    NOT NULL,
    PRIMARY KEY (day, channel)
) WITHOUT ROWID;
CREATE INDEX telemetryDayChannel ON telemetryDay (channel, day);
-- Minutes are kept only where an hour has many samples; elsewhere they are made of the samples when they are asked for.
DROP TABLE telemetryMinute;
CREATE TABLE telemetryMinute (
    channel INTEGER NOT NULL REFERENCES channel (id),
    hour    INTEGER NOT NULL,
    minutes BLOB    NOT NULL,
    PRIMARY KEY (channel, hour)
) WITHOUT ROWID;
ALTER TABLE channel ADD COLUMN count INTEGER NOT NULL DEFAULT 0;
