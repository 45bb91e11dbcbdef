-- Figures of the whole archive come from indexes: rows of blocks are large, and there are tens of thousands after some years.
DROP INDEX archiveBlockHour;
CREATE INDEX archiveBlockHour ON archiveBlock (hour, rawLength, joined);
CREATE INDEX archiveBlockFigures ON archiveBlock (firstTime, count, joined, rawLength);
