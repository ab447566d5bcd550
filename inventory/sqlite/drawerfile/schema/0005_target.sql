-- The charger a set-aside is for, as a text only those read who wrote it. A row goes with the set-asides of that name and moment, which
-- undo may bring back; it is never taken out.

CREATE TABLE aside_target (
    purpose TEXT NOT NULL
            CHECK (length(purpose) BETWEEN 1 AND 64
                   AND purpose NOT GLOB '*[' || char(1) || '-' || char(31) || char(127) || ']*'),
    at      TEXT NOT NULL CHECK (at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]*Z'),
    target  TEXT NOT NULL CHECK (length(target) BETWEEN 1 AND 2000),
    PRIMARY KEY (purpose, at)
) STRICT, WITHOUT ROWID;
