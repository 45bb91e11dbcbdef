-- What an orbit file covers and where its nodes are: a start needs no more of it. Null until it was read by a program that keeps it.
ALTER TABLE auxiliaryFile ADD COLUMN outline TEXT;
