-- Stored winds now carry the sign of what yaw, pitch and roll do to them, which those of before cannot tell: they go, and are made again at the start
-- that finds other versions of the winds than its own.
DELETE FROM losWind;
DELETE FROM windVector;
