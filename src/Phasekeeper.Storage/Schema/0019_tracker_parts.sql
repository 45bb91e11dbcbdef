-- Plots read a series over years: the values of every 512 orbits stand once more together, packed, as a copy of trackerValue. A part whose values have changed since, or that was never
-- packed, is named in trackerUnpacked: it is read row by row until it is packed again.
CREATE TABLE trackerPart (
    series INTEGER NOT NULL REFERENCES trackerSeries (id),
    part   INTEGER NOT NULL, -- orbit >> 9
    data   BLOB    NOT NULL,
    UNIQUE (series, part)
);
CREATE TABLE trackerUnpacked (
    series INTEGER NOT NULL REFERENCES trackerSeries (id),
    part   INTEGER NOT NULL,
    PRIMARY KEY (series, part)
) WITHOUT ROWID;
INSERT INTO trackerUnpacked SELECT DISTINCT series, orbit >> 9 FROM trackerValue;

CREATE TRIGGER trackerValueAdded AFTER INSERT ON trackerValue
WHEN NOT EXISTS (SELECT 1 FROM trackerUnpacked WHERE series = new.series AND part = new.orbit >> 9)
BEGIN
    INSERT INTO trackerUnpacked VALUES (new.series, new.orbit >> 9);
END;
CREATE TRIGGER trackerValueChanged AFTER UPDATE OF time, value, sigma, n, expected, ewma, ewmaSigma, charted, cusumHigh, cusumLow, state ON trackerValue
WHEN NOT EXISTS (SELECT 1 FROM trackerUnpacked WHERE series = new.series AND part = new.orbit >> 9)
BEGIN
    INSERT INTO trackerUnpacked VALUES (new.series, new.orbit >> 9);
END;
CREATE TRIGGER trackerValueGone AFTER DELETE ON trackerValue
WHEN NOT EXISTS (SELECT 1 FROM trackerUnpacked WHERE series = old.series AND part = old.orbit >> 9)
BEGIN
    INSERT INTO trackerUnpacked VALUES (old.series, old.orbit >> 9);
END;
