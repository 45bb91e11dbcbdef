-- What a series' charts know after an orbit's value: from there they go on when later values come, without a run from the start.
-- A state goes when a value at or before its orbit changes. kept = 1: it stays for good; others go when the series has moved on.
CREATE TABLE chartState (
    series INTEGER NOT NULL REFERENCES trackerSeries (id),
    orbit  INTEGER NOT NULL,
    kept   INTEGER NOT NULL,
    state  BLOB    NOT NULL,
    PRIMARY KEY (series, orbit)
) WITHOUT ROWID;

-- 1σ of the steady EWMA, and the value as charted (a phase is moved by whole periods): rules look at single orbits without running the chart.
ALTER TABLE trackerValue ADD COLUMN ewmaSigma REAL;
ALTER TABLE trackerValue ADD COLUMN charted REAL;
