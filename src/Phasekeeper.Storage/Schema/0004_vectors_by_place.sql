-- Lists go on behind a row by what it is ordered by: vectors by exposure time, exposure, line and orbit; flags by start and id.
DROP INDEX windVectorTime;
CREATE INDEX windVectorPlace ON windVector (exposureTime, exposure, line, orbit);
DROP INDEX flagFrom;
CREATE INDEX flagFrom ON flag ("from", id);
